"""The timesheet of a job: its ledger, added up."""

from __future__ import annotations

from collections import defaultdict

from sparehand.ground.clock import Moment
from sparehand.job.account import Span
from sparehand.job.events import TimeCorrected
from sparehand.job.extra_work import approved_operations
from sparehand.job.ledger import Ledger, milliseconds
from sparehand.job.state import JobState
from sparehand.job.visit_lines import is_line
from sparehand.procedures.model import Procedure
from sparehand.procedures.phase_key import parted_id
from sparehand.procedures.plan import PhaseKey
from sparehand.times.job_times import (
    CorrectedTime,
    HoldTime,
    JobTimes,
    PersonTime,
    PhaseTime,
    SnagTime,
    Timesheet,
    joined_job,
)
from sparehand.times.what_counts import PRACTICE, left_out_reason


def timesheet(state: JobState, now: Moment | None = None) -> Timesheet:
    """The times of the job up to its last event, or up to `now` for one that is open."""
    ledger = state.ledger if now is None else state.ledger.up_to(now)
    spans = ledger.all_spans()
    return Timesheet(
        job=state.job,
        procedure=state.plan.procedure.id,
        opened_at=state.opened_at.wall,
        technicians=tuple(dict.fromkeys(account.label.technician for account in ledger.accounts)),
        open=state.progress.closed is None,
        work_seconds=milliseconds(spans, "work") / 1000,
        held_seconds=milliseconds(spans, "hold") / 1000,
        gap_seconds=milliseconds(spans, "gap") / 1000,
        elapsed_seconds=milliseconds(spans) / 1000,
        phases=_phase_times(state, spans),
        holds=_hold_times(spans),
        people=_person_times(ledger),
        corrections=tuple(_corrected_time(correction) for correction in ledger.corrections),
    )


def job_times(state: JobState, sheet: Timesheet) -> JobTimes:
    """The job as the estimates see it; the work of a procedure that joined it counts as a job of that procedure."""
    joined = tuple(_times_of(state, sheet, each.procedure, each.procedure.id) for each in state.progress.joined)
    return _times_of(state, sheet, state.opened.procedure).model_copy(update={"joined": joined})


def _times_of(state: JobState, sheet: Timesheet, procedure: Procedure, joined: str = "") -> JobTimes:
    """What was worked by one procedure, under its own ids. With none of its operations left, those there were count."""
    vehicle = state.vehicle
    ever = (*state.opened.operations, *approved_operations(state))
    of_it = [[own for file, own in map(parted_id, ids) if file == joined] for ids in (state.plan.operations, ever)]
    times = JobTimes(
        job=joined_job(state.job, joined) if joined else state.job,
        opened_at=sheet.opened_at,
        procedure=procedure.id,
        operations=tuple(dict.fromkeys(of_it[0] or of_it[1])),
        corrosion=vehicle.corrosion,
        support=vehicle.support,
        phases=tuple(_own(row) for row in sheet.phases if not is_line(row.phase) and parted_id(row.phase)[0] == joined),
        rework=state.rework_of is not None,
        left_out=PRACTICE if state.progress.practice else None,
    )
    planned = {phase.id: 60 * phase.planned_minutes for phase in procedure.phases if phase.planned_minutes}
    return times.model_copy(update={"left_out": left_out_reason(times, planned) or None})


def _own(row: PhaseTime) -> PhaseTime:
    return row.model_copy(update={"phase": parted_id(row.phase)[1]})


def _phase_times(state: JobState, spans: tuple[Span, ...]) -> tuple[PhaseTime, ...]:
    """One row for each phase and technician that has any time, in working order; what was dropped comes last."""
    rows: dict[tuple[PhaseKey, str], list[Span]] = defaultdict(list)
    for span in spans:
        rows[span.label.phase, span.label.technician].append(span)
    order = {planned.key: place for place, planned in enumerate(state.plan.phases)}
    complete = {planned.key for planned in state.plan.phases if state.phase_complete(planned)}
    in_order = sorted(rows.items(), key=lambda row: order.get(row[0][0], len(order)))
    return tuple(_phase_time(key, technician, tuple(mine), key in complete) for (key, technician), mine in in_order)


def _phase_time(key: PhaseKey, technician: str, spans: tuple[Span, ...], complete: bool) -> PhaseTime:
    snags = tuple(
        SnagTime(kind=span.label.snag, seconds=span.milliseconds / 1000)
        for span in spans
        if span.label.snag and span.label.kind == "work"
    )
    return PhaseTime(
        phase=key.phase,
        side=key.side,
        technician=technician,
        work_seconds=milliseconds(spans, "work") / 1000,
        held_seconds=milliseconds(spans, "hold") / 1000,
        snags=snags,
        complete=complete,
    )


def _corrected_time(correction: TimeCorrected) -> CorrectedTime:
    return CorrectedTime(
        technician=correction.technician,
        from_phase=correction.phase.phase,
        from_side=correction.phase.side,
        to_phase=correction.to_phase.phase,
        to_side=correction.to_phase.side,
        counted_as=correction.counted_as,
        seconds=correction.milliseconds / 1000,
        why=correction.why,
    )


def _person_times(ledger: Ledger) -> tuple[PersonTime, ...]:
    """One row for each technician, in the order of joining."""
    spans = ledger.all_spans()
    names = dict.fromkeys(account.label.technician for account in ledger.accounts)
    return tuple(_person_time(name, tuple(span for span in spans if span.label.technician == name)) for name in names)


def _person_time(name: str, spans: tuple[Span, ...]) -> PersonTime:
    return PersonTime(
        technician=name,
        work_seconds=milliseconds(spans, "work") / 1000,
        held_seconds=milliseconds(spans, "hold") / 1000,
        gap_seconds=milliseconds(spans, "gap") / 1000,
        elapsed_seconds=milliseconds(spans) / 1000,
    )


def _hold_times(spans: tuple[Span, ...]) -> tuple[HoldTime, ...]:
    totals: dict[str, int] = defaultdict(int)
    for span in spans:
        if span.label.kind == "hold":
            totals[span.label.hold or "not said"] += span.milliseconds
    return tuple(HoldTime(reason=reason, seconds=total / 1000) for reason, total in totals.items())
