"""Measures hearing with Vosk, the whole rule in one run: `PYTHONPATH=tests python tests/bench/hearing_vosk.py --help`.

Prints one table: right, wrong and missed by conditions, delays, near-commands acted on, false acts an hour, the share
of a core and the memory. Only the reporting voices speak, unless `--tuning` is given.
"""

from __future__ import annotations

import argparse
import math
import resource
import sys
import time
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from itertools import islice
from pathlib import Path

import numpy as np

from bench.hearing.noises import NOISES, mixed, radio_alone
from bench.hearing.sayings import COMMANDS
from bench.hearing.stream import Cell, Outcome, Stream, decisions, decisions_in_situations, outcomes, stream_of
from bench.hearing.talk import about_the_job, sentences
from bench.hearing.voices import Talker, add_voices, voices_of
from sparehand.demo.noise import NoiseKind, shop_noise
from sparehand.job.situation import SITUATIONS, Situation
from sparehand.procedures.load import load_procedure
from sparehand.setup.hearing_trials import spoken_names
from sparehand.voice.ears import Ears
from sparehand.voice.phrases.phrase_file import load_phrases
from sparehand.voice.phrases.phrase_table import PhraseTable, SpokenNames
from sparehand.voice.recognising.engines import open_recogniser
from sparehand.voice.recognising.heard import Heard
from sparehand.voice.recognising.recogniser import Recogniser
from sparehand.voice.recognising.rejection import Listening, SensitivityName
from sparehand.voice.sound.samples import SAMPLE_RATE, Samples

CELLS = (
    Cell(),
    *(Cell(noise, 20.0) for noise in NOISES),
    *(Cell(noise, 10.0) for noise in NOISES),
    *(Cell(noise, 5.0) for noise in NOISES if noise not in ("babble", "radio")),
    Cell("pink", 20.0, room=True),
    *(replace(cell, loudness_sd_db=0.0) for cell in (Cell(), Cell("pink", 20.0), Cell("babble", 10.0))),
    *(replace(cell, loudness_sd_db=8.0) for cell in (Cell(), Cell("pink", 20.0), Cell("babble", 20.0))),
    Cell("impact wrench", 10.0, loudness_sd_db=8.0),
    *(replace(cell, gain_db=-15.0) for cell in (Cell(), Cell("pink", 20.0))),
)
"""The loudness of each talker varies with a standard deviation of 4 dB; then steadier, more, and all of it softer."""
SHOP: tuple[NoiseKind, ...] = ("shop", "impact wrench", "hammer", "compressor hum", "pink")
NAMES = SpokenNames({}, {}, conditions={"at ride height": "ride height"})
"""What a procedure adds to the commands."""
SLOW_WORDS = ("timer", "reading", "mark done", "next", "repeat", "what size")
"""Phrases that hold a number or may go on, whose delay is counted apart, begin so."""


KINDS_OF_TALK: tuple[Situation, ...] = ("working", "hold", "question", "opening")
AT_A_STEP: frozenset[Situation] = frozenset({"working", "tightening", "reading", "timing", "finished"})
"""What counts at a step that tightens, while a timer runs: more than at most steps."""


class Bench:
    """A recogniser ready for the table, and fresh ears for every stream."""

    def __init__(
        self, recogniser: Recogniser, listen: Listening, sensitivity: SensitivityName, procedure: Path | None = None
    ) -> None:
        """With a `procedure` all that can be asked for by the names of its fasteners, parts and phases counts, too."""
        names = spoken_names(load_procedure(procedure).procedure) if procedure else NAMES
        self.table: PhraseTable = load_phrases(names)
        self._make: Callable[[], Ears] = lambda: Ears(
            recogniser,
            self.table,
            listen=listen,
            sensitivity=sensitivity,
            situations=SITUATIONS,
            after_quiet=False,
        )
        self.heard_seconds = 0.0
        self.used_seconds = 0.0

    def hears(self, samples: Samples) -> tuple[Heard, ...]:
        """What fresh ears decide of a stream."""
        ears = self._make()
        before = time.process_time()
        heard = decisions(ears, samples)
        self.used_seconds += time.process_time() - before
        self.heard_seconds += len(samples) / SAMPLE_RATE
        return heard

    def hears_in_a_job(self, stream: Stream) -> tuple[Heard, ...]:
        """What fresh ears decide of a stream where each text is said when a job can come to it."""
        return decisions_in_situations(self._make(), stream, self.situations_of)

    def situations_of(self, text: str) -> frozenset[Situation]:
        """The situations of a job in which `text` counts."""
        matched = self.table.match(text, SITUATIONS)
        own = matched[0].situations if matched else AT_A_STEP
        kind = next((kind for kind in KINDS_OF_TALK if kind in own), KINDS_OF_TALK[0])
        if kind != "working":
            return frozenset({kind})
        return AT_A_STEP | own.difference(KINDS_OF_TALK)


def measure_commands(
    bench: Bench, talkers: Sequence[Talker], cells: Sequence[Cell], texts: Sequence[str], in_a_job: bool, share: int
) -> None:
    """Print right, wrong, asked back, missed and the delays of every cell; each talker says every `share`-th text."""
    print("\n| conditions | right % | wrong % | asked, right / needless % | missed % | delay s | slow ones |")
    print("| --- | --- | --- | --- | --- | --- | --- |")
    for cell in cells:
        found: list[Outcome] = []
        for seed, talker in enumerate(talkers):
            stream = stream_of(talker, texts[seed % share :: share], cell, seed)
            heard = bench.hears_in_a_job(stream) if in_a_job else bench.hears(stream.samples)
            found += outcomes(stream, heard, bench.table)
        right, wrong = (100 * np.mean([getattr(one, name) for one in found]) for name in ("right", "wrong"))
        asked = 100 * np.mean([one.asked and one.right for one in found])
        needless = 100 * np.mean([one.asked and not one.right for one in found])
        plain, slow = _delays(found, bench.table)
        row = f"{right:.1f} | {wrong:.1f} | {asked:.1f} / {needless:.1f} | {100 - right - wrong - needless:.1f}"
        print(f"| {cell} | {row} | {plain} | {slow} |", flush=True)
        for one in found:
            if not one.right:
                print(f"    {one.said.talker.voice}: {one.said.text!r} {one.acted} {one.reasons}", file=sys.stderr)


