"""Recordings of people from Debian's package pocketsphinx-testdata: digits cut out of them, and sentences.

Two men say digits there, one a string, the other playing cards; their digits are put together anew, with the short
gaps that people leave when they read out an instrument. A third person reads from a novel.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from itertools import permutations
from pathlib import Path

import numpy as np
import soundfile

from bench.hearing.voices import SPEECH_LEVEL
from sparehand.demo.noise import active_level
from sparehand.voice.sound.samples import SAMPLE_RATE, Samples

FOLDER = Path("/usr/share/pocketsphinx/test/data")
GAPS_SECONDS = (0.05, 0.2)
SENTENCES = (
    *(f"librivox/sense_and_sensibility_01_austen_64kb-0{number}.wav" for number in (870, 880, 890, 920, 930)),
    *("something.raw", "goforward.raw", "numbers.raw"),
    *(f"cards/00{number}.wav" for number in range(1, 6)),
)
"""Talk by people: read sentences, cards, and numbers that are no reading."""


@dataclass(frozen=True)
class Token:
    """One digit in a recording, in hundredths of a second, as a forced alignment found it."""

    word: str
    file: str
    start: int
    end: int


@dataclass(frozen=True)
class Person:
    """Somebody whose digits were recorded."""

    voice: str
    tokens: tuple[Token, ...]

    def says(self, text: str) -> Samples:
        """The digits of `text`, each in the next of this person's ways to say it."""
        random = np.random.default_rng(list(text.encode()))
        left = list(self.tokens)
        pieces: list[Samples] = []
        for word in text.split():
            token = next(token for token in left if token.word == word)
            left.remove(token)
            gap = int(random.uniform(*GAPS_SECONDS) * SAMPLE_RATE)
            pieces += [_cut(token), np.zeros(gap, np.float32)]
        return np.concatenate(pieces[:-1])

    def readings(self, count: int, seed: int) -> list[str]:
        """So many strings of three digits, no recording used twice in one."""
        texts = sorted({" ".join(token.word for token in three) for three in permutations(self.tokens, 3)})
        return [str(text) for text in np.random.default_rng(seed).permutation(texts)[:count]]


PEOPLE = (
    Person("a man reading digits", tuple(Token(word, "tidigits/dhd.2934z.raw", start, end) for word, start, end in (
        ("two", 22, 41), ("nine", 41, 65), ("three", 65, 88), ("four", 88, 113), ("zero", 113, 162),
    ))),
    Person("a man naming cards", (
        Token("four", "cards/002.wav", 0, 63), Token("seven", "cards/003.wav", 7, 56),
        Token("five", "cards/004.wav", 0, 72), Token("five", "cards/004.wav", 83, 124),
        Token("eight", "cards/005.wav", 19, 42), Token("four", "cards/005.wav", 125, 154),
        Token("seven", "cards/005.wav", 222, 263),
    )),
)  # fmt: skip


def sentences() -> Iterator[Samples]:
    """The talk, one recording after another, at the level of speech."""
    for file in SENTENCES:
        yield _levelled(_recording(file))


def recordings_are_here() -> bool:
    """Whether the package is installed."""
    return FOLDER.is_dir()


@cache
def _recording(file: str) -> Samples:
    path = FOLDER / file
    if path.suffix == ".raw":
        return np.asarray(np.fromfile(path, "<i2") / 32768, np.float32)
    sound, rate = soundfile.read(path, dtype="float32")
    assert rate == SAMPLE_RATE
    return np.asarray(sound, np.float32)


@cache
def _cut(token: Token) -> Samples:
    """The digit with ten milliseconds faded in and out, so that no click betrays the cut."""
    sound = _recording(token.file)[token.start * 160 : token.end * 160].copy()
    fade = np.linspace(0, 1, 160, dtype=np.float32)
    sound[:160] *= fade
    sound[-160:] *= fade[::-1]
    return _levelled(sound)


def _levelled(sound: Samples) -> Samples:
    return np.asarray(sound * (SPEECH_LEVEL / active_level(sound)), np.float32)
