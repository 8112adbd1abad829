"""The sound of the microphone with the noise of the shop taken down, for recognisers that hear better so."""

from __future__ import annotations

from sparehand.voice.sound.blow_filter import BlowFilter
from sparehand.voice.sound.noise_filter import NoiseFilter
from sparehand.voice.sound.samples import SoundBlock


class CleanSound:
    """Steady noise is taken down first, then blows."""

    def __init__(self) -> None:
        self._filters = (NoiseFilter(), BlowFilter())

    def feed(self, block: SoundBlock) -> SoundBlock:
        """The next clean block. It lags behind, and has a time of its own, which keeps the times of words right."""
        samples, start = block.samples, block.start_seconds
        for each in self._filters:
            samples = each.feed(samples)
            start -= each.delay_seconds
        return SoundBlock(samples, start, block.moment)
