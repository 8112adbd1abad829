"""Sound and what is heard in it, as types."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from sparehand.ground.clock import Moment

SAMPLE_RATE = 16_000
"""Samples a second of every block that flows; sources resample to it."""

Samples = NDArray[np.float32]
"""Mono samples in −1 to 1, shape (n,)."""


def pcm_of(samples: Samples) -> bytes:
    """The samples as recognisers take them: 16 bits each, little-endian; what is louder than full scale is cut off."""
    return (np.clip(samples, -1, 1) * 32767).astype("<i2").tobytes()


@dataclass(frozen=True)
class SoundBlock:
    """Mono sound at SAMPLE_RATE from stream time `start_seconds`; `moment` is when its last sample arrived."""

    samples: Samples
    start_seconds: float
    moment: Moment

    @property
    def end_seconds(self) -> float:
        """Stream time just after the last sample."""
        return self.start_seconds + len(self.samples) / SAMPLE_RATE


@dataclass(frozen=True)
class Utterance:
    """A stretch of speech cut out of the stream, with what the gates need to know of it (all in stream seconds).

    `recent_speech` is the share of the seconds before it in which the talker said what nothing was done about, 0 to 1;
    `recent_turns` is how many utterances that was; `in_conversation` says that people talk to each other,
    `perhaps_in_conversation` that noise hides whether they do.
    """

    samples: Samples
    start: float
    end: float
    decided_at: float
    speech_seconds: float
    silence_before: float
    silence_after: float
    moment: Moment
    recent_speech: float = 0.0
    recent_turns: int = 0
    in_conversation: bool = False
    perhaps_in_conversation: bool = False


@dataclass(frozen=True)
class Word:
    """A recognised word with its stream times and confidence in 0 to 1."""

    text: str
    start: float
    end: float
    confidence: float


@dataclass(frozen=True)
class Phrase:
    """What was said, before anyone asks what it means. Typed lines are phrases too, with confidence 1."""

    text: str
    start: float
    end: float
    decided_at: float
    confidence: float
    moment: Moment
    words: tuple[Word, ...] = field(default=())
