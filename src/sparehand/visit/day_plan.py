"""The plan of a day: planned and open jobs, technicians, bays, opening hours, promised times, and when parts arrive."""

from __future__ import annotations

import json
from collections.abc import Iterator
from datetime import datetime, timedelta
from itertools import pairwise
from pathlib import Path
from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field, model_validator

from sparehand.ground.bounds import Name, Wall
from sparehand.ground.errors import InputError
from sparehand.ground.toml_file import read_toml
from sparehand.job.events import Corrosion, Support
from sparehand.procedures.model import Side

LATEST_DAYS = 60
"""A plan looks no further ahead."""

MOST_SPANS = 600
DAY, LEAST_OPEN = timedelta(days=1), timedelta(hours=1)

Names = Annotated[tuple[Name, ...], Field(max_length=60)]


class PlanRecord(BaseModel):
    """Base: immutable, no unknown key."""

    model_config = ConfigDict(frozen=True, extra="forbid")


class OpenSpan(PlanRecord):
    """The shop is open from one moment until another."""

    begins: Wall = Field(alias="from")
    until: Wall

    @model_validator(mode="after")
    def _forward(self) -> OpenSpan:
        if self.until <= self.begins:
            raise ValueError(f"it ends at {self.until:%H:%M}, before it begins; write the later moment as `until`")
        return self


class OwnSpan(OpenSpan):
    """A span of one technician."""

    technician: Name


class PlannedJob(PlanRecord):
    """One job of the day: `work` to begin (PROCEDURE[:OPERATION],…), or the id of an open `job` of the log.

    `promised` is when the customer was told it would be ready, `parts_at` when what it waits for arrives. Without a
    technician or a bay it takes whichever keeps most promises.
    """

    name: Annotated[Name, Field(min_length=1)]
    work: str = Field(default="", max_length=400)
    job: str = Field(default="", max_length=40)
    sides: tuple[Side, ...] = ()
    technician: Name = ""
    bay: Name = ""
    promised: Wall | None = None
    parts_at: Wall | None = None
    plate: Name = ""
    corrosion: Corrosion = "unknown"
    support: Support = "unknown"

    @model_validator(mode="after")
    def _one_of_both(self) -> PlannedJob:
        if bool(self.work) == bool(self.job):
            raise ValueError(f"'{self.name}' wants either `work` to begin or an open `job`, not both and not neither")
        return self


class DayPlan(PlanRecord):
    """The plan file. Without `at` it is about now; without `bays` any number of vehicles is worked on at once.

    The open spans repeat every 24 hours after the last one until all work is done. A technician with `hours` works in
    those alone, which repeat in the same way, and nobody works while `off`, which does not repeat.
    """

    format: Literal[1]
    at: Wall | None = None
    technicians: Names = Field(min_length=1)
    bays: Names = ()
    open: Annotated[tuple[OpenSpan, ...], Field(min_length=1, max_length=60)]
    hours: Annotated[tuple[OwnSpan, ...], Field(max_length=MOST_SPANS)] = ()
    off: Annotated[tuple[OwnSpan, ...], Field(max_length=MOST_SPANS)] = ()
    job: Annotated[tuple[PlannedJob, ...], Field(min_length=1, max_length=120)]

    @model_validator(mode="after")
    def _consistent(self) -> DayPlan:
        for problem in _problems(self):
            raise ValueError(problem)
        return self


def load_plan(path: Path, now: datetime) -> tuple[DayPlan, datetime]:
    """The plan of a file and the moment that it is about.

    Raises InputError with file, line and key for what is wrong in it, such as a promise in the past.
    """
    plan = read_toml(path, DayPlan, "plan")
    at = plan.at or now
    for problem in _past(plan, at):
        raise InputError(f"{path}: {problem}")
    return plan, at


