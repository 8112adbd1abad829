"""What a job card says, gathered from the state of a job and its history."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from sparehand.ground.plurals import how_many
from sparehand.job.events import MeasurementRecorded, Question, Recorded
from sparehand.job.open_items import open_items, safe_to_drive
from sparehand.job.progress import Departure
from sparehand.job.state import JobState
from sparehand.job.vehicle.claim_words import claim_words
from sparehand.job.vehicle.gates import lacking
from sparehand.procedures import wording
from sparehand.procedures.model import Measurement, Side, Step
from sparehand.procedures.phase_order import phases_of
from sparehand.procedures.plan import StepKey
from sparehand.screens.card_extra import extra_work_rows, fault_rows, way_rows
from sparehand.screens.card_fasteners import part_rows, tightening_rows, with_side
from sparehand.screens.card_notes import ReadPicture, note_rows, picture_rows
from sparehand.screens.card_open import by_side
from sparehand.screens.card_rows import AnswerRow, CardContent, DepartureRow, GateRow, MeasurementRow, OperationRow
from sparehand.screens.card_visit import follow_up_words, line_rows
from sparehand.screens.card_wrenches import wrench_rows
from sparehand.screens.vehicle_plan import loose_at, vehicle_plan


def card_content(state: JobState, history: Sequence[Recorded], picture: ReadPicture) -> CardContent:
    """All that a card tells of a job, in the order of the work. `history` says who decided what when."""
    closed = state.progress.closed
    return CardContent(
        operations=tuple(_operations(state)),
        extra_work=(*extra_work_rows(state, history), *way_rows(state, history)),
        lines=tuple(line_rows(state)),
        parts=tuple(part_rows(state)),
        tightenings=tuple(tightening_rows(state)),
        findings=(*_findings(state), *fault_rows(state, history)),
        measurements=tuple(_measurements(state)),
        marks=tuple(_marks(state)),
        without_step=tuple(AnswerRow(claim_words(state, one), one.against) for one in state.progress.told),
        wrenches=tuple(wrench_rows(state)),
        departures=tuple(_departures(state, history)),
        notes=tuple(note_rows(state, history)),
        pictures=tuple(picture_rows(state, history, picture)),
        gates=tuple(_gates(state)),
        left_open=by_side(dict.fromkeys((*(closed.left_open if closed else ()), *_open(state))), state.plan.sides),
        plan=vehicle_plan(loose_at(state)) if state.loose else "",
        left_because=closed.reason if closed else "",
        follow_ups=follow_up_words(state),
        safe=safe_to_drive(state),
    )


def _steps(state: JobState) -> Iterator[tuple[StepKey, Step]]:
    return ((key, state.plan.step(key)) for key in state.plan.steps)


def _operations(state: JobState) -> Iterator[OperationRow]:
    for id in state.plan.operations:
        operation = state.plan.procedure.operation(id)
        phases = phases_of(state.plan.procedure, [id])
        keys = [key for key in state.plan.steps if key.at.phase in phases]
        missing = sum(key not in state.progress.done for key in keys)
        outcome = f"{missing} of {how_many(len(keys), 'step')} not done" if missing else "done"
        yield OperationRow(operation.title, outcome, state.progress.visit.payer_of(id))


def _findings(state: JobState) -> Iterator[AnswerRow]:
    for key, step in _steps(state):
        if step.inspect:
            at = step.inspect.id, key.at.side
            said = state.progress.findings_said.get(at, ())
            answer = state.progress.findings.get(at, "not answered")
            yield AnswerRow(
                _of_side(step.inspect.asks, key.at.side),
                f"{answer} counts; said in turn: {', '.join(said)}" if len(set(said)) > 1 else answer,
            )


def _measurements(state: JobState) -> Iterator[MeasurementRow]:
    for key, step in _steps(state):
        if step.measure:
            value = state.progress.measurements.get((step.measure.id, key.at.side))
            yield MeasurementRow(
                asks=_of_side(step.measure.asks, key.at.side),
                value=wording.quantity_shown(value.value, value.unit) if value else "not measured",
                limits=limits(step.measure),
                verdict=_verdict(step.measure, value),
            )


def limits(measurement: Measurement) -> str:
    """The limits of a measurement in words, such as "372 to 392 mm"."""
    low, high = measurement.low, measurement.high
    if low is not None and high is not None:
        return f"{wording.number_shown(low)} to {wording.quantity_shown(high, measurement.unit)}"
    if low is not None:
        return f"at least {wording.quantity_shown(low, measurement.unit)}"
    return f"at most {wording.quantity_shown(high, measurement.unit)}" if high is not None else "none given"


def _verdict(measurement: Measurement, value: MeasurementRecorded | None) -> str:
    if value is None or (measurement.low is None and measurement.high is None):
        return ""
    low_enough = measurement.high is None or value.value <= measurement.high
    high_enough = measurement.low is None or value.value >= measurement.low
    return "within limits" if low_enough and high_enough else "out of limits"


def _marks(state: JobState) -> Iterator[AnswerRow]:
    for (id, side), mark in state.progress.marks.items():
        answer = "found again and used" if mark == "found" else "made, to be found again"
        yield AnswerRow(with_side(state.plan.procedure.mark(id).text, side), answer)


def _departures(state: JobState, history: Sequence[Recorded]) -> Iterator[DepartureRow]:
    for departure in state.progress.departures:
        recorded = departure.recorded
        written = next((one for one in reversed(history) if one.event == recorded), None)
        writer = written.technician if written else state.opened.technician
        yield DepartureRow(
            what=recorded.departure,
            fastener=with_side(state.plan.procedure.fastener(recorded.fastener.fastener).name, recorded.fastener.side),
            reason=departure.reason or "none given",
            decided_by=f"{departure.decided_by}, told by {writer}" if departure.decided_by else writer,
            decided_at=f"{written.at.wall:%Y-%m-%d %H:%M}" if written else "",
            ended=_ended(departure),
        )


def _ended(departure: Departure) -> str:
    tightened = departure.tightened
    if tightened is None:
        return "not tight"
    value = f": {wording.torque_shown(tightened.achieved)}" if tightened.achieved else ""
    return f"tight, by {tightened.basis}{value}"


def _gates(state: JobState) -> Iterator[GateRow]:
    for id in dict.fromkeys(step.passes_gate for _, step in _steps(state) if step.passes_gate):
        yield GateRow(state.plan.procedure.gate(id).asks, _outcome(state, id))


def _outcome(state: JobState, gate: str) -> str:
    """A gate that the record contradicts was said to be checked, and is not checked."""
    if gate not in state.progress.gates:
        return "not checked"
    against = " ".join(dict.fromkeys(one.against for one in lacking(state, gate)))
    return f"said to be checked; against the record: {against}" if against else "checked"


def _open(state: JobState) -> Iterator[str]:
    """What stands open now, each with enough words to act on."""
    yield from open_items(state)
    yield from (f"Skipped: {_of_side(state.plan.step(key).say, key.at.side)}" for key in state.progress.skipped)
    yield from _not_done(state)
    yield from (f"Not answered: {_asked(state, question)}." for question in state.progress.lapsed)


def _not_done(state: JobState) -> Iterator[str]:
    """The steps of a begun job that nobody has done or skipped: a single one by its words, more by their phase."""
    accounted_for = state.progress.done | set(state.progress.skipped)
    for planned in state.plan.phases if state.progress.done else ():
        keys = planned.step_keys()
        missing = [key for key in keys if key not in accounted_for]
        if len(missing) == 1:
            yield f"Not done: {_of_side(state.plan.step(missing[0]).say, planned.key.side)}"
        elif missing:
            steps = f"{len(missing)} of {how_many(len(keys), 'step')}"
            yield f"Not done: {with_side(planned.phase.title, planned.key.side)}, {steps}."


def _asked(state: JobState, question: Question) -> str:
    """What a question that lapsed was about, by the names that the procedure gives."""
    procedure = state.plan.procedure
    names = {fastener.id: fastener.name for fastener in procedure.fasteners}
    names |= {step.measure.id: step.measure.asks for _, step in _steps(state) if step.measure}
    name = names.get(question.about.partition("/")[0])
    about = f" of {name}" if name else ""
    return _of_side(f"{question.kind}{about}", question.side)


def _of_side(sentence: str, side: Side | None) -> str:
    """A whole sentence with the side it is about."""
    return f"{sentence} ({side})" if side else sentence
