"""What Vosk makes of what is near to a command: `PYTHONPATH=tests python tests/bench/hearing_meaning.py --models DIR`.

Opposites, parts of commands and near-commands of other meaning should set nothing off;
commands with hesitation and politeness around them, and natural ways to say them, should be understood. Everything
counts at once, and loudness varies.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Sequence
from pathlib import Path

import numpy as np

from bench.hearing.sayings import (
    EDGED_COMMANDS,
    FRAGMENTS,
    NAMED_QUESTIONS,
    NATURAL_COMMANDS,
    NEAR_COMMANDS,
    NEAR_NAMED,
    OPPOSITE_COMMANDS,
)
from bench.hearing.stream import Cell, Outcome, outcomes, stream_of
from bench.hearing.voices import Talker, add_voices, voices_of
from bench.hearing_vosk import Bench
from sparehand.voice.recognising.engines import open_recogniser

NOT_MEANT = {"opposites": OPPOSITE_COMMANDS, "parts": FRAGMENTS, "near-commands": NEAR_COMMANDS}
NOT_MEANT_BY_NAME = {"near to questions by name": NEAR_NAMED}
MEANT = {"with hesitation and politeness": tuple(EDGED_COMMANDS), "natural ways": NATURAL_COMMANDS}
MEANT_BY_NAME = {"questions by name": NAMED_QUESTIONS}


def heard_of(bench: Bench, talkers: Sequence[Talker], texts: Sequence[str], share: int) -> list[Outcome]:
    """What became of the texts, every `share`-th of them by each talker, alone in a clean room."""
    found: list[Outcome] = []
    for seed, talker in enumerate(talkers):
        stream = stream_of(talker, texts[seed % share :: share], Cell(), 50 + seed)
        found += outcomes(stream, bench.hears(stream.samples), bench.table, meant=EDGED_COMMANDS)
    return found


def main() -> None:
    """Measure all of it."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--models", type=Path, required=True, help="the folder with the installed models")
    add_voices(parser)
    parser.add_argument("--voices", type=int, default=99, help="only so many of them")
    parser.add_argument("--share", type=int, default=1, help="each voice says only every so-manieth text")
    parser.add_argument("--procedure", type=Path, help="procedures/engine-mounts.yaml, and its names count, too")
    chosen = parser.parse_args()
    by_name = bool(chosen.procedure)
    not_meant = NOT_MEANT | (NOT_MEANT_BY_NAME if by_name else {})
    all_meant = MEANT | (MEANT_BY_NAME if by_name else {})
    talkers = voices_of(parser, chosen)[: chosen.voices]
    bench = Bench(open_recogniser("vosk", chosen.models), "always", "normal", chosen.procedure)
    print("| said | utterances | understood % | acted on as something else % | asked back % |")
    print("| --- | --- | --- | --- | --- |")
    for name, texts in (not_meant | all_meant).items():
        found = heard_of(bench, talkers, texts, chosen.share)
        meant = name in all_meant
        right, asked = (100 * np.mean([getattr(one, what) for one in found]) for what in ("right", "asked"))
        wrong = 100 * np.mean([one.wrong for one in found])
        shown = f"{right:.1f}" if meant else "–"
        print(f"| {name} | {len(found)} | {shown} | {wrong:.1f} | {asked:.1f} |", flush=True)
        for one in found:
            if one.right != meant or one.wrong:
                print(f"    {one.said.talker.voice}: {one.said.text!r} {one.acted} {one.reasons}", file=sys.stderr)


if __name__ == "__main__":
    main()
