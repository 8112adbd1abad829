"""Microphone and loudspeaker at the real sound library: both are taken away under speech, and come back."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest
import soundfile

import needs
from sound_server import SoundServer, missing, sound_server

PROGRAM = Path(__file__).with_name("real_devices.py")


@pytest.fixture
def server(tmp_path: Path) -> Iterator[SoundServer]:
    needs.skip_unless(not missing(), f"no sound server: {missing()}")
    with sound_server(tmp_path) as server:
        yield server


def test_a_lost_microphone_and_loudspeaker_are_taken_up_again_under_speech(server: SoundServer, tmp_path: Path) -> None:
    talk = tmp_path / "talk.wav"
    soundfile.write(talk, 0.3 * np.sin(np.arange(16_000 * 60) / 10), 16_000)
    with (
        subprocess.Popen(
            [sys.executable, str(PROGRAM)],
            env=server.environment,
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            text=True,
        ) as program,
        server.playing(talk),
    ):
        assert program.stdout is not None
        lines = iter(program.stdout.readline, "")
        _wait_for(lines, "sound")
        with server.without_devices():
            _wait_for(lines, "the microphone is gone, plug it in again")
        with server.playing(talk):
            _wait_for(lines, "the microphone is back")
            _wait_for(lines, "sound")
        rest, _ = program.communicate("", timeout=60)
    assert program.returncode == 0
    assert "played" in rest


def _wait_for(lines: Iterator[str], wanted: str) -> None:
    """The next line that says it; a program that ends before that fails the test."""
    assert wanted in (line.strip() for line in lines), f"it never said: {wanted}"
