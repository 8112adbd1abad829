"""What the customer's order and the record say in words: complaint, cause, correction, parts, an earlier job."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from sparehand.job.events.words_events import Fact
from sparehand.procedures.model import Side

OrderWord = Literal["complaint", "cause", "correction"]


class OrderNoted(Fact):
    """The complaint, its cause or its correction, in a person's own words; a later one takes its place."""

    kind: Literal["order noted"] = "order noted"
    about: OrderWord
    words: str = Field(max_length=600)


class PartNumberNoted(Fact):
    """The number of the part that was really fitted, where it is not the file's; on every side where none is said."""

    kind: Literal["part number noted"] = "part number noted"
    part: str
    number: str = Field(min_length=1, max_length=60)
    side: Side | None = None


class OldPartKept(Fact):
    """The old part was kept for whoever wants to see it."""

    kind: Literal["old part kept"] = "old part kept"
    part: str
    side: Side | None = None


class ReworkLinked(Fact):
    """The job puts right an earlier one: it is not counted among the jobs that estimates learn from."""

    kind: Literal["rework linked"] = "rework linked"
    job: str


OrderEvent = OrderNoted | PartNumberNoted | OldPartKept | ReworkLinked
