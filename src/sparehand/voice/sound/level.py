"""How loud a microphone is: in decibels below full scale, and what to do about it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from sparehand.voice.sound.blocks import BLOCK_SAMPLES
from sparehand.voice.sound.samples import SAMPLE_RATE, Samples

SILENCE_DB = -90.0
QUIET_DB = -42.0
"""Speech below this was recorded from too far away; chosen by ear with invented voices."""
CLOSE_DB = 10.0
"""Speech that is less than so far above the noise is hard to tell from it."""
QUIET_END_SECONDS = 0.192
MEDIAN_BLOCKS = 5
FULL_SCALE = 0.99
_METER_FROM_DB = -60.0
_METER_WIDTH = 30


@dataclass(frozen=True)
class Level:
    """The loudness of one block: root mean square in decibels below full scale, and whether it was cut off."""

    db: float
    cut_off: bool


def level_of(samples: Samples) -> Level:
    """The level of some samples in −1 to 1; silence is SILENCE_DB."""
    rms = float(np.sqrt(np.mean(np.square(samples, dtype=np.float64)))) if len(samples) else 0.0
    db = 20 * np.log10(rms) if rms > 0 else SILENCE_DB
    return Level(max(SILENCE_DB, float(db)), bool(np.abs(samples).max(initial=0.0) >= FULL_SCALE))


def signal_to_noise_db(utterance: Samples) -> float:
    """How far an utterance stands above the quiet before and after it, which its samples must hold; in decibels."""
    return level_of(utterance).db - level_of(np.concatenate(_ends(utterance))).db


def above_steady_noise_db(utterance: Samples) -> float:
    """The same above what is usual in that quiet, in decibels: a blow of a hammer there hides no word of it."""
    return level_of(utterance).db - float(np.median([db for end in _ends(utterance) for db in block_levels(end)]))


def _ends(utterance: Samples) -> tuple[Samples, Samples]:
    quiet = round(QUIET_END_SECONDS * SAMPLE_RATE)
    return utterance[:quiet], utterance[-quiet:]


def loudest_db(levels: Sequence[float]) -> float:
    """The loudest speech among the levels of blocks: the highest median of five in a row, so that no click counts."""
    if len(levels) < MEDIAN_BLOCKS:
        return SILENCE_DB
    windows = np.lib.stride_tricks.sliding_window_view(np.asarray(levels), MEDIAN_BLOCKS)
    return float(np.median(windows, axis=1).max())


def block_levels(samples: Samples) -> list[float]:
    """The level of each whole block in decibels of full scale."""
    whole = samples[: len(samples) // BLOCK_SAMPLES * BLOCK_SAMPLES].reshape(-1, BLOCK_SAMPLES)
    return [level_of(block).db for block in whole]


def meter(level: Level) -> str:
    """The level as a line of fixed width, told in figures too."""
    share = min(1.0, max(0.0, (level.db - _METER_FROM_DB) / -_METER_FROM_DB))
    filled = round(share * _METER_WIDTH)
    return f"level {level.db:4.0f} dB [{'=' * filled}{' ' * (_METER_WIDTH - filled)}]{' too loud' * level.cut_off:<9}"


def advice(levels: Sequence[Level]) -> str:
    """What to do about a trial's levels; empty where they are good."""
    if not levels:
        return "the microphone gave no sound at all; see whether it is plugged in and switched on"
    heard = np.array([level.db for level in levels])
    speech, noise = np.percentile(heard, 95), np.percentile(heard, 10)
    if speech <= SILENCE_DB:
        return "the microphone gives silence; see whether it is muted"
    if sum(level.cut_off for level in levels) > 1:
        return "it is too loud and cut off; turn the microphone down, or move it from the mouth"
    if speech < QUIET_DB:
        return "it is too quiet; bring the microphone to the corner of your mouth, or turn it up"
    if speech - noise < CLOSE_DB:
        return "the room is nearly as loud as you; bring the microphone nearer, or use a headset"
    return ""
