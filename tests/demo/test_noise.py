"""Shop noise: always the same, and at the level that is claimed."""

from __future__ import annotations

from typing import get_args

import numpy as np
import pytest
from hypothesis import given, strategies as st

from sparehand.demo.noise import NoiseKind, active_level, at_level, shop_noise
from sparehand.voice.sound.samples import SAMPLE_RATE, Samples

KINDS: tuple[NoiseKind, ...] = get_args(NoiseKind)


def rms(sound: Samples) -> float:
    return float(np.sqrt(np.mean(np.square(sound, dtype=np.float64))))


def level_between(sound: Samples, low_hz: float, high_hz: float) -> float:
    """Mean power of the spectrum between two frequencies, in dB."""
    power = np.abs(np.fft.rfft(sound.astype(np.float64))) ** 2
    hertz = np.fft.rfftfreq(len(sound), 1 / SAMPLE_RATE)
    return float(10 * np.log10(power[(hertz >= low_hz) & (hertz < high_hz)].mean()))


@pytest.mark.parametrize("kind", KINDS)
def test_the_same_seed_gives_the_same_noise_and_another_seed_another(kind: NoiseKind) -> None:
    assert np.array_equal(shop_noise(kind, 2.0, 1), shop_noise(kind, 2.0, 1))
    assert not np.array_equal(shop_noise(kind, 2.0, 1), shop_noise(kind, 2.0, 2))


@pytest.mark.parametrize("kind", KINDS)
def test_noise_has_the_length_and_power_it_promises(kind: NoiseKind) -> None:
    noise = shop_noise(kind, 3.5, 1)

    assert noise.shape == (round(3.5 * SAMPLE_RATE),)
    assert noise.dtype == np.float32
    assert rms(noise) == pytest.approx(0.1, rel=1e-3)


def test_pink_noise_falls_three_decibels_an_octave() -> None:
    noise = shop_noise("pink", 20.0, 1)
    falls = [
        level_between(noise, hz, 2 * hz) - level_between(noise, 2 * hz, 4 * hz) for hz in (100, 200, 400, 800, 1600)
    ]

    assert falls == pytest.approx([3.01] * 5, abs=0.4)


def test_hum_lies_low_and_an_impact_wrench_lies_high() -> None:
    hum, wrench = shop_noise("compressor hum", 5.0, 1), shop_noise("impact wrench", 5.0, 1)

    assert level_between(hum, 40, 700) > level_between(hum, 1500, 7000) + 20
    assert level_between(wrench, 1500, 7000) > level_between(wrench, 40, 700)


@given(snr_db=st.floats(-10, 40), loudness=st.floats(0.001, 1.0), pause=st.integers(0, 3))
def test_the_level_is_measured_over_speech_and_not_over_pauses(snr_db: float, loudness: float, pause: int) -> None:
    tone = np.asarray(loudness * np.sin(np.arange(SAMPLE_RATE) * 0.3), np.float32)
    speech = np.concatenate((tone, np.zeros(pause * SAMPLE_RATE, np.float32)))

    noise = at_level(speech, shop_noise("pink", 1.0, 1), snr_db)

    assert 20 * np.log10(active_level(speech) / rms(noise)) == pytest.approx(snr_db, abs=0.01)
    assert active_level(speech) == pytest.approx(loudness / np.sqrt(2), rel=0.01)


@pytest.mark.parametrize("sound", [np.zeros(0, np.float32), np.zeros(SAMPLE_RATE, np.float32)])
def test_silence_has_no_level_and_takes_no_noise(sound: Samples) -> None:
    assert active_level(sound) == 0.0
    assert not at_level(sound, shop_noise("pink", 1.0, 1), 10.0).any()
    assert not at_level(np.ones(400, np.float32), sound, 10.0).any()
