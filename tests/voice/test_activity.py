"""The voice activity model of the wheel knows what is no voice."""

from __future__ import annotations

import numpy as np

from sparehand.voice.activity import SileroActivity
from sparehand.voice.blocks import BLOCK_SAMPLES
from sparehand.voice.sound import Samples

LOUD = 0.3


def _hiss(blocks: int, level: float = 0.01, seed: int = 2) -> list[Samples]:
    noise = np.random.default_rng(seed).normal(0, level, (blocks, BLOCK_SAMPLES))
    return list(noise.astype(np.float32))


def _answers(blocks: list[Samples]) -> list[float]:
    activity = SileroActivity()
    return [activity.probability(block) for block in blocks]


def test_noise_that_starts_and_stops_is_no_voice() -> None:
    assert max(_answers([*_hiss(60), *_hiss(60, LOUD), *_hiss(60)])) < 0.5


def test_silence_is_no_voice() -> None:
    assert max(_answers(_hiss(100, 0.0))) < 0.5
