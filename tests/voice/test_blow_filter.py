"""Blows are taken down, and what lasts as long as speech passes from its beginning."""

from __future__ import annotations

import numpy as np

from sparehand.demo.noise import shop_noise
from sparehand.voice.blow_filter import BlowFilter
from sparehand.voice.sound import SAMPLE_RATE
from voice.sounds import hiss, power, through, tone


def test_blows_are_taken_down() -> None:
    blows = shop_noise("impact wrench", 8, seed=4)
    assert power(through(BlowFilter(), blows)) < 0.5 * power(blows)


def test_the_beginning_of_what_lasts_is_kept() -> None:
    quiet, loud = hiss(1, 1e-3), tone(0.5)
    sound = np.concatenate([quiet, loud, quiet])
    each = BlowFilter()
    heard = through(each, sound)[len(quiet) + round(each.delay_seconds * SAMPLE_RATE) :][: SAMPLE_RATE // 20]
    assert power(heard) > 0.8 * power(loud)
