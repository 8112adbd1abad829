"""How large, long, deep and many a thing from outside may be.

Every writer is held to these bounds and every reader relies on them: typed lines, options, files, archives and rows of
other benches alike.
"""

from __future__ import annotations

import json
from datetime import UTC, datetime
from typing import Annotated, Any

from pydantic import AfterValidator, AwareDatetime, Field, ValidationError

from sparehand.ground.complaints import sentence
from sparehand.ground.terminal import printable

NAME_CHARACTERS = 120
"""Of a person, a bench, a job or a shop."""
WORDS_CHARACTERS = 4_000
"""Of anything that is said or typed in free words."""
LINE_CHARACTERS = 2_000_000
"""Of one line of a file; an opening holds its whole procedure."""
DEPTH = 32
"""How many levels lists and objects of JSON may be nested."""
EVENTS_OF_JOB = 50_000
ROWS_OF_JOB = 2_000
"""A job has some dozens of phase times; estimates are read and added up job by job."""
SECONDS = 40_000_000_000.0
"""No span between two moments in bounds is longer."""
MILLISECONDS = int(SECONDS) * 1_000
NUMBER = 2**53
"""Whole numbers beyond it are not the same for every reader of JSON (RFC 8259, section 6)."""
FIRST_MOMENT = datetime(1900, 1, 1, tzinfo=UTC)
LAST_MOMENT = datetime(2999, 12, 31, tzinfo=UTC)
"""Within them no time zone and no sum of days leaves the calendar."""


def in_calendar(moment: datetime) -> datetime:
    """`moment`, if it lies within the bounds. Raises ValueError otherwise."""
    if not FIRST_MOMENT <= moment <= LAST_MOMENT:
        raise ValueError(f"the year must be from {FIRST_MOMENT.year} to {LAST_MOMENT.year}; set the clock")
    return moment


def name_in_bounds(text: str) -> str:
    """What is shown and kept for a name that may be out of bounds."""
    return printable(text)[:NAME_CHARACTERS]


def _as_name(text: str) -> str:
    if len(text) > NAME_CHARACTERS or not text.isprintable():
        raise ValueError(f"a name has at most {NAME_CHARACTERS} printable characters")
    return text


Name = Annotated[str, AfterValidator(_as_name)]
"""A person's, bench's or job's name; empty where there is none."""
Wall = Annotated[AwareDatetime, AfterValidator(in_calendar)]
Whole = Annotated[int, Field(ge=-NUMBER, le=NUMBER)]
Count = Annotated[int, Field(ge=0, le=NUMBER)]
Milliseconds = Annotated[int, Field(ge=0, le=MILLISECONDS)]
Seconds = Annotated[float, Field(ge=0, le=SECONDS, allow_inf_nan=False)]
Measured = Annotated[float, Field(ge=-1e9, le=1e9, allow_inf_nan=False)]


def first_problem(error: ValidationError) -> str:
    """The first thing that is wrong, in a few words and with its place."""
    return printable(sentence(error.errors(include_url=False, include_input=False)[0]))


def read_json(text: str, most: int = LINE_CHARACTERS) -> Any:
    """The value of JSON text in bounded time and memory. Raises ValueError for what is none or out of bounds."""
    if len(text) > most:
        raise ValueError(f"{len(text)} characters are too many; {most} at most")
    _refuse_depth(text)
    return json.loads(text, parse_constant=_refuse_constant)


def _refuse_depth(text: str) -> None:
    """Count brackets outside of strings, so that no parser is sent down a nest that would end it."""
    depth, quoted, escaped = 0, False, False
    if text.count("[") + text.count("{") <= DEPTH:
        return
    for character in text:
        if quoted:
            quoted, escaped = escaped or character != '"', not escaped and character == "\\"
        elif character == '"':
            quoted = True
        elif character in "[{":
            depth += 1
            if depth > DEPTH:
                raise ValueError(f"nested deeper than {DEPTH} levels")
        elif character in "]}":
            depth -= 1


def _refuse_constant(name: str) -> None:
    raise ValueError(f"{name} is no number of JSON")
