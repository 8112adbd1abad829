"""The fenced blocks of the manual, and running those of a page one after the other as a reader would.

What stands after the opening fence says what a block is: a language alone, or `{.language name="value"}`:

- `{.yaml file="arm.yaml"}`: the block is what that file holds; a second block with the same name goes on with it.
- `{.sh needs="a microphone"}`: it cannot run here; the site shows the reason above it.
"""

from __future__ import annotations

import os
import re
import shlex
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

_FENCE = re.compile(r"^(?P<fence>```+) *(?P<info>[^\n`]*)\n(?P<text>.*?)^(?P=fence)$", re.MULTILINE | re.DOTALL)
_LONGEST_SECONDS = 300
SHOWN_ONLY = frozenset({"", "text"})
"""Blocks of these kinds are pictures of something, to be read."""


@dataclass(frozen=True)
class Snippet:
    """One block: its line in the page, its language, and what it is said to need or to be a file of."""

    page: Path
    line: int
    language: str
    text: str
    needs: str | None = None
    file: str | None = None


def snippets(page: Path) -> Iterator[Snippet]:
    """The blocks of a page in order. Raises ValueError for an attribute that means nothing."""
    written = page.read_text(encoding="utf-8")
    for fence in _FENCE.finditer(written):
        language, given = _read(fence["info"].strip())
        if unknown := set(given) - {"needs", "file"}:
            raise ValueError(f"{page}: a block says {unknown}, which means nothing")
        line = written.count("\n", 0, fence.start()) + 1
        yield Snippet(page, line, language, fence["text"], given.get("needs"), given.get("file"))


def run(snippet: Snippet, folder: Path) -> None:
    """Do in `folder` what a reader would do with the block. Fails with all that it printed."""
    if snippet.file is not None:
        with (folder / snippet.file).open("a", encoding="utf-8") as file:
            file.write(snippet.text)
        return
    command = ["bash", "-euo", "pipefail", "-c", snippet.text] if snippet.language == "sh" else [sys.executable, "-"]
    given = None if snippet.language == "sh" else snippet.text
    done = subprocess.run(
        command,
        input=given,
        stdin=subprocess.DEVNULL if given is None else None,
        cwd=folder,
        env=_environment(folder),
        capture_output=True,
        text=True,
        timeout=_LONGEST_SECONDS,
        check=False,
    )
    where = f"{snippet.page.name}:{snippet.line}"
    assert done.returncode == 0, f"{where} ends with {done.returncode}\n{snippet.text}\n{done.stdout}\n{done.stderr}"


def _environment(folder: Path) -> dict[str, str]:
    """A reader's: their own home and data folder, and the program on the path."""
    programs = Path(sys.executable).parent
    home = {"HOME": str(folder), "XDG_DATA_HOME": str(folder / "share"), "SPAREHAND_DATA": str(folder / "data")}
    return os.environ | home | {"PATH": f"{programs}{os.pathsep}{os.environ['PATH']}", "COLUMNS": "100"}


def _read(info: str) -> tuple[str, dict[str, str]]:
    if not info.startswith("{"):
        return info, {}
    language, *given = shlex.split(info.strip("{}"))
    return language.removeprefix("."), dict(each.split("=", 1) for each in given)
