"""The voice activity model of the wheel knows what is no voice."""

from __future__ import annotations

import numpy as np

from sparehand.voice.segmenting.activity import SileroActivity
from sparehand.voice.sound.blocks import BLOCK_SAMPLES
from sparehand.voice.sound.samples import SAMPLE_RATE, Samples
from voice.sounds import hiss


def _highest(sound: Samples) -> float:
    """The highest probability of speech that the model gives a block of `sound`."""
    activity = SileroActivity()
    whole = sound[: len(sound) // BLOCK_SAMPLES * BLOCK_SAMPLES]
    return max(activity.probability(block) for block in whole.reshape(-1, BLOCK_SAMPLES))


def test_noise_that_starts_and_stops_is_no_voice() -> None:
    assert _highest(np.concatenate([hiss(2, 0.01), hiss(2, 0.3), hiss(2, 0.01)])) < 0.5


def test_silence_is_no_voice() -> None:
    assert _highest(np.zeros(3 * SAMPLE_RATE, np.float32)) < 0.5
