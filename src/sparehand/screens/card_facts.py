"""The facts of a job card for other programs: what `card JOB --json` prints, and its JSON Schema."""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from datetime import date, datetime
from decimal import Decimal
from typing import Literal

from pydantic import BaseModel, ConfigDict, Field

from sparehand.job import events as e
from sparehand.job.open_follow_ups import follow_ups_of
from sparehand.job.state import JobState
from sparehand.job.vehicle.claim_words import claim_words, subject_of
from sparehand.job.vehicle.drive import StepKind, drive_blockers, kind_of, not_done
from sparehand.job.vehicle.listed_parts import PartState, answer_for, listed_parts
from sparehand.procedures.labels import fluid_name
from sparehand.procedures.model import FindingAnswer, Side
from sparehand.screens.card_visit import line_seconds

CARD_DIALECT = "https://json-schema.org/draft/2020-12/schema"


class CardRecord(BaseModel):
    """Base of what is printed."""

    model_config = ConfigDict(frozen=True, extra="forbid")


class OpenThing(CardRecord):
    """Something loose, off, hanging or drained; `pieces` are those of a fastener that are not final."""

    what: str
    side: Side | None
    state: str
    pieces: int


class StepNotDone(CardRecord):
    """A step of the run that is not done, by its ids."""

    phase: str
    step: str
    side: Side | None
    kind: StepKind


class ToldThing(CardRecord):
    """What was told without its step; its tightening is unknown. `at` is ISO 8601."""

    what: str
    side: Side | None
    pieces: int
    at: str


class ContradictedClaim(CardRecord):
    """A claim told by name against the record: what was said, what the record held, and when."""

    claim: str
    against: str
    at: str


class FindingFact(CardRecord):
    """An inspection point: the answer that counts, and every answer that was given."""

    asks: str
    side: Side | None
    finding: FindingAnswer | None
    said: tuple[FindingAnswer, ...]


class ReadingFact(CardRecord):
    """A measured value, or a tightening achieved, as it was said."""

    what: str
    side: Side | None
    kind: Literal["measurement", "tightening", "tightening out of limits"]
    value: float
    unit: str


class PartFact(CardRecord):
    """A part that the procedure lists for this run."""

    part: str
    side: Side | None
    quantity: int
    use_once: bool
    state: PartState


class LineFact(CardRecord):
    """A line of work beside the procedure, by its number; None is not said."""

    number: int
    work: e.LineWork
    seconds: float
    runs: bool
    result: str
    reference: str
    distance: float | None
    distance_unit: e.DistanceUnit
    amount: Decimal | None
    payer: e.Payer


class FollowUpFact(CardRecord):
    """What is to follow: when it is due, and how it ended; `done_on` is None while it is open."""

    follow_up: str
    words: str
    due_on: date | None
    due_distance: float | None
    distance_unit: e.DistanceUnit
    due_hours: float | None
    done_on: datetime | None
    result: str


class CardFacts(CardRecord):
    """A job, as far as its record knows. An empty `drive_blockers` states no safety: the program does not see."""

    format: Literal["sparehand card 1"] = "sparehand card 1"
    job: str
    closed: bool
    drive_blockers: tuple[str, ...] = Field(description="Sentences; an empty list states no safety.")
    open: tuple[OpenThing, ...]
    steps_not_done: tuple[StepNotDone, ...]
    told_without_step: tuple[ToldThing, ...]
    contradictions: tuple[ContradictedClaim, ...]
    findings: tuple[FindingFact, ...]
    readings: tuple[ReadingFact, ...]
    parts: tuple[PartFact, ...]
    payers: dict[str, e.Payer] = Field(description="Who pays, by operation.")
    lines: tuple[LineFact, ...]
    follow_ups: tuple[FollowUpFact, ...]


