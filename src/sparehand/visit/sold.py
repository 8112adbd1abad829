"""Approved, sold and worked hours of a job side by side, by who pays. Pure."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator
from decimal import ROUND_CEILING, ROUND_HALF_UP, Decimal

from sparehand.job.events import Payer
from sparehand.job.state import JobState
from sparehand.job.visit_lines import VisitLine
from sparehand.procedures.phase_order import phases_of
from sparehand.times.job_times import Timesheet
from sparehand.visit.estimate import SheetRecord
from sparehand.visit.tenths import TENTH

_HUNDREDTH = Decimal("0.01")


class PayerHours(SheetRecord):
    """Hours that one payer approved, is charged for, and that were worked."""

    payer: Payer
    approved: Decimal = Decimal(0)
    sold: Decimal = Decimal(0)
    worked: Decimal = Decimal(0)


def payer_hours(state: JobState, sheet: Timesheet) -> tuple[PayerHours, ...]:
    """The hours of a job by payer, in the order of the payers' names.

    What was approved is sold where its operation was not dropped; a line beside the procedure is sold in tenths begun,
    where the estimate did not hold it. Shared access counts with the first operation that needs it.
    """
    approved = [(row.payer, row.hours) for row in state.progress.visit.approved]
    return _side_by_side(approved, tuple(_sold(state, sheet)), tuple(_worked(state, sheet)))


def added_up(rows: Iterable[PayerHours]) -> tuple[PayerHours, ...]:
    """Rows of several jobs as one row a payer."""
    rows = tuple(rows)
    return _side_by_side(
        [(row.payer, row.approved) for row in rows],
        [(row.payer, row.sold) for row in rows],
        [(row.payer, row.worked) for row in rows],
    )


Hours = Iterable[tuple[Payer, Decimal]]


def _side_by_side(approved: Hours, sold: Hours, worked: Hours) -> tuple[PayerHours, ...]:
    columns = [_total(hours) for hours in (approved, sold, worked)]
    payers = sorted({payer for column in columns for payer in column})
    return tuple(
        PayerHours(payer=payer, **{name: column.get(payer, Decimal(0)) for name, column in _named(columns)})
        for payer in payers
    )


def _named(columns: list[dict[Payer, Decimal]]) -> Iterator[tuple[str, dict[Payer, Decimal]]]:
    return zip(("approved", "sold", "worked"), columns, strict=True)


def _total(hours: Hours) -> dict[Payer, Decimal]:
    total: dict[Payer, Decimal] = defaultdict(Decimal)
    for payer, each in hours:
        total[payer] += each
    return dict(total)


def _sold(state: JobState, sheet: Timesheet) -> Iterator[tuple[Payer, Decimal]]:
    visit = state.progress.visit
    there = {*state.plan.operations, *(line.work for line in visit.lines)}
    yield from ((row.payer, row.hours) for row in visit.approved if row.operation in there)
    in_estimate = {row.operation for row in visit.approved}
    for line in visit.lines:
        if line.work not in in_estimate and line.work not in ("work elsewhere", "helper"):
            hours = _line_hours(line, sheet)
            yield line.payer, (hours / TENTH).to_integral_value(ROUND_CEILING) * TENTH


def _worked(state: JobState, sheet: Timesheet) -> Iterator[tuple[Payer, Decimal]]:
    lines = {line.key.phase: line for line in state.progress.visit.lines}
    for row in sheet.phases:
        if row.phase not in lines:
            yield _payer_of_phase(state, row.phase), _hours(row.work_seconds)
    for line in lines.values():
        if line.work not in ("work elsewhere", "waiting"):
            yield line.payer, _line_hours(line, sheet)


def _payer_of_phase(state: JobState, phase: str) -> Payer:
    """The payer of the first operation that needs the phase, of the job's own before those it dropped."""
    operations = (*state.plan.operations, *(operation.id for operation in state.plan.procedure.operations))
    needing = (id for id in operations if phase in phases_of(state.plan.procedure, [id]))
    return state.progress.visit.payer_of(next(needing, ""))


def _line_hours(line: VisitLine, sheet: Timesheet) -> Decimal:
    rows = [row for row in sheet.phases if row.phase == line.key.phase]
    timed = sum(row.work_seconds + row.held_seconds for row in rows)
    return _hours(timed + 60 * (line.minutes or 0))


def _hours(seconds: float) -> Decimal:
    return (Decimal(round(seconds * 1000)) / 3_600_000).quantize(_HUNDREDTH, ROUND_HALF_UP)
