"""Reading a TOML file into a model: numbers stay exact decimals, and each fault is one line with file, line and key."""

from __future__ import annotations

import io
import re
import tomllib
from collections.abc import Callable
from decimal import Decimal, InvalidOperation
from pathlib import Path
from typing import Any, TypeVar

from pydantic import BaseModel, ValidationError

from sparehand.ground.complaints import complaint
from sparehand.ground.errors import InputError
from sparehand.ground.terminal import printable

Model = TypeVar("Model", bound=BaseModel)

Advice = Callable[[str], str]

LARGEST_BYTES = 1_000_000


def read_toml(
    path: Path, model: type[Model], what: str, advise: Advice | None = None, absent: str | None = None
) -> Model:
    """The file as a `model`. Raises InputError for a file that cannot be read, and for its first fault.

    A file that is not there counts as `absent`, where that is given. `advise` says of a key what to do about it.
    """
    return parse_toml(_text(path, what, absent), path, model, what, advise)


def parse_toml(text: str, path: Path, model: type[Model], what: str, advise: Advice | None = None) -> Model:
    """The text of a file as a `model`. Raises InputError for its first fault."""
    try:
        return model.model_validate(tomllib.loads(text, parse_float=_exact))
    except RecursionError as error:
        raise InputError(f"{path}: nested too deep; that is no {what}") from error
    except tomllib.TOMLDecodeError as error:
        found = re.search(r"at line (\d+)", str(error))
        line = int(found[1]) if found else max(1, text.count("\n"))
        told = printable(str(error))
        raise InputError(f"{path}:{line}: {told}; the {what} is a TOML file: mend that line") from error
    except ValidationError as error:
        first = error.errors(include_url=False)[0]
        where = first["loc"]
        key = printable(".".join(str(part) for part in where if part != "[key]"))
        at = f"{path}:{line_of(where, text)}: {key}: " if key else f"{path}: "
        advice = advise(key) if advise else f"see the manual's page about the {what}"
        raise InputError(f"{at}{complaint(first)}; {advice}") from error


def line_of(where: tuple[int | str, ...], text: str) -> int:
    """The line of the last key of a place such as ("job", 2, "bay") that the text writes out, from 1 on."""
    line, lines = 1, text.splitlines()
    table = ""
    for part in where:
        if isinstance(part, int):
            found = [n for n, row in enumerate(lines, start=1) if re.match(rf"\s*\[\[\s*{re.escape(table)}\s*]]", row)]
            line = found[part] if part < len(found) else line
            continue
        table = part
        key = rf"\s*(\[+\s*)?[\"']?{re.escape(part)}[\"']?\s*([=\].]|$)"
        line = next((n for n, row in enumerate(lines[line - 1 :], start=line) if re.match(key, row)), line)
    return line


def _text(path: Path, what: str, absent: str | None) -> str:
    try:
        if absent is not None and not path.exists():
            return absent
        with path.open("rb") as file:
            read = file.read(LARGEST_BYTES + 1)
        if len(read) > LARGEST_BYTES:
            raise InputError(f"{path}: larger than {LARGEST_BYTES} bytes; that is no {what}")
        return io.TextIOWrapper(io.BytesIO(read), encoding="utf-8").read()
    except OSError as error:
        raise InputError(f"{path}: the {what} cannot be read ({error.strerror}); mend that, or name another") from error
    except UnicodeDecodeError as error:
        raise InputError(f"{path}: the {what} is not UTF-8 text; save it as UTF-8") from error


def _exact(written: str) -> Decimal:
    """The number as it is written; one beyond what can be held exactly is infinite, which no model takes."""
    try:
        return Decimal(written)
    except InvalidOperation:
        return Decimal("Infinity")


def strict(value: Any) -> Any:
    """A number of the file as an exact decimal: a whole number and a text that writes one count as such."""
    return Decimal(value) if isinstance(value, int) and not isinstance(value, bool) else value
