"""Hears and speaks through the real PortAudio until its input ends; says in lines what it notices. For a test."""

from __future__ import annotations

import sys
import threading
from contextlib import suppress

import numpy as np

from sparehand.ground.clock import LiveClock
from sparehand.ground.errors import FailureError
from sparehand.ground.ids import new_run_id
from sparehand.voice.sound.microphone import MicrophoneSource
from sparehand.voice.sound.output import DeviceOutput
from sparehand.voice.sound.samples import Samples


def _say(words: str) -> None:
    print(words, flush=True)


def main() -> None:
    played = 0

    def hum(count: int) -> Samples:
        nonlocal played
        played += count
        return np.full(count, 0.05, np.float32)

    output = DeviceOutput(None)
    output.start(hum)
    source = MicrophoneSource(None, LiveClock(new_run_id()), _say)

    def close_when_told() -> None:
        sys.stdin.read()
        source.close()

    ends = threading.Thread(target=close_when_told, daemon=True)
    ends.start()
    heard = False
    for block in source.blocks():
        if block.samples.any() != heard:
            heard = bool(block.samples.any())
            _say("sound" if heard else "silence")
        if not output.active:
            with suppress(FailureError):
                output = DeviceOutput(None)
                output.start(hum)
                _say("output opened again")
    _say(f"played {played}")
    output.close()


if __name__ == "__main__":
    main()
