"""Questions to the technician, with what was heard read back digit by digit."""

from __future__ import annotations

from collections.abc import Callable

from sparehand.job.answer import Line, hint, plain, quantity
from sparehand.job.answering import (
    answer_conditions,
    answer_departing,
    answer_drafting,
    answer_extra,
    answer_forgotten,
    answer_redoing,
    answer_tooling,
    answer_vehicle,
    answer_visit,
)
from sparehand.job.answering.answer_overview import left_open
from sparehand.job.deciding.decide_tightening import within_limits
from sparehand.job.events import Question
from sparehand.job.events.ending_events import QuestionKind
from sparehand.job.obligations import present_tightening
from sparehand.job.open_items import undone_steps
from sparehand.job.state import JobState
from sparehand.procedures.model import Measurement

_CHOICE = hint("Yes confirm, or no cancel.")


def question(state: JobState) -> tuple[Line, ...]:
    """The open question in words, or nothing where none is open."""
    if state.progress.question is None:
        return ()
    asked = state.progress.question.question
    return (*_QUESTIONS[asked.kind](state, asked), _CHOICE)


def measured(state: JobState) -> tuple[Line, ...]:
    """The value just written down, with "out of limits" first where it is."""
    measurement = state.step.measure
    value = state.progress.measurements.get((measurement.id, state.side)) if measurement else None
    if measurement is None or value is None:
        return (plain("Written down."),)
    head = "Out of limits. " if out_of_limits(measurement, value.value) else ""
    return (quantity(value.value, value.unit).framed(f"{head}Written down: ", "."),)


def out_of_limits(measurement: Measurement, value: float) -> bool:
    """Whether a measured value lies outside the limits of the procedure."""
    below = measurement.low is not None and value < measurement.low
    above = measurement.high is not None and value > measurement.high
    return below or above


def _reading(state: JobState, asked: Question) -> Line:
    present = present_tightening(state)
    name = present.fastener.name if present else asked.about
    if asked.torque is None:
        return plain(f"A reading for {name}.")
    return quantity(asked.torque.value, asked.torque.unit).framed("I heard ", f" for {name}.")


def _limits(state: JobState, asked: Question) -> tuple[Line, ...]:
    present = present_tightening(state)
    if present is None or asked.torque is None or within_limits(present, asked.torque):
        return ()
    return (plain("Out of limits.").kept_whole(),)


def _measurement(state: JobState, asked: Question) -> Line:
    measurement = state.step.measure
    value = asked.value or 0.0
    outside = "Out of limits. " if measurement and out_of_limits(measurement, value) else ""
    return quantity(value, asked.unit or "").framed(f"{outside}I heard ", ".")


def _closing(state: JobState, asked: Question) -> tuple[Line, ...]:
    left = (*left_open(state), *map(plain, undone_steps(state)))
    reason = f", {asked.about}" if asked.about else ""
    return (*left, plain(f"Close the job as it stands{reason}?")) if left else (plain("Close the job?"),)


_QUESTIONS: dict[QuestionKind, Callable[[JobState, Question], tuple[Line, ...]]] = {
    "reading": lambda state, asked: (*_limits(state, asked), _reading(state, asked)),
    "measurement": lambda state, asked: (_measurement(state, asked),),
    "close": _closing,
    "skip warning": lambda _state, _asked: (
        plain("Skip this step with its warning unread? It will be read when you come back."),
    ),
    "approval limit": lambda _state, asked: (answer_extra.asks_limit(asked),),
    "reading by other data": lambda state, asked: (answer_departing.asks_reading(state, asked),),
    "extension": lambda _state, asked: (answer_tooling.asks_extension(asked),),
    "redo": answer_redoing.asks_to_redo,
    "fastener value": lambda state, asked: (answer_drafting.asks_value(state, asked),),
    "forgotten word": answer_forgotten.asks,
    "skip steps": answer_vehicle.asks_to_skip,
    "already so": answer_vehicle.asks_already_so,
    "angle begun": answer_vehicle.asks_angle_begun,
    "press size": lambda _state, asked: (quantity(asked.value or 0.0, asked.unit or "").framed("I heard ", "."),),
    "fault measured": lambda _state, asked: (quantity(asked.value or 0.0, asked.unit or "").framed("I heard ", "."),),
    "which finding": answer_vehicle.asks_which_finding,
    "test distance": lambda _state, asked: (answer_visit.asks_distance(asked),),
    "due reading": lambda _state, asked: (answer_visit.asks_distance(asked),),
    "odometer": lambda _state, asked: (answer_conditions.asks_odometer(asked),),
    "same things": lambda state, _asked: (answer_extra.asks_same(state),),
    "drop operation": lambda state, asked: (answer_extra.asks_to_drop(state, asked),),
    "restart tightening": lambda _state, _asked: (plain("Slacken it and start again at stage one?"),),
}