def measure_false_acts(bench: Bench, talkers: Sequence[Talker], hours: float) -> None:
    """Print the false acts of `hours` of talk, of a radio and of shop noise, and of a quarter of talk over noise."""
    print("\n| heard | hours | false acts | of a core |\n| --- | --- | --- | --- |")
    sixths = range(1, 1 + math.ceil(6 * hours))
    for name, sounds in (
        ("talk", _talks(talkers, hours, Cell())),
        ("talk that names things of the job", _talks(talkers, hours / 4, Cell(), about_the_job)),
        ("talk over a radio", _talks(talkers, hours / 4, Cell("radio", 15.0))),
        ("talk, impact wrench", _talks(talkers, hours / 4, Cell("impact wrench", 15.0))),
        ("radio alone", (radio_alone(10, seed) for seed in sixths)),
        ("shop noise alone", (shop_noise(SHOP[seed % len(SHOP)], 600.0, seed) for seed in sixths)),
    ):
        acts: list[str] = []
        seconds, used = bench.heard_seconds, bench.used_seconds
        for number, sound in enumerate(sounds, 1):
            acts += _acts(bench, sound)
            print(f"    {name}, piece {number}: {acts}", file=sys.stderr, flush=True)
        seconds, used = bench.heard_seconds - seconds, bench.used_seconds - used
        print(f"| {name} | {seconds / 3600:.2f} | {len(acts)} {sorted(acts)} | {used / seconds:.3f} |", flush=True)


def _talks(
    talkers: Sequence[Talker], hours: float, cell: Cell, say: Callable[[int], Iterator[str]] = sentences
) -> Iterator[Samples]:
    for seed, talker in enumerate(talkers, 100):
        yield talk_of(talker, hours / len(talkers), cell, seed, say(seed))


def talk_of(talker: Talker, hours: float, cell: Cell, seed: int, said: Iterator[str]) -> Samples:
    """Sentences with pauses of a fraction of a second to three seconds."""
    random = np.random.default_rng(seed)
    pieces: list[Samples] = []
    wanted = int(hours * 3600 * SAMPLE_RATE)
    for sentence in islice(said, 100_000):
        pieces += [talker.says(sentence), np.zeros(int(random.uniform(0.15, 3.0) * SAMPLE_RATE), np.float32)]
        wanted -= len(pieces[-2]) + len(pieces[-1])
        if wanted <= 0:
            break
    sound = np.concatenate(pieces)
    return mixed(sound, sound, cell.noise, cell.snr_db, seed) if cell.noise else sound


def _acts(bench: Bench, sound: Samples) -> list[str]:
    return [h.phrase.text for h in bench.hears(sound) if h.accepted]


def _delays(found: Sequence[Outcome], table: PhraseTable) -> tuple[str, str]:
    delays: dict[bool, list[float]] = {False: [], True: []}
    for one in found:
        matched = table.match(one.said.text, SITUATIONS)
        if one.latency_seconds is not None and matched is not None:
            waits = table.may_go_on(one.said.text, SITUATIONS) or matched[0].holds_number
            delays[waits].append(one.latency_seconds)
    return _spread(delays[False]), _spread(delays[True])


def _spread(values: Sequence[float]) -> str:
    return f"{np.median(values):.2f} / {np.quantile(values, 0.95):.2f}" if values else "–"


def main() -> None:
    """Measure what the command line asks for."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--models", type=Path, required=True, help="the folder with the installed models")
    add_voices(parser)
    parser.add_argument("--share", type=int, default=1, help="each voice says only every so-manieth command")
    parser.add_argument("--voices", type=int, default=99, help="only so many of them")
    parser.add_argument("--cells", default="", help="only conditions whose name holds this")
    parser.add_argument("--hours", type=float, default=0.0, help="hours of talk for false acts")
    parser.add_argument("--commands", action="store_true", help="the table of commands")
    parser.add_argument("--in-a-job", action="store_true", help="commands in the situations of a job, not all at once")
    parser.add_argument("--procedure", type=Path, help="a procedure file, whose names count, too")
    parser.add_argument("--sensitivity", choices=("careful", "normal", "keen"), default="normal")
    chosen = parser.parse_args()
    talkers = voices_of(parser, chosen)[: chosen.voices]
    bench = Bench(open_recogniser("vosk", chosen.models), "always", chosen.sensitivity, chosen.procedure)
    if chosen.commands:
        measure_commands(
            bench,
            talkers,
            [cell for cell in CELLS if chosen.cells in str(cell)],
            COMMANDS,
            chosen.in_a_job,
            chosen.share,
        )
    if chosen.hours:
        measure_false_acts(bench, talkers, chosen.hours)
    peak_mb = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(
        f"\n{bench.heard_seconds / 3600:.2f} h heard with {bench.used_seconds / bench.heard_seconds:.3f} of a core",
        end="; ",
    )
    print(f"peak memory {peak_mb:.0f} MB, the corpus's share included")


if __name__ == "__main__":
    main()