def card_facts(state: JobState, history: Sequence[e.Recorded]) -> CardFacts:
    """The facts of a job. `history` says when each claim was made."""
    return CardFacts(
        job=state.job,
        closed=state.progress.closed is not None,
        drive_blockers=drive_blockers(state),
        open=tuple(_open(state)),
        steps_not_done=tuple(_steps_not_done(state)),
        told_without_step=tuple(
            ToldThing(what=subject_of(state, one), side=one.side, pieces=_pieces(state, one), at=_at(history, one))
            for one in state.progress.told
        ),
        contradictions=tuple(
            ContradictedClaim(claim=claim_words(state, one), against=one.against, at=_at(history, one))
            for one in state.progress.told
            if one.against
        ),
        findings=tuple(_findings(state)),
        readings=tuple(_readings(state)),
        parts=tuple(_parts(state)),
        payers={operation: state.progress.visit.payer_of(operation) for operation in state.plan.operations},
        lines=tuple(_lines(state)),
        follow_ups=tuple(_follow_ups(state)),
    )


def card_schema() -> str:
    """The JSON Schema (draft 2020-12) of the facts, as indented text."""
    schema = {"$schema": CARD_DIALECT, **CardFacts.model_json_schema(mode="serialization")}
    return json.dumps(schema, indent=2, ensure_ascii=False) + "\n"


def _open(state: JobState) -> Iterator[OpenThing]:
    procedure = state.plan.procedure
    for entry in state.loose:
        pieces = entry.fastener.quantity - entry.final_count
        yield OpenThing(what=entry.fastener.name, side=entry.key.side, state=entry.state, pieces=pieces)
    for id, side in state.progress.off:
        yield OpenThing(what=procedure.component(id).name, side=side, state="off", pieces=1)
    for words, side in state.progress.hanging:
        yield OpenThing(what=words, side=side, state="hanging or supported", pieces=1)
    fluids = {item.id: fluid_name(item) for item in procedure.consumables}
    for id in state.progress.drained:
        yield OpenThing(what=fluids.get(id, id), side=None, state="drained", pieces=1)


def _steps_not_done(state: JobState) -> Iterator[StepNotDone]:
    for key in not_done(state):
        kind = kind_of(state.plan.step(key))
        yield StepNotDone(phase=key.at.phase, step=key.step, side=key.at.side, kind=kind)


def _lines(state: JobState) -> Iterator[LineFact]:
    for line in state.progress.visit.lines:
        said = {name: getattr(line, name) for name in LineFact.model_fields if name != "seconds"}
        yield LineFact(seconds=line_seconds(state, line), **said)


def _follow_ups(state: JobState) -> Iterator[FollowUpFact]:
    for note in follow_ups_of(state):
        said = {name: getattr(note, name) for name in FollowUpFact.model_fields if name != "follow_up"}
        yield FollowUpFact(follow_up=note.id, **said)


def _pieces(state: JobState, told: e.ToldWithoutStep) -> int:
    return state.plan.procedure.fastener(told.about).quantity if told.what == "fastener in" else 1


def _at(history: Sequence[e.Recorded], told: e.ToldWithoutStep) -> str:
    return next((one.at.wall.isoformat() for one in reversed(history) if one.event == told), "")


def _findings(state: JobState) -> Iterator[FindingFact]:
    for key in state.plan.steps:
        asked, side = state.plan.step(key).inspect, key.at.side
        if asked:
            at = asked.id, side
            finding, said = state.progress.findings.get(at), state.progress.findings_said.get(at, ())
            yield FindingFact(asks=asked.asks, side=side, finding=finding, said=said)


def _readings(state: JobState) -> Iterator[ReadingFact]:
    asks = {step.measure.id: step.measure.asks for step in map(state.plan.step, state.plan.steps) if step.measure}
    for (id, side), one in state.progress.measurements.items():
        yield ReadingFact(what=asks.get(id, id), side=side, kind="measurement", value=one.value, unit=one.unit)
    confirmed, out = state.progress.tightenings, state.progress.out_of_limits
    readings: list[e.TighteningConfirmed | e.OutOfLimitsRead] = [*confirmed, *out]
    for reading in readings:
        if reading.achieved is not None:
            yield ReadingFact(
                what=state.plan.procedure.fastener(reading.fastener.fastener).name,
                side=reading.fastener.side,
                kind="tightening" if isinstance(reading, e.TighteningConfirmed) else "tightening out of limits",
                value=reading.achieved.value,
                unit=reading.achieved.unit,
            )


def _parts(state: JobState) -> Iterator[PartFact]:
    for item, side in listed_parts(state):
        said = answer_for(state, item, side)
        yield PartFact(part=item.name, side=side, quantity=item.quantity, use_once=item.use_once, state=said)
