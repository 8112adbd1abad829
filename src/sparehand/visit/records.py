"""Estimates and promises as the log keeps them, and as they are read back."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from typing import Literal

from sparehand.job.events import ApprovedHours, By
from sparehand.log.visit_records import ESTIMATE_DECIDED, ESTIMATE_GIVEN, PROMISE_MADE, VisitRecord
from sparehand.visit.estimate import EstimateSheet, LabourRow

Outcome = Literal["approved", "declined", "changed"]


@dataclass(frozen=True)
class StoredEstimate:
    """An estimate given, and what became of it. `sheet` is None once customer data were blanked."""

    id: str
    given_at: datetime
    labour: tuple[LabourRow, ...]
    sheet: EstimateSheet | None
    outcome: Outcome | None = None
    decided_at: datetime | None = None
    jobs: tuple[str, ...] = ()


@dataclass(frozen=True)
class Promise:
    """A vehicle promised for a moment, with the chance that was stated then; `job` is the log's id where it is known.

    `made_at` tells which of several promises of one vehicle is the latest.
    """

    planned: str
    made_at: datetime
    due: datetime
    chance: float
    job: str | None
    plate: str | None


def given_record(sheet: EstimateSheet, by: str) -> VisitRecord:
    """An estimate as it is recorded: the hours by operation and payer, and apart from them all that is private."""
    labour = [row.model_copy(update={"price": Decimal(0)}).model_dump(mode="json") for row in sheet.labour]
    return VisitRecord(ESTIMATE_GIVEN, sheet.id, sheet.given_at, by, json.dumps(labour), sheet.model_dump_json())


def decided_record(
    estimate: str, outcome: Outcome, jobs: Sequence[str], at: datetime, by: str, made_with: By | None = None
) -> VisitRecord:
    """What became of an estimate, and what it was said with, where that was not the command line."""
    body = {"outcome": outcome, "jobs": list(jobs)} | ({"by": made_with} if made_with else {})
    return VisitRecord(ESTIMATE_DECIDED, estimate, at, by, json.dumps(body), None)


def promise_record(promise: Promise, by: str) -> VisitRecord:
    """A promise; the plate alone is private."""
    body = {"due": promise.due.isoformat(), "chance": promise.chance, "job": promise.job}
    return VisitRecord(PROMISE_MADE, promise.planned, promise.made_at, by, json.dumps(body), promise.plate)


def stored_estimates(records: Sequence[VisitRecord]) -> tuple[StoredEstimate, ...]:
    """The estimates that records tell of, the oldest first; the latest decision counts."""
    decided = {one.subject: one for one in records if one.kind == ESTIMATE_DECIDED}
    return tuple(_estimate(one, decided.get(one.subject)) for one in records if one.kind == ESTIMATE_GIVEN)


def stored_promises(records: Sequence[VisitRecord]) -> tuple[Promise, ...]:
    """The promises that records tell of, the oldest first."""
    return tuple(_promise(one) for one in records if one.kind == PROMISE_MADE)


def approved_hours(estimate: StoredEstimate) -> tuple[ApprovedHours, ...]:
    """What a customer approves with an estimate, as the job's log keeps it."""
    rows = estimate.sheet.labour if estimate.sheet else estimate.labour
    return tuple(
        ApprovedHours(
            procedure=row.procedure, operation=row.operation, payer=row.payer, hours=row.hours, price=row.price
        )
        for row in rows
    )


def _estimate(given: VisitRecord, decided: VisitRecord | None) -> StoredEstimate:
    told = json.loads(decided.body) if decided else {}
    return StoredEstimate(
        id=given.subject,
        given_at=given.at,
        labour=tuple(LabourRow.model_validate(row) for row in json.loads(given.body)),
        sheet=EstimateSheet.model_validate_json(given.private) if given.private else None,
        outcome=told.get("outcome"),
        decided_at=decided.at if decided else None,
        jobs=tuple(told.get("jobs", ())),
    )


def _promise(one: VisitRecord) -> Promise:
    body = json.loads(one.body)
    due = datetime.fromisoformat(body["due"])
    return Promise(one.subject, one.at, due, float(body["chance"]), body["job"], one.private)
