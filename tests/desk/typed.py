"""Commands typed at the desk: one that succeeds, and one that is refused in one line."""

from __future__ import annotations

from pathlib import Path

import pytest

from sparehand.cli.command_line import main


def command(data: Path, *arguments: str) -> None:
    """Run a command that succeeds."""
    with pytest.raises(SystemExit) as stop:
        main([*arguments, "--data", str(data)])
    assert stop.value.code == 0


def refused(data: Path, capsys: pytest.CaptureFixture[str], *arguments: str) -> str:
    """What a command says that is refused."""
    with pytest.raises(SystemExit) as stop:
        main([*arguments, "--data", str(data)])
    assert stop.value.code == 2
    said = capsys.readouterr().err
    assert said.count("\n") == 1
    return said
