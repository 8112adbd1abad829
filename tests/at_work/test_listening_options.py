"""What a bench listens to: as asked for, as the settings say, and by keyboard where there is nothing to listen with."""

from __future__ import annotations

import io

import pytest

from sparehand.at_work.surroundings import ListeningOptions
from sparehand.ground.errors import FailureError
from sparehand.settings import Settings
from sparehand.voice.sound.sound_library import SoundLibrary


class Terminal(io.StringIO):
    """Somebody who can type."""

    def isatty(self) -> bool:
        return True


def no_microphone(_library: SoundLibrary, _direction: str, _device: str | None) -> float:
    raise FailureError("the system's microphone is not there")


def test_the_settings_say_what_to_listen_to_where_the_command_line_does_not() -> None:
    assert ListeningOptions().on(Settings(ears="keyboard")).ears == "keyboard"
    assert ListeningOptions("talk.wav").on(Settings(ears="keyboard")).ears == "talk.wav"


def test_without_a_microphone_somebody_at_a_terminal_goes_on_by_keyboard(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(SoundLibrary, "rate", no_microphone)
    monkeypatch.setattr("sys.stdin", Terminal())
    chosen = ListeningOptions().on(Settings())
    assert (chosen.ears, chosen.trouble) == ("keyboard", "the system's microphone is not there")


def test_without_a_microphone_and_a_terminal_the_failure_stands(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(SoundLibrary, "rate", no_microphone)
    monkeypatch.setattr("sys.stdin", io.StringIO())
    assert ListeningOptions().on(Settings()).ears == "microphone"
