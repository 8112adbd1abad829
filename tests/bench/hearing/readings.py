"""Three-digit readings by people and by the voices kept for reporting: how often the read-back is wrong.

    PYTHONPATH=tests python -m bench.hearing.readings --engine vosk --models DIR

Only what counts at a step with a measurement is open. A reading is read back and confirmed; a wrong one is answered
with "no cancel", and what was not heard is said again. So the turns spoken for an accepted reading, the confirmation
apart, are (1 + share wrong) / share right.
"""

from __future__ import annotations

import argparse
import sys
from bisect import bisect_right
from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from bench.hearing.keyed import decisions_with_key
from bench.hearing.noises import Noise, mixed
from bench.hearing.people import PEOPLE, cries, missing_recordings, prompts, sentences
from bench.hearing.stream import Cell, Speaks, belongs, decisions, stream_of
from bench.hearing.voices import REPORTING, missing_programs
from sparehand.job.situation import SITUATIONS, Situation
from sparehand.voice.ears import Ears
from sparehand.voice.phrases.phrase_file import load_phrases
from sparehand.voice.phrases.spoken_numbers import words_from_digits
from sparehand.voice.recognising.engines import open_recogniser
from sparehand.voice.recognising.heard import Heard
from sparehand.voice.recognising.recogniser import Recogniser
from sparehand.voice.recognising.rejection import NOT_SURE, Listening
from sparehand.voice.sound.samples import SAMPLE_RATE, Samples

AT_A_MEASUREMENT: frozenset[Situation] = frozenset({"working", "reading", "tightening", "finished"})
CELLS = (Cell(), Cell("pink", 20.0), Cell("impact wrench", 20.0), Cell("pink", 10.0))
EACH = 30
"""Readings by each person, and by every three voices."""
CONFIDENCES = (0.75, 0.6, 0.5, 0.4, 0.3)
TALK_LEVEL_DB = 15.0
SHORTEST_PAUSE = 0.7
"""Seconds; longer than it takes to decide."""
TALK_NOISES: tuple[Noise | None, ...] = (None, "impact wrench", "babble")


@dataclass(frozen=True)
class Read:
    """What was first made of a reading: what was heard, whether rightly, and how surely; empty where nothing was."""

    said: str
    text: str
    right: bool
    confidence: float


class Bench:
    """One recogniser and one way of listening."""

    def __init__(self, recogniser: Recogniser, listen: Listening) -> None:
        self.table = load_phrases()
        self._recogniser = recogniser
        self._listen: Listening = listen

    def reads(self, talker: Speaks, texts: Sequence[str], cell: Cell, seed: int) -> Iterator[Read]:
        """What becomes of the readings, each alone; the gate of confidence is left to the table."""
        stream = stream_of(talker, texts, cell, seed)
        ears = self.ears(AT_A_MEASUREMENT)
        heard = decisions_with_key(ears, stream) if self._listen == "key" else decisions(ears, stream.samples)
        for said in stream.said:
            wanted = self.table.command_for(said.text, AT_A_MEASUREMENT)
            first = next((one for one in heard if belongs(one, said)), None)
            if first is None or first.reason not in ("", NOT_SURE):
                yield Read(said.text, "", right=False, confidence=0.0)
                continue
            meant = self.table.command_for(first.text, AT_A_MEASUREMENT)
            yield Read(said.text, first.text, meant == wanted, first.confidence)

    def acts(self, sound: Samples) -> list[Heard]:
        """What talk was taken for, every situation open."""
        return [one for one in decisions(self.ears(SITUATIONS), sound) if one.accepted]

    def ears(self, situations: Collection[Situation]) -> Ears:
        """Fresh ears."""
        return Ears(self._recogniser, self.table, listen=self._listen, situations=situations)


