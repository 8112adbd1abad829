"""Short sounds that say without words what became of what was said.

They stay within 500 to 1,500 Hz, which passes ear defenders and lies above most of a workshop's rumble, and share one
pitch: only their rhythm tells them apart, so that nobody needs an ear for music.
"""

from __future__ import annotations

from itertools import pairwise
from typing import Literal

import numpy as np

from sparehand.voice.sound.samples import SAMPLE_RATE, Samples

Tone = Literal["heard", "not understood", "refused", "timer", "lapsed"]

RHYTHM_MS: dict[Tone, tuple[int, ...]] = {
    "heard": (60,),
    "not understood": (60, 60, 60, 60, 60),
    "refused": (420,),
    "timer": (240, 80, 60, 60, 60, 260, 240, 80, 60, 60, 60),
    "lapsed": (60, 80, 60, 80, 320),
}
"""Milliseconds of sound, silence, sound … of each tone."""

_PARTIALS_HZ = ((700.0, 0.6), (1400.0, 0.25))
_EDGE_MS = 8
PEAK = 0.5


def tone(name: Tone, rate: int = SAMPLE_RATE) -> Samples:
    """The samples of a tone at `rate` a second, with soft edges and a peak of PEAK."""
    sound = np.zeros(round(sum(RHYTHM_MS[name]) * rate / 1000), np.float32)
    edges_ms = np.concatenate(([0], np.cumsum(RHYTHM_MS[name])))
    for place, (begin_ms, end_ms) in enumerate(pairwise(edges_ms)):
        if place % 2 == 0:
            begin, end = round(begin_ms * rate / 1000), round(end_ms * rate / 1000)
            sound[begin:end] = _pulse(end - begin, rate)
    return sound


def _pulse(length: int, rate: int) -> Samples:
    seconds = np.arange(length) / rate
    wave = sum(share * np.sin(2 * np.pi * hertz * seconds) for hertz, share in _PARTIALS_HZ)
    edge = round(_EDGE_MS * rate / 1000)
    rise = 0.5 - 0.5 * np.cos(np.pi * np.arange(edge) / edge)
    envelope = np.ones(length)
    envelope[:edge], envelope[-edge:] = rise, rise[::-1]
    shaped = wave * envelope
    return np.asarray(PEAK * shaped / np.abs(shaped).max(), np.float32)
