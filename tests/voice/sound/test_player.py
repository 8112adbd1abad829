"""The queue between the threads that speak and the device that plays."""

from __future__ import annotations

import numpy as np
from hypothesis import given, strategies as st

from sparehand.voice.sound.output import BLOCK_SECONDS
from sparehand.voice.sound.player import FADE_SECONDS, PlaybackQueue

RATE = 48_000
BLOCK = round(BLOCK_SECONDS * RATE)


@given(st.lists(st.integers(0, 500), max_size=8), st.lists(st.integers(1, 300), min_size=1, max_size=30))
def test_samples_come_out_in_order_once_each_and_then_silence(pieces: list[int], blocks: list[int]) -> None:
    everything = np.arange(1, sum(pieces) + 1, dtype=np.float32)
    queue = PlaybackQueue(RATE)
    for piece in np.split(everything, np.cumsum(pieces)[:-1] if pieces else []):
        queue.add(piece)

    played = np.concatenate([queue.fill(count) for count in blocks])

    expected = np.zeros(len(played), np.float32)
    expected[: len(everything)] = everything[: len(played)]
    assert np.array_equal(played, expected)


def test_after_a_stop_the_last_sound_leaves_within_50_ms_of_samples() -> None:
    queue = PlaybackQueue(RATE)
    queue.add(np.ones(RATE, np.float32))
    queue.fill(BLOCK)

    queue.clear()
    after = np.concatenate([queue.fill(BLOCK) for _ in range(10)])

    # A stop can come just after a block was fetched, which then still sounds: one block more.
    sounding = BLOCK + np.flatnonzero(after)[-1] + 1
    assert sounding <= 0.05 * RATE
    assert np.flatnonzero(after)[-1] + 1 <= round(FADE_SECONDS * RATE)


def test_a_stop_dies_away_without_a_click() -> None:
    queue = PlaybackQueue(RATE)
    queue.add(np.ones(RATE, np.float32))
    before = queue.fill(BLOCK)

    queue.clear()
    sound = np.concatenate((before, queue.fill(BLOCK)))

    assert np.abs(np.diff(sound[1:])).max() < 0.02


def test_it_sounds_until_the_device_has_played_its_own_buffer() -> None:
    queue = PlaybackQueue(RATE, latency_seconds=2 * BLOCK_SECONDS)
    assert not queue.sounding

    queue.add(np.ones(BLOCK, np.float32))
    states = [(queue.fill(BLOCK), queue.sounding)[1] for _ in range(4)]

    assert states == [True, True, False, False]
