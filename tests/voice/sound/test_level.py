from __future__ import annotations

import numpy as np
import pytest

from sparehand.voice.sound.level import (
    SILENCE_DB,
    Level,
    above_steady_noise_db,
    advice,
    level_of,
    meter,
    signal_to_noise_db,
)
from sparehand.voice.sound.samples import SAMPLE_RATE
from voice.sounds import tone


def levels(*amplitudes: float) -> list[Level]:
    return [level_of(np.full(512, amplitude, np.float32)) for amplitude in amplitudes]


def test_a_sine_of_half_scale_is_nine_decibels_below_full_scale() -> None:
    assert level_of(tone(1.0)).db == pytest.approx(20 * np.log10(0.5 / np.sqrt(2)), abs=0.01)


def test_silence_and_nothing_have_a_level() -> None:
    assert level_of(np.zeros(512, np.float32)).db == SILENCE_DB
    assert level_of(np.zeros(0, np.float32)).db == SILENCE_DB


@pytest.mark.parametrize(
    ("heard", "says"),
    [
        ([], "no sound at all"),
        (levels(0, 0, 0), "muted"),
        (levels(0.001, 1.0, 1.0), "too loud"),
        (levels(0.0001, 0.004, 0.004), "too quiet"),
        (levels(0.1, 0.15, 0.2), "nearly as loud as you"),
    ],
)
def test_a_bad_level_comes_with_what_to_do(heard: list[Level], says: str) -> None:
    assert says in advice(heard)


def test_a_good_level_needs_no_advice() -> None:
    assert advice(levels(0.002, 0.002, 0.1, 0.12)) == ""


@pytest.mark.parametrize("amplitude", [0.0, 0.001, 0.5, 1.0])
def test_the_meter_keeps_its_width_and_says_figures(amplitude: float) -> None:
    (level,) = levels(amplitude)
    assert len(meter(level)) == len(meter(level_of(np.zeros(1, np.float32))))
    assert f"{level.db:.0f} dB" in meter(level)
    assert ("too loud" in meter(level)) is level.cut_off


def test_speech_stands_above_the_quiet_around_it() -> None:
    quiet, speech = tone(0.3) * np.float32(0.01), tone(0.4)
    assert signal_to_noise_db(np.concatenate([quiet, speech, quiet])) == pytest.approx(36, abs=1)


def test_a_blow_beside_an_utterance_is_no_steady_noise() -> None:
    noise = np.random.default_rng(0).normal(0, 0.01, 2 * SAMPLE_RATE).astype(np.float32)
    noise[SAMPLE_RATE // 2 : 3 * SAMPLE_RATE // 2] += np.float32(0.3)
    struck = noise.copy()
    struck[800:2000] = 0.9
    assert above_steady_noise_db(noise) == pytest.approx(signal_to_noise_db(noise), abs=0.5)
    assert above_steady_noise_db(struck) == pytest.approx(above_steady_noise_db(noise), abs=3)
    assert signal_to_noise_db(struck) < signal_to_noise_db(noise) - 10
