"""The blows of a tool are taken down; consonants, and the beginning of what lasts, are kept."""

from __future__ import annotations

import numpy as np

from sparehand.demo.noise import shop_noise
from sparehand.voice.sound.blow_filter import BlowFilter
from sparehand.voice.sound.samples import SAMPLE_RATE
from voice.sounds import hiss, power, through, tone


def test_blows_are_taken_down() -> None:
    blows = shop_noise("impact wrench", 8, seed=4)
    assert power(through(BlowFilter(), blows)) < 0.5 * power(blows)


def test_a_click_now_and_then_is_left_alone_for_it_may_be_a_consonant() -> None:
    sound = hiss(4, 1e-3)
    sound[:: SAMPLE_RATE // 4] += 0.5
    each = BlowFilter()
    lag = round(each.delay_seconds * SAMPLE_RATE)
    heard = through(each, sound)[lag : lag + 2 * SAMPLE_RATE]
    assert np.abs(heard - sound[: len(heard)]).max() < 1e-6


def test_the_beginning_of_what_lasts_is_kept() -> None:
    quiet, loud = hiss(1, 1e-3), tone(0.5)
    sound = np.concatenate([quiet, loud, quiet])
    each = BlowFilter()
    heard = through(each, sound)[len(quiet) + round(each.delay_seconds * SAMPLE_RATE) :][: SAMPLE_RATE // 20]
    assert power(heard) > 0.8 * power(loud)
