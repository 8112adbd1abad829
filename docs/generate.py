"""Write the manual's generated pages from the tables they tell of: `python docs/generate.py`."""

from __future__ import annotations

import runpy
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import typer

from sparehand.cli.app import app
from sparehand.settings import EXPLANATIONS, Settings
from sparehand.voice.phrases.phrase_file import load_phrases

REFERENCE = Path(__file__).parent / "reference"
_NOTE = "<!-- Written by docs/generate.py; change the tables it reads, not this page. -->"
_SLOTS = (
    '`{digits}` are digits said one by one, with "decimal" for the point; `{count}` and `{minutes}` are numbers; '
    "`{name}` is an operation, phase or thing of the procedure, by its spoken name; `{fault}` is torn, worn, cracked, "
    "leaking, loose, bent, rusted, broken or missing, `{side}` left, right, front or rear, `{urgency}` now, soon or "
    "watch."
)


def commands_page() -> str:
    """Every command with its arguments and options, as Markdown."""
    lines = ["# Every command", "", _NOTE]
    for name, command in _commands("sparehand", typer.main.get_command(app)):
        lines += ["", f"## {name}", "", command.help or ""]
        rows = [_row(parameter) for parameter in command.params if not getattr(parameter, "hidden", False)]
        if rows:
            lines += ["", "| argument or option | what it is for |", "| --- | --- |", *rows]
    lines += ["", "`--debug`, anywhere in a command, shows the traceback of an error instead of one line."]
    return "\n".join(lines) + "\n"


def phrases_page() -> str:
    """Every phrase with what it does and when it counts, as Markdown."""
    lines = ["# Every phrase", "", _NOTE, "", _SLOTS, "", "| say | it | counts in |", "| --- | --- | --- |"]
    for pattern in load_phrases().patterns:
        lines.append(f"| {pattern.phrase} | {_cell(pattern.does)} | {', '.join(sorted(pattern.situations))} |")
    return "\n".join(lines) + "\n"


def settings_page() -> str:
    """Every setting with its default and what it is for, as Markdown."""
    lines = ["# Every setting", "", _NOTE, "", "| setting | default | what it is for |", "| --- | --- | --- |"]
    for key, value in Settings().model_dump().items():
        default = "" if value is None else f"`{value}`"
        lines.append(f"| `{key}` | {default} | {_cell(EXPLANATIONS[key])} |")
    return "\n".join(lines) + "\n"


PAGES = {
    "commands.md": commands_page,
    "phrases.md": phrases_page,
    "settings.md": settings_page,
    "phrase-card.html": runpy.run_path(str(Path(__file__).parent / "phrase_card.py"))["phrase_card"],
}


def _commands(name: str, command: Any) -> Iterator[tuple[str, Any]]:
    yield name, command
    for child, inner in getattr(command, "commands", {}).items():
        yield from _commands(f"{name} {child}", inner)


def _row(parameter: Any) -> str:
    given = (
        [parameter.metavar] if parameter.param_type_name == "argument" else parameter.opts + parameter.secondary_opts
    )
    names = ", ".join(f"`{name}`" for name in given)
    return f"| {names} | {_cell(getattr(parameter, 'help', None) or '')} |"


def _cell(text: str) -> str:
    return " ".join(text.split()).replace("|", "\\|")


if __name__ == "__main__":
    REFERENCE.mkdir(exist_ok=True)
    for file_name, page in PAGES.items():
        (REFERENCE / file_name).write_text(page(), encoding="utf-8")