def plan_schema() -> str:
    """The JSON Schema (draft 2020-12) of plan files, as indented text."""
    schema = {"$schema": "https://json-schema.org/draft/2020-12/schema", **DayPlan.model_json_schema()}
    return json.dumps(schema, indent=2, ensure_ascii=False) + "\n"


def _problems(plan: DayPlan) -> Iterator[str]:
    yield from _twice("technician", plan.technicians)
    yield from _twice("bay", plan.bays)
    yield from _twice("job", tuple(job.name for job in plan.job))
    yield from _twice("open job", tuple(job.job for job in plan.job if job.job))
    for job in plan.job:
        if job.technician and job.technician not in plan.technicians:
            there = ", ".join(plan.technicians)
            yield f"job '{job.name}': no technician '{job.technician}' works then; there are: {there}"
        if job.bay and job.bay not in plan.bays:
            yield f"job '{job.name}': there is no bay '{job.bay}'; there are: {', '.join(plan.bays) or 'none'}"
    yield from _unordered("the open span", plan.open)
    last = plan.open[-1].until
    if _last_day(plan.open) < LEAST_OPEN:
        yield f"in the 24 hours before {_said(last)} it is open for less than an hour; write the hours of a whole day"
    for one in (*plan.hours, *plan.off):
        if one.technician not in plan.technicians:
            yield f"hours of '{one.technician}', who is none of the technicians: {', '.join(plan.technicians)}"
    for name in plan.technicians:
        yield from _own_hours(name, tuple(one for one in plan.hours if one.technician == name), plan)


def _own_hours(name: str, own: tuple[OwnSpan, ...], plan: DayPlan) -> Iterator[str]:
    yield from _unordered(f"the span of '{name}'", own)
    for span in own:
        if not any(span.begins < each.until and each.begins < span.until for each in plan.open):
            yield f"'{name}' works from {_said(span.begins)}, when it is not open; write the open hours of then as well"
    if own and _last_day(own) < LEAST_OPEN:
        yield f"'{name}' works for less than an hour before {_said(own[-1].until)}; write the hours of a whole day"


def _unordered(what: str, spans: tuple[OpenSpan, ...]) -> Iterator[str]:
    for before, after in pairwise(spans):
        if after.begins < before.until:
            yield f"{what} from {_said(after.begins)} begins before the one above it ends; put them in order"


def _last_day(spans: tuple[OpenSpan, ...]) -> timedelta:
    """For how long it is open in the 24 hours before the last span ends, which is what repeats."""
    last = spans[-1].until
    parts = (span.until - max(span.begins, last - DAY) for span in spans if span.until > last - DAY)
    return sum(parts, timedelta())


def _twice(what: str, names: tuple[str, ...]) -> Iterator[str]:
    for name in dict.fromkeys(names):
        if names.count(name) > 1:
            yield f"{what} '{name}' stands in it twice; give each its own name"


def _past(plan: DayPlan, at: datetime) -> Iterator[str]:
    if plan.open[-1].until <= at:
        yield f"the last open span ended at {_said(plan.open[-1].until)}; write the hours from {_said(at)} on"
    for name in plan.technicians:
        own = [one.until for one in plan.hours if one.technician == name]
        if own and own[-1] <= at:
            yield f"the last hours of '{name}' ended at {_said(own[-1])}; write them from {_said(at)} on"
    for job in plan.job:
        if job.promised and job.promised <= at:
            promised = _said(job.promised)
            yield f"job '{job.name}' was promised for {promised}, which is past at {_said(at)}; promise a later time"
    moments = [span.until for span in (*plan.open, *plan.hours, *plan.off)]
    moments += [moment for job in plan.job for moment in (job.promised, job.parts_at) if moment]
    for moment in moments:
        if moment - at > timedelta(days=LATEST_DAYS):
            yield f"{_said(moment)} is more than {LATEST_DAYS} days ahead; plan nearer days"


def _said(moment: datetime) -> str:
    return f"{moment:%Y-%m-%d %H:%M}"
