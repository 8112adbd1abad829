"""Synthesised speech as a value."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from sparehand.voice.sound.samples import SAMPLE_RATE, Samples


@dataclass(frozen=True)
class Speech:
    """What was synthesised for `text`: mono samples in −1 to 1 at `rate` a second, as the voice gives them."""

    text: str
    native: Samples
    rate: int

    @property
    def seconds(self) -> float:
        """How long it lasts."""
        return len(self.native) / self.rate

    @cached_property
    def samples(self) -> Samples:
        """The same at SAMPLE_RATE, the rate of everything that flows."""
        return self.at(SAMPLE_RATE)

    def at(self, rate: int) -> Samples:
        """The same at another rate."""
        import soxr

        if rate == self.rate:
            return self.native
        resampled: Samples = soxr.resample(self.native, self.rate, rate)
        return np.clip(resampled, -1.0, 1.0)


@dataclass(frozen=True)
class NoSpeech:
    """Why `text` could not be synthesised; it stands on the screen all the same."""

    text: str
    reason: str
