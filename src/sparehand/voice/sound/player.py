"""What waits to be played, handed out block by block to whatever plays it."""

from __future__ import annotations

import threading
from collections import deque

import numpy as np

from sparehand.voice.sound.samples import Samples

FADE_SECONDS = 0.004
"""How long sound takes to die away when it is cut, so that it does not click."""


class PlaybackQueue:
    """Samples in order, from the threads that speak to the one that plays. Falling silent takes one block."""

    def __init__(self, rate: int, latency_seconds: float = 0.0) -> None:
        """`latency_seconds` is what the device keeps in its own buffers; that long after, sound still comes out."""
        self.rate = rate
        self._fade = round(FADE_SECONDS * rate)
        self._latency = round(latency_seconds * rate)
        self._silent = self._latency
        self._waiting: deque[Samples] = deque()
        self._lock = threading.Lock()

    @property
    def sounding(self) -> bool:
        """Whether anything waits, or has not yet left the device."""
        with self._lock:
            return bool(self._waiting) or self._silent < self._latency

    def add(self, samples: Samples) -> None:
        """Play `samples` (at `rate`) after what waits."""
        if len(samples):
            with self._lock:
                self._waiting.append(samples)

    def clear(self) -> None:
        """Drop all but the few milliseconds over which the present sound dies away."""
        with self._lock:
            rest = self._take(self._fade)
            self._waiting.clear()
            if len(rest):
                self._waiting.append(rest * np.linspace(1.0, 0.0, len(rest), dtype=np.float32))

    def fill(self, count: int) -> Samples:
        """The next `count` samples, silence after the last. Short, for it is called from the sound callback."""
        block = np.zeros(count, np.float32)
        with self._lock:
            taken = self._take(count)
            block[: len(taken)] = taken
            self._silent = 0 if len(taken) else min(self._silent + count, self._latency)
        return block

    def _take(self, count: int) -> Samples:
        parts: list[Samples] = []
        while self._waiting and count > 0:
            head = self._waiting.popleft()
            parts.append(head[:count])
            if len(head) > count:
                self._waiting.appendleft(head[count:])
            count -= len(parts[-1])
        return np.concatenate(parts) if parts else np.zeros(0, np.float32)
