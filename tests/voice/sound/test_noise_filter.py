"""Steady noise is taken down, speech is not; and what every filter of the stream does."""

from __future__ import annotations

import numpy as np
import pytest

from sparehand.voice.sound.blocks import BLOCK_SAMPLES
from sparehand.voice.sound.blow_filter import BlowFilter
from sparehand.voice.sound.noise_filter import NoiseFilter
from sparehand.voice.sound.samples import SAMPLE_RATE
from voice.sounds import hiss, power, through, tone

every_filter = pytest.mark.parametrize("kind", [NoiseFilter, BlowFilter])


@every_filter
def test_as_much_comes_out_as_goes_in_a_little_later(kind: type[NoiseFilter | BlowFilter]) -> None:
    burst = np.concatenate([hiss(1, 1e-4), tone(0.2), hiss(1, 1e-4)])
    each = kind()
    out = through(each, burst)
    assert len(out) == len(burst) // BLOCK_SAMPLES * BLOCK_SAMPLES
    lag = np.argmax(np.correlate(out, burst[SAMPLE_RATE : SAMPLE_RATE * 6 // 5], "valid")) - SAMPLE_RATE
    assert lag == round(each.delay_seconds * SAMPLE_RATE)


@every_filter
def test_sound_well_above_the_noise_passes_unharmed(kind: type[NoiseFilter | BlowFilter]) -> None:
    quiet, loud = hiss(4, 0.001), tone(0.5)
    sound = np.concatenate([quiet, loud + quiet[: len(loud)], quiet])
    each = kind()
    start, length = len(quiet) + SAMPLE_RATE // 8, SAMPLE_RATE // 4
    heard = through(each, sound)[start + round(each.delay_seconds * SAMPLE_RATE) :][:length]
    assert power(heard - sound[start : start + length]) < 0.01 * power(loud)


@every_filter
def test_silence_stays_silence(kind: type[NoiseFilter | BlowFilter]) -> None:
    assert not through(kind(), np.zeros(SAMPLE_RATE, np.float32)).any()


def test_steady_noise_is_taken_down_by_the_least_gain() -> None:
    noise = hiss(6, 0.01)
    assert power(through(NoiseFilter(), noise)[-SAMPLE_RATE:]) < 0.25 * power(noise)
