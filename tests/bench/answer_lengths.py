"""How long answers are: words and seconds of every topic over the demonstration jobs. Prints a Markdown table.

    python tests/bench/answer_lengths.py [--each N] [--voice ID] [--words-per-minute N]

Words are counted of all distinct answers of a topic, seconds of `N` of them, drawn with a fixed seed and synthesised.
The budget holds for the words beyond sentences of the file, warnings and gates, which are always said whole.
"""

from __future__ import annotations

import argparse
import statistics
import sys
from collections import defaultdict
from collections.abc import Iterator, Sequence
from pathlib import Path
from random import Random

sys.path.insert(0, str(Path(__file__).parents[1]))

from job.spoken_words import Said, whole_jobs
from sparehand.job.answering.budgets import BUDGETS, REFUSAL, RESUME, STEP
from sparehand.voice.speaking.speech import NoSpeech
from sparehand.voice.speaking.synthesis import Synthesiser

_BUDGETS: dict[str, int] = {
    "refusal": REFUSAL,
    "resume": RESUME,
    **{str(topic): most for topic, most in BUDGETS.items()},
}
_HEAD = "| topic | answers | words, median | most | budgeted, most | budget | seconds, median | longest |"


def main() -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--each", type=int, default=12)
    parser.add_argument("--voice")
    parser.add_argument("--words-per-minute", type=int, default=160)
    asked = parser.parse_args()
    synthesiser = Synthesiser(asked.voice, asked.words_per_minute, timeout_seconds=30.0)
    print(_HEAD, "| --- | ---: | ---: | ---: | ---: | ---: | ---: | ---: |", sep="\n")
    try:
        for row in rows(synthesiser, asked.each):
            print(row, flush=True)
    finally:
        synthesiser.close()


def rows(synthesiser: Synthesiser, each: int) -> Iterator[str]:
    """One row a topic, in the order of the alphabet."""
    found: dict[str, dict[str, Said]] = defaultdict(dict)
    for said in whole_jobs():
        if said.answer.spoken.strip():
            found[said.topic][said.answer.spoken] = said
    for topic, answers in sorted(found.items()):
        every = sorted(answers.values(), key=lambda said: said.answer.spoken)
        longest = max(every, key=lambda said: said.words)
        drawn = [longest, *Random(topic).sample(every, min(each, len(every)))]
        seconds = [_seconds(synthesiser, said.answer.spoken) for said in drawn]
        yield _row(topic, every, seconds)


def _row(topic: str, every: Sequence[Said], seconds: Sequence[float]) -> str:
    words = [said.words for said in every]
    cells = (
        topic,
        len(every),
        f"{statistics.median(words):.0f}",
        max(words),
        max(said.counted for said in every),
        _BUDGETS.get(topic, STEP),
        f"{statistics.median(seconds[1:]):.1f}",
        f"{max(seconds):.1f}",
    )
    return f"| {' | '.join(map(str, cells))} |"


def _seconds(synthesiser: Synthesiser, text: str) -> float:
    spoken = synthesiser.synthesise(text)
    if isinstance(spoken, NoSpeech):
        raise SystemExit(f"no speech for '{text}': {spoken.reason}")
    return spoken.seconds


if __name__ == "__main__":
    main()
