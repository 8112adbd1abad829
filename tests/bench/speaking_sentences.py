"""How many words of the assistant's answers a recogniser that listens freely writes down wrongly, by voice and noise.

    python tests/bench/speaking_sentences.py MODEL-FOLDER [--sentences 60] [--words]

The answers are those of the demonstration jobs, drawn with a fixed seed. A recogniser is no ear: the order of voices
tells more than the figures. `--words` also names the words that were missed most in a clean room.
"""

from __future__ import annotations

import argparse
import random
import re
import sys
from collections import Counter
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).parents[1]))

from bench.speaking import in_noise
from job.spoken_words import whole_jobs
from sparehand.demo.noise import NoiseKind
from sparehand.voice.recognising.dictation import Dictation
from sparehand.voice.speaking.natural_voice import NATURAL
from sparehand.voice.speaking.speech import Speech
from sparehand.voice.speaking.synthesis import Synthesiser

VOICES = (NATURAL.id, "gmw/en-us")
CONDITIONS: tuple[tuple[str, NoiseKind | None, float], ...] = (
    ("clean", None, 0.0),
    ("impact wrench 10 dB", "impact wrench", 10.0),
    ("pink 10 dB", "pink", 10.0),
)
_AMERICAN = {"metre": "meter", "centre": "center", "litre": "liter"}
"""The model writes American English."""


def words_of(text: str) -> list[str]:
    """The words as the model spells them."""
    text = text.lower().replace("-", " ")
    for british, american in _AMERICAN.items():
        text = text.replace(british, american)
    return re.findall(r"[a-z']+", text)


def errors(said: list[str], heard: list[str]) -> int:
    """The word errors: substitutions, deletions and insertions (Levenshtein distance)."""
    before = np.arange(len(heard) + 1)
    for place, word in enumerate(said, 1):
        row = [place]
        for other, written in enumerate(heard, 1):
            row.append(min(before[other] + 1, row[-1] + 1, before[other - 1] + (word != written)))
        before = np.array(row)
    return int(before[-1])


def answers(count: int) -> list[str]:
    """So many sentences of the demonstration jobs' answers."""
    lines = sorted({line.spoken for said in whole_jobs() for line in said.answer.lines if line.spoken})
    return random.Random(5).sample(lines, min(count, len(lines)))


def main() -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("model", type=Path, help="folder of Vosk's English model")
    parser.add_argument("--sentences", type=int, default=60)
    parser.add_argument("--words", action="store_true")
    asked = parser.parse_args()
    dictation, texts = Dictation(asked.model), answers(asked.sentences)
    said = sum(len(words_of(text)) for text in texts)
    print(f"{len(texts)} sentences, {said} words; words wrong, %\n\n| voice | seconds of speech | ", end="")
    print(" | ".join(name for name, _, _ in CONDITIONS) + " |\n| --- | ---: |" + " ---: |" * len(CONDITIONS))
    for voice in VOICES:
        synthesiser = Synthesiser(voice, timeout_seconds=30.0)
        sounds = [one.samples for one in map(synthesiser.synthesise, texts) if isinstance(one, Speech)]
        synthesiser.close()
        print(f"| {voice} | {sum(map(len, sounds)) / 16_000:.0f} |", end="", flush=True)
        for _, noise, level in CONDITIONS:
            wrong, missed = 0, Counter[str]()
            for seed, (text, sound) in enumerate(zip(texts, sounds, strict=True)):
                heard = words_of(dictation.words(in_noise(sound, noise, level, seed)))
                wrong += errors(words_of(text), heard)
                missed += Counter(words_of(text)) - Counter(heard)
            print(f" {100 * wrong / said:.0f} |", end="", flush=True)
            if asked.words and noise is None:
                print(missed.most_common(30), end="")
        print()


if __name__ == "__main__":
    main()
