"""The short sounds: audible through ear defenders, told apart by rhythm alone."""

from __future__ import annotations

from itertools import combinations
from typing import get_args

import numpy as np
import pytest
from numpy.typing import NDArray

from sparehand.voice.sound.samples import SAMPLE_RATE
from sparehand.voice.speaking.tones import PEAK, Tone, tone

NAMES = get_args(Tone)


def rhythm(name: Tone) -> NDArray[np.int64]:
    """Lengths in ms of sound and silence, as an ear would take them from the samples."""
    frame = SAMPLE_RATE // 100
    sound = tone(name)
    loud = np.abs(sound[: len(sound) // frame * frame]).reshape(-1, frame).max(axis=1) > 0.1 * PEAK
    edges = np.flatnonzero(np.diff(loud.astype(int))) + 1
    return np.diff(np.concatenate(([0], edges, [len(loud)]))) * 10


@pytest.mark.parametrize("name", NAMES)
def test_the_energy_lies_between_500_and_1500_hertz(name: Tone) -> None:
    power = np.abs(np.fft.rfft(tone(name))) ** 2
    hertz = np.fft.rfftfreq(len(tone(name)), 1 / SAMPLE_RATE)

    assert power[(hertz >= 500) & (hertz <= 1500)].sum() > 0.98 * power.sum()


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("rate", [16_000, 22_050, 44_100, 48_000])
def test_a_tone_begins_and_ends_softly_and_never_clips(name: Tone, rate: int) -> None:
    sound = tone(name, rate)

    assert sound.dtype == np.float32
    assert np.abs(sound).max() == pytest.approx(PEAK)
    assert abs(sound[0]) < 0.01
    assert abs(sound[-1]) < 0.01


@pytest.mark.parametrize(("one", "other"), list(combinations(NAMES, 2)))
def test_any_two_differ_in_number_or_length_of_their_pulses(one: Tone, other: Tone) -> None:
    first, second = rhythm(one), rhythm(other)

    assert len(first) != len(second) or np.abs(first - second).max() >= 100


def test_none_is_a_chime_of_two_pulses() -> None:
    assert all(len(rhythm(name)) != 3 for name in NAMES)
