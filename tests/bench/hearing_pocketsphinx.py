"""Measures hearing with pocketsphinx by call word and by key.

Run it with `PYTHONPATH=tests python tests/bench/hearing_pocketsphinx.py --help`.

Prints right, wrong and missed by conditions and by voice, delays, false acts an hour of talk, the share of a core and
the memory. Only the reporting voices speak, unless `--tuning` is given.
"""

from __future__ import annotations

import argparse
import resource
import sys
import time
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from bench.hearing.keyed import decisions_with_key
from bench.hearing.noises import NOISES, mixed
from bench.hearing.sayings import COMMANDS
from bench.hearing.stream import Cell, Outcome, Stream, decisions, outcomes, stream_of
from bench.hearing.talk import sentences
from bench.hearing.voices import REPORTING, TUNING, Talker, missing_programs
from sparehand.voice.ears import Ears
from sparehand.voice.phrases.phrase_file import load_phrases
from sparehand.voice.recognising.heard import Heard
from sparehand.voice.recognising.pocketsphinx_engine import PocketsphinxRecogniser
from sparehand.voice.recognising.rejection import Listening, SensitivityName
from sparehand.voice.sound.samples import SAMPLE_RATE, Samples

CELLS = (
    Cell(),
    *(Cell(noise, 20.0) for noise in NOISES),
    *(Cell(noise, 10.0) for noise in NOISES),
    Cell("pink", 20.0, room=True),
)


class Bench:
    """One recogniser; fresh ears for every stream."""

    def __init__(self, listen: Listening, sensitivity: SensitivityName) -> None:
        self.table = load_phrases()
        self.listen: Listening = listen
        self._sensitivity = sensitivity
        self._recogniser = PocketsphinxRecogniser()
        self.heard_seconds = 0.0
        self.used_seconds = 0.0

    def hears(self, stream: Stream) -> tuple[Heard, ...]:
        """What the ears decide; with a key, it is held while something is said."""
        ears = Ears(self._recogniser, self.table, listen=self.listen, sensitivity=self._sensitivity)
        before = time.process_time()
        heard = decisions_with_key(ears, stream) if self.listen == "key" else decisions(ears, stream.samples)
        self.used_seconds += time.process_time() - before
        self.heard_seconds += len(stream.samples) / SAMPLE_RATE
        return heard

    def says(self, talker: Talker, texts: Sequence[str], cell: Cell, seed: int) -> Stream:
        """A stream of commands, each with the call word where it is needed."""
        if self.listen != "call":
            return stream_of(talker, texts, cell, seed)
        called = stream_of(talker, [f"{self.table.call_word}, {text}" for text in texts], cell, seed)
        said = tuple(replace(one, text=text) for one, text in zip(called.said, texts, strict=True))
        return replace(called, said=said)


def measure_commands(bench: Bench, talkers: Sequence[Talker], cells: Sequence[Cell]) -> None:
    """Print right, wrong, missed and the delay of every cell, then the same by voice."""
    print("\n| conditions | right % | wrong % | missed % | delay s, median / 95 % |\n| --- | --- | --- | --- | --- |")
    everything: list[Outcome] = []
    for cell in cells:
        found: list[Outcome] = []
        for seed, talker in enumerate(talkers):
            stream = bench.says(talker, COMMANDS, cell, seed)
            found += outcomes(stream, bench.hears(stream), bench.table)
        print(f"| {cell} | {_figures(found)} | {_delay(found)} |", flush=True)
        for one in found:
            if not one.right:
                print(f"    {one.said.talker.voice}: {one.said.text!r} {one.acted} {one.reasons}", file=sys.stderr)
        everything += found
    print("\n| voice, all conditions | right % | wrong % | missed % |\n| --- | --- | --- | --- |")
    for talker in talkers:
        print(f"| {talker.voice} | {_figures([one for one in everything if one.said.talker == talker])} |")


def measure_talk(bench: Bench, talkers: Sequence[Talker], hours: float) -> None:
    """Print the false acts of `hours` of talk."""
    acts: list[str] = []
    for seed, talker in enumerate(talkers):
        stream = Stream(_talk(talker, hours / len(talkers), 100 + seed), ())
        acts += [heard.text for heard in bench.hears(stream) if heard.accepted]
    print(f"\n{hours:.2f} h of talk: {len(acts)} false acts {sorted(acts)}", flush=True)


def _talk(talker: Talker, hours: float, seed: int) -> Samples:
    random = np.random.default_rng(seed)
    pieces: list[Samples] = []
    left = int(hours * 3600 * SAMPLE_RATE)
    for sentence in sentences(seed):
        pieces += [talker.says(sentence), np.zeros(int(random.uniform(0.15, 3.0) * SAMPLE_RATE), np.float32)]
        left -= len(pieces[-2]) + len(pieces[-1])
        if left <= 0:
            break
    sound = np.concatenate(pieces)
    return mixed(sound, sound, "pink", 25.0, seed)


def _figures(found: Sequence[Outcome]) -> str:
    right, wrong = (100 * float(np.mean([getattr(one, name) for one in found])) for name in ("right", "wrong"))
    return f"{right:.1f} | {wrong:.1f} | {100 - right - wrong:.1f}"


def _delay(found: Sequence[Outcome]) -> str:
    delays = [one.latency_seconds for one in found if one.latency_seconds is not None]
    return f"{np.median(delays):.2f} / {np.quantile(delays, 0.95):.2f}" if delays else "–"


def main() -> None:
    """Measure what the command line asks for."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--listen", choices=("call", "key", "always"), default="call")
    parser.add_argument("--tuning", action="store_true", help="the voices for tuning, not for the figures")
    parser.add_argument("--voices", type=int, default=99, help="only so many of them")
    parser.add_argument("--cells", default="", help="only conditions whose name holds one of these, parted by commas")
    parser.add_argument("--hours", type=float, default=0.0, help="hours of talk for false acts")
    parser.add_argument("--sensitivity", choices=("careful", "normal", "keen"), default="normal")
    chosen = parser.parse_args()
    if missing := missing_programs():
        parser.error(f"this machine lacks {', '.join(missing)}")
    talkers = (TUNING if chosen.tuning else REPORTING)[: chosen.voices]
    bench = Bench(chosen.listen, chosen.sensitivity)
    if cells := [cell for cell in CELLS if any(name in str(cell) for name in chosen.cells.split(","))]:
        measure_commands(bench, talkers, cells)
    if chosen.hours:
        measure_talk(bench, talkers, chosen.hours)
    peak_mb = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    share = bench.used_seconds / bench.heard_seconds
    print(f"\n{bench.heard_seconds / 3600:.2f} h heard with {share:.3f} of a core; peak memory {peak_mb:.0f} MB")


if __name__ == "__main__":
    main()