def measure_readings(bench: Bench) -> None:
    """Print the table: right, wrong and turns, by the least confidence at which a reading is read back."""
    heads = " | ".join(f"from {least:g}" for least in CONFIDENCES)
    print(f"right / wrong %, turns, read back {heads}\n| said by | conditions | {heads} |")
    print("| --- " * (2 + len(CONFIDENCES)) + "|")
    for cell in CELLS:
        for name, said in (("people", _by_people), ("voices", _by_voices)):
            found = said(bench, cell)
            cells = " | ".join(_figures(found, least) for least in CONFIDENCES)
            print(f"| {name} ({len(found)}) | {cell} | {cells} |", flush=True)
            for one in found:
                if not one.right or one.confidence < CONFIDENCES[0]:
                    print(f"    {one.said!r} {one.text!r} {one.confidence:.2f}", file=sys.stderr)


def _figures(found: Sequence[Read], least: float) -> str:
    kept = [one for one in found if one.text and one.confidence >= least]
    right, wrong = (sum(one.right == rightly for one in kept) / len(found) for rightly in (True, False))
    turns = f"{(1 + wrong) / right:.2f}" if right else "–"
    return f"{100 * right:.0f} / {100 * wrong:.0f}, {turns}"


def _by_people(bench: Bench, cell: Cell) -> list[Read]:
    return [
        one
        for seed, person in enumerate(PEOPLE)
        for one in bench.reads(person, person.readings(EACH, seed), cell, seed)
    ]


def _by_voices(bench: Bench, cell: Cell) -> list[Read]:
    found: list[Read] = []
    for seed, talker in enumerate(REPORTING):
        values = np.random.default_rng(50 + seed).integers(0, 1000, EACH // 3)
        found += bench.reads(talker, [" ".join(words_from_digits(f"{value:03}")) for value in values], cell, seed)
    return found


def measure_talk(bench: Bench) -> None:
    """Print what the bench does on what people say in recordings, a second or two apart, clean and over noise."""
    print("\n| people | over | minutes | acts | asked back |\n| --- | --- | --- | --- | --- |")
    for name, recordings in (("read, cards, numbers", sentences()), ("prompts", prompts()), ("cries", cries())):
        random = np.random.default_rng(0)
        pieces: list[Samples] = []
        begun: list[tuple[float, str]] = []
        seconds = 0.0
        for one in recordings:
            pieces += [_quiet(random.uniform(SHORTEST_PAUSE, 3.5)), one.sound]
            begun.append((seconds, one.name))
            seconds += (len(pieces[-2]) + len(one.sound)) / SAMPLE_RATE
        talk = np.concatenate([*pieces, _quiet(1.0)])
        for noise in TALK_NOISES:
            acts = bench.acts(mixed(talk, talk, noise, TALK_LEVEL_DB, 1) if noise else talk)
            acted, asked = (_by_recording(acts, begun, asked=asked) for asked in (False, True))
            print(f"| {name} | {noise or 'nothing'} | {seconds / 60:.1f} | {acted} | {asked} |", flush=True)


def _by_recording(acts: Sequence[Heard], begun: Sequence[tuple[float, str]], *, asked: bool) -> str:
    chosen = [(one.phrase.decided_at - SHORTEST_PAUSE, one.text) for one in acts if one.asks_back is asked]
    named = [f'"{text}" ({begun[bisect_right(begun, (at, "~")) - 1][1]})' for at, text in chosen]
    return f"{len(named)}: {', '.join(named)}"


def _quiet(seconds: float) -> Samples:
    return np.zeros(int(seconds * SAMPLE_RATE), np.float32)


def main() -> None:
    """Measure what the command line asks for."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--engine", choices=("vosk", "pocketsphinx"), required=True)
    parser.add_argument("--models", type=Path, default=Path(), help="the folder with the installed models, for vosk")
    parser.add_argument("--only", choices=("readings", "talk"), help="one of the two tables")
    chosen = parser.parse_args()
    if missing := missing_programs():
        parser.error(f"this machine lacks {', '.join(missing)}")
    if missing := missing_recordings():
        parser.error(f"this machine lacks of Debian's packages: {', '.join(missing)}")
    recogniser = open_recogniser(chosen.engine, chosen.models)
    if chosen.only != "talk":
        measure_readings(Bench(recogniser, "always" if chosen.engine == "vosk" else "key"))
    if chosen.only != "readings":
        measure_talk(Bench(recogniser, "always" if chosen.engine == "vosk" else "call"))


if __name__ == "__main__":
    main()
