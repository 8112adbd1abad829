"""What a library prints by itself does not reach the screen; what Python says does."""

from __future__ import annotations

import os
import sys

import pytest

from sparehand.voice.sound.quiet_libraries import quiet_libraries


def test_a_library_prints_into_nothing_and_python_goes_on(capfd: pytest.CaptureFixture[str]) -> None:
    errors = os.fdopen(2, "w", closefd=False)
    before, sys.stderr = sys.stderr, errors
    try:
        with quiet_libraries():
            os.write(2, b"underrun occurred\n")
            print("one clear line", file=sys.stderr)
        os.write(2, b"and afterwards as before\n")
    finally:
        sys.stderr = before
    shown = capfd.readouterr().err
    assert "underrun" not in shown
    assert shown == "one clear line\nand afterwards as before\n"


def test_without_a_real_error_stream_nothing_happens(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "stderr", None)
    with quiet_libraries():
        pass
