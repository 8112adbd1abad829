"""A procedure file, read: its text, its values, and the place of each value in it."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from sparehand.ground.complaints import place_in_words, sentence
from sparehand.ground.errors import InputError
from sparehand.procedures.findings import BrokenProcedureError, CheckFinding, FindingName
from sparehand.procedures.format_fields import LEVEL, fields_of_format_2, without
from sparehand.procedures.model import Procedure
from sparehand.procedures.yaml_text import Keys, Place, PlacedData, YamlTextError, read_yaml

FORMATS = (1, 2)
"""The versions of the format that are read."""
MOST_NAMED = 5
MAX_BYTES = 256 * 1024
"""A procedure is written by people; a file beyond this is none."""


@dataclass(frozen=True)
class LoadedProcedure:
    """A procedure with the file it came from; `sha256` is that of the file's bytes, in hexadecimal.

    `set_aside` are the places of fields of a higher level than is known here.
    """

    procedure: Procedure
    text: str
    sha256: str
    path: Path
    places: Mapping[Keys, Place]
    set_aside: tuple[Keys, ...] = ()

    def position(self, *keys: str | int) -> Place:
        """Line and column (from 1) of the value under `keys`, or of the nearest thing around it that is in the file."""
        return nearest_place(self.places, keys)


def load_procedure(path: Path) -> LoadedProcedure:
    """Read and validate a procedure file.

    Raises InputError where the file cannot be read, BrokenProcedureError (one too) where it is not sound.
    """
    raw = _read(path)
    try:
        text = _decode(raw)
        placed = read_yaml(text)
    except YamlTextError as error:
        raise _broken(path, "not-readable", error.place, str(error), error.remedy) from error
    _refuse_other_formats(path, placed)
    newer = _of_a_higher_level(placed.data)
    try:
        procedure = Procedure.model_validate(without(placed.data, newer) if newer else placed.data)
    except ValidationError as error:
        raise BrokenProcedureError(path, _findings(error, placed)) from error
    _refuse_newer_fields(path, procedure, placed)
    return LoadedProcedure(procedure, text, hashlib.sha256(raw).hexdigest(), path, placed.places, newer)


def _of_a_higher_level(data: Any) -> tuple[Keys, ...]:
    """The places of fields that are not known here, in a file that says it may have such."""
    level = data.get("level")
    if not isinstance(level, int) or level <= LEVEL:
        return ()
    try:
        Procedure.model_validate(data)
    except ValidationError as error:
        return tuple(one["loc"] for one in error.errors(include_url=False) if one["type"] == "extra_forbidden")
    return ()


def nearest_place(places: Mapping[Keys, Place], keys: Keys) -> Place:
    """The place of `keys`, or of the nearest of its parents that has one."""
    for length in range(len(keys), -1, -1):
        if keys[:length] in places:
            return places[keys[:length]]
    return 1, 1


def _read(path: Path) -> bytes:
    try:
        with path.open("rb") as file:
            raw = file.read(MAX_BYTES + 1)
    except OSError as error:
        raise InputError(f"{path}: cannot be read ({error.strerror}); check the name") from error
    if len(raw) > MAX_BYTES:
        raise InputError(f"{path}: is larger than {MAX_BYTES // 1024} KiB, which no procedure is; split it")
    return raw


def _decode(raw: bytes) -> str:
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        before = raw[: error.start]
        place = before.count(b"\n") + 1, len(before) - before.rfind(b"\n")
        raise YamlTextError("this byte is not UTF-8", place, "save the file as UTF-8") from error
    if "\0" in text:
        before_nul = text[: text.index("\0")]
        place = before_nul.count("\n") + 1, len(before_nul) - before_nul.rfind("\n")
        raise YamlTextError("a NUL character stands here", place, "give a text file")
    return text


def _refuse_other_formats(path: Path, placed: PlacedData) -> None:
    data = placed.data
    if not isinstance(data, dict):
        raise _broken(path, "not-readable", (1, 1), "no procedure is in this file", "start it with `format: 1`")
    if "format" not in data:
        raise _broken(
            path, "format-unknown", (1, 1), "the file does not say its format", f"add `format: {FORMATS[-1]}`"
        )
    given = data["format"]
    if given is not True and given in FORMATS:
        return
    place = nearest_place(placed.places, ("format",))
    newer = isinstance(given, int) and given > FORMATS[-1]
    remedy = "use a newer Sparehand" if newer else f"bring the file to format {FORMATS[-1]} (`sparehand schema`)"
    raise _broken(path, "format-unknown", place, f"format {given} is not read here, only formats 1 and 2", remedy)


def _refuse_newer_fields(path: Path, procedure: Procedure, placed: PlacedData) -> None:
    newer = next(fields_of_format_2(procedure), None) if procedure.format == 1 else None
    if newer is not None:
        place = nearest_place(placed.places, newer)
        raise _broken(path, "wrong-value", place, f"'{newer[-1]}' came with format 2", "write `format: 2` at the top")


def _broken(path: Path, name: FindingName, place: Place, message: str, remedy: str) -> BrokenProcedureError:
    return BrokenProcedureError(path, (CheckFinding(*place, name, "error", message, remedy),))


def _findings(error: ValidationError, placed: PlacedData) -> tuple[CheckFinding, ...]:
    found = []
    for problem in error.errors(include_url=False):
        place = nearest_place(placed.places, problem["loc"])
        message, remedy = _in_words(problem)
        found.append(CheckFinding(*place, "wrong-value", "error", message, remedy))
    return tuple(sorted(found))


def _in_words(problem: Any) -> tuple[str, str]:
    """A validator's complaint as what is wrong and what to do."""
    match problem["type"]:
        case "extra_forbidden":
            name, _, where = place_in_words(problem["loc"]).partition(" of ")
            return f"the format has no field {name} in {where or 'a procedure'}", "remove it or correct its spelling"
        case "missing":
            return sentence(problem), "add it"
        case "string_type":
            return sentence(problem), "put the value in quotes"
        case "string_pattern_mismatch":
            return f"{sentence(problem)} (pattern {problem['ctx']['pattern']})", "correct it"
    return sentence(problem).replace("\n", " "), "correct it"


def set_aside_words(loaded: LoadedProcedure) -> str:
    """One line on the fields of a newer Sparehand that were set aside; empty where none was."""
    fields = [f"'{keys[-1]}' (line {loaded.position(*keys)[0]})" for keys in loaded.set_aside]
    listed = ", ".join(fields[:MOST_NAMED]) + (f" and {more} more" if (more := len(fields) - MOST_NAMED) > 0 else "")
    return f"{loaded.path}: set aside, for a newer Sparehand: {listed}; update to have them" if fields else ""
