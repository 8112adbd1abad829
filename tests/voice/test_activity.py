"""The voice activity model is asked only where somebody could be speaking, and misses nothing of it."""

from __future__ import annotations

import numpy as np

from sparehand.voice.activity import AWAKE_BLOCKS, SileroActivity, SparingActivity
from sparehand.voice.blocks import BLOCK_SAMPLES
from sparehand.voice.sound import Samples

LOUD = 0.3


class Asked:
    """A model that is sure of everything, and keeps what it was asked."""

    def __init__(self) -> None:
        self.blocks: list[Samples] = []

    def probability(self, samples: Samples) -> float:
        self.blocks.append(samples)
        return 1.0


def _hiss(blocks: int, level: float = 0.01, seed: int = 2) -> list[Samples]:
    noise = np.random.default_rng(seed).normal(0, level, (blocks, BLOCK_SAMPLES))
    return list(noise.astype(np.float32))


def _answers(sparing: SparingActivity, blocks: list[Samples]) -> list[float]:
    return [sparing.probability(block) for block in blocks]


def test_steady_noise_is_not_asked_about() -> None:
    model = Asked()
    assert not any(_answers(SparingActivity(model), _hiss(500)))
    assert model.blocks == []


def test_silence_is_not_asked_about() -> None:
    model = Asked()
    assert not any(_answers(SparingActivity(model), _hiss(200, 0.0)))
    assert model.blocks == []


def test_what_rises_is_asked_about_at_once_with_what_came_just_before() -> None:
    model, quiet, loud = Asked(), _hiss(100), _hiss(1, LOUD)
    sparing = SparingActivity(model)
    _answers(sparing, quiet)
    assert _answers(sparing, loud) == [1.0]
    assert all(heard is given for heard, given in zip(model.blocks, (*quiet[-10:], *loud), strict=True))


def test_it_stays_awake_longer_than_people_pause() -> None:
    sparing = SparingActivity(Asked())
    _answers(sparing, _hiss(100))
    answers = _answers(sparing, _hiss(1, LOUD) + _hiss(100, seed=3))
    assert answers == [1.0] * AWAKE_BLOCKS + [0.0] * (101 - AWAKE_BLOCKS)


def test_talk_without_a_pause_is_asked_about_to_its_end() -> None:
    syllables = np.abs(np.sin(2 * np.pi * 4 * np.arange(1000) * BLOCK_SAMPLES / 16_000))
    talk = [block * np.float32(1 + 20 * level) for block, level in zip(_hiss(1000), syllables, strict=True)]
    answers = _answers(SparingActivity(Asked()), [*_hiss(100), *talk])
    assert all(answers[110:])


def test_the_model_of_the_wheel_knows_that_noise_is_no_voice() -> None:
    bursts = [*_hiss(60), *_hiss(60, LOUD), *_hiss(60)]
    assert max(_answers(SileroActivity(), bursts)) < 0.5
