"""Plain data from YAML text with the place of everything in it, in bounded time and memory.

Procedure files come from other people, so what they do not need is refused as it streams by: anchors and aliases
(which can grow without bound), tags, duplicate keys, nesting and scalars beyond any honest file.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any

from ruamel.yaml import YAML
from ruamel.yaml.error import MarkedYAMLError, YAMLError
from ruamel.yaml.events import (
    AliasEvent,
    DocumentStartEvent,
    Event,
    MappingEndEvent,
    MappingStartEvent,
    NodeEvent,
    ScalarEvent,
    SequenceEndEvent,
    SequenceStartEvent,
)
from ruamel.yaml.reader import ReaderError

MAX_DEPTH = 16
MAX_SCALAR_CHARACTERS = 4_000
MAX_NODES = 6_000
MAX_LINES = 10_000
MAX_LINE_CHARACTERS = 2_000

Plain = dict[str, "Plain"] | list["Plain"] | str | int | float | bool | None
Keys = tuple[str | int, ...]
Place = tuple[int, int]
"""Line and column, both from 1."""

_NULL = re.compile(r"^(~|null|)$", re.IGNORECASE)
_BOOLEAN = re.compile(r"^(true|false)$", re.IGNORECASE)
_WHOLE = re.compile(r"^[-+]?\d{1,18}$")
_DECIMAL = re.compile(r"^[-+]?(\d{1,18}\.\d{0,18}|\.\d{1,18}|\d{1,18})([eE][-+]?\d{1,3})?$")


class YamlTextError(ValueError):
    """Text that is refused: what is wrong, the place, and what to do."""

    def __init__(self, message: str, place: Place, remedy: str = "mend the text there") -> None:
        super().__init__(message)
        self.place = place
        self.remedy = remedy


@dataclass(frozen=True)
class PlacedData:
    """The data of a YAML text and where each part of it stands: a mapping's entry at its key."""

    data: Plain
    places: dict[Keys, Place]


def read_yaml(text: str) -> PlacedData:
    """The one document in `text`. Raises YamlTextError for anything that is not plain, sound YAML 1.2."""
    _refuse_bulk(text)
    reader = _Reader(_events(text))
    try:
        data = reader.document()
    except ReaderError as error:
        raise YamlTextError(
            f"the character {error.character!r} is not allowed", _place_in(text, error.position)
        ) from error
    except MarkedYAMLError as error:
        mark = error.problem_mark or error.context_mark
        place = (mark.line + 1, mark.column + 1) if mark else (1, 1)
        raise YamlTextError(f"this is not sound YAML: {error.problem or error.context}", place) from error
    except YAMLError as error:
        raise YamlTextError(f"this is not sound YAML: {error}".splitlines()[0], (1, 1)) from error
    return PlacedData(data, reader.places)


def _refuse_bulk(text: str) -> None:
    """Turn away what would take the parser seconds before its first event."""
    lines = text.split("\n")
    if len(lines) > MAX_LINES:
        raise YamlTextError(f"the file has more than {MAX_LINES} lines", (MAX_LINES + 1, 1), "split it")
    for number, line in enumerate(lines, 1):
        if len(line) > MAX_LINE_CHARACTERS:
            raise YamlTextError(f"this line is longer than {MAX_LINE_CHARACTERS} characters", (number, 1), "break it")


def _events(text: str) -> Iterator[Event]:
    yield from YAML(typ="safe", pure=True).parse(text)


def _place_in(text: str, position: Any) -> Place:
    before = text[: int(position)]
    return before.count("\n") + 1, len(before) - before.rfind("\n")


def _place(event: Event) -> Place:
    return event.start_mark.line + 1, event.start_mark.column + 1


@dataclass
class _Reader:
    """Builds data out of the events of one document."""

    events: Iterator[Event]
    places: dict[Keys, Place] = field(default_factory=dict)

    def document(self) -> Plain:
        for event in self.events:
            if isinstance(event, DocumentStartEvent):
                data = self._node(next(self.events), ())
                self._end_of_stream()
                return data
        raise YamlTextError("the file is empty", (1, 1), "start it with `format: 1`")

    def _end_of_stream(self) -> None:
        for event in self.events:
            if isinstance(event, DocumentStartEvent):
                raise YamlTextError("a second document begins here", _place(event), "keep one procedure a file")

    def _node(self, event: Event, keys: Keys) -> Plain:
        _refuse_tricks(event, len(keys))
        self.places.setdefault(keys, _place(event))
        if len(self.places) > MAX_NODES:
            raise YamlTextError(f"the file holds more than {MAX_NODES} values", _place(event), "split it")
        if isinstance(event, MappingStartEvent):
            return self._mapping(keys)
        if isinstance(event, SequenceStartEvent):
            return self._sequence(keys)
        if isinstance(event, ScalarEvent):
            return _scalar(event)
        raise YamlTextError("a value is expected here", _place(event))

    def _mapping(self, keys: Keys) -> dict[str, Plain]:
        data: dict[str, Plain] = {}
        while not isinstance(event := next(self.events), MappingEndEvent):
            _refuse_tricks(event, len(keys))
            if not isinstance(event, ScalarEvent):
                raise YamlTextError("a name of a field is expected here, not a list or a mapping", _place(event))
            key = str(event.value)
            if key in data:
                raise YamlTextError(f"'{key}' is given twice", _place(event), "keep one of them")
            self.places[(*keys, key)] = _place(event)
            data[key] = self._node(next(self.events), (*keys, key))
        return data

    def _sequence(self, keys: Keys) -> list[Plain]:
        data: list[Plain] = []
        while not isinstance(event := next(self.events), SequenceEndEvent):
            data.append(self._node(event, (*keys, len(data))))
        return data


def _refuse_tricks(event: Event, depth: int) -> None:
    if isinstance(event, AliasEvent) or (isinstance(event, NodeEvent) and event.anchor is not None):
        raise YamlTextError(
            "anchors and aliases (& and *) are not used in procedures", _place(event), "write the value out"
        )
    if getattr(event, "ctag", None) is not None or getattr(event, "tag", None) is not None:
        raise YamlTextError("tags (!) are not used in procedures", _place(event), "remove it")
    if depth > MAX_DEPTH:
        raise YamlTextError(f"this is nested deeper than {MAX_DEPTH} levels", _place(event), "no procedure needs that")
    if isinstance(event, ScalarEvent) and len(event.value) > MAX_SCALAR_CHARACTERS:
        raise YamlTextError(f"this text is longer than {MAX_SCALAR_CHARACTERS} characters", _place(event), "shorten it")


def _scalar(event: ScalarEvent) -> Plain:
    """A scalar by YAML 1.2's core schema; what is quoted stays text."""
    text = str(event.value)
    if event.style is not None:
        return text
    if _NULL.match(text):
        return None
    if _BOOLEAN.match(text):
        return text.lower() == "true"
    if _WHOLE.match(text):
        return int(text)
    return float(text) if _DECIMAL.match(text) else text
