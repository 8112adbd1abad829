"""How much better words explain a sound than any sequence of phones does: a decoy that costs one cheap pass."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

_SURE_HALF_WORDS = -32.5
_SURE_STEP = 3.0
_WORD_HALF = -55.0
_WORD_STEP = 7.0


@dataclass(frozen=True)
class Stretch:
    """A word, a phone or a silence with its frames, from `start` up to but without `end`, and its score as a sum."""

    text: str
    start: int
    end: int
    score: float

    @property
    def filler(self) -> bool:
        """Whether it is a silence or a noise rather than a word."""
        return not self.text or self.text[0] in "<[(+"


@dataclass(frozen=True)
class Margins:
    """Score of the words minus that of free phones, a frame: of the whole utterance, and of each word.

    0 is as good as free phones can do; speech that is something else lies far below. The unit is the recogniser's own.
    """

    whole: float
    words: tuple[float, ...]


def margins(path: Sequence[Stretch], phones: Sequence[Stretch]) -> Margins:
    """The margins of a path of words and silences over the phones of the same sound.

    What the path passes over as silence counts too, divided among the frames of its words: talk hidden there costs.
    """
    frames = max(stretch.end for stretch in (*path, *phones))
    gain = _by_frame(path, frames) - _by_frame(phones, frames)
    words = [stretch for stretch in path if not stretch.filler]
    spoken = sum(word.end - word.start for word in words)
    each = tuple(float(gain[word.start : word.end].mean()) for word in words)
    return Margins(float(gain.sum()) / spoken, each)


def phrase_confidence(margin: float) -> float:
    """A margin of a whole utterance as confidence, 0 to 1: 0.7 where 2 % of rightly heard phrases lie below."""
    return _logistic((margin - _SURE_HALF_WORDS) / _SURE_STEP)


def word_confidence(margin: float) -> float:
    """A margin of one word as confidence, 0 to 1; short words vary more than phrases."""
    return _logistic((margin - _WORD_HALF) / _WORD_STEP)


def _logistic(value: float) -> float:
    return 1 / (1 + math.exp(-max(-60.0, min(60.0, value))))


def _by_frame(stretches: Sequence[Stretch], frames: int) -> NDArray[np.float64]:
    scores = np.zeros(frames)
    for stretch in stretches:
        scores[stretch.start : stretch.end] = stretch.score / (stretch.end - stretch.start)
    return scores
