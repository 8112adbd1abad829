"""Answers about leaving the procedure for a fastener."""

from __future__ import annotations

from sparehand.job.answer import Line, plain, quantity
from sparehand.job.answering import answer_here
from sparehand.job.events import DepartureKind, Question
from sparehand.job.state import JobState

_SAID: dict[DepartureKind, str] = {
    "thread insert": "Thread insert",
    "substitute bolt": "Substitute bolt",
    "stripped thread": "Stripped thread",
    "cannot tighten": "Cannot tighten",
    "left loose": "Left loose",
}
_WAY_ON: dict[DepartureKind, str] = {
    "thread insert": "Tighten by the data of the insert's maker.",
    "substitute bolt": "Tighten by the data of the bolt's maker.",
    "stripped thread": "Say thread insert fitted or substitute bolt fitted, once it is.",
    "cannot tighten": "It stays on the list.",
    "left loose": "It stays on the list.",
}


def departed(state: JobState) -> tuple[Line, ...]:
    """What was written down, that the torque is withheld, and the way on."""
    departure = state.progress.departures[-1].recorded
    name = state.plan.procedure.fastener(departure.fastener.fastener).name
    return (
        plain(f"{_SAID[departure.departure]}, written down. The torque of {name} is withheld."),
        plain(_WAY_ON[departure.departure]),
        plain("Say the reason, and who decided if it was not you."),
    )


def tightened(state: JobState) -> tuple[Line, ...]:
    """It is tight, and off the list."""
    return (plain("Tight by other data, written down."), *answer_here.done(state))


def asks_reading(state: JobState, asked: Question) -> Line:
    """The value heard, read back; there are no limits to hold it against."""
    name = state.plan.procedure.fastener(asked.about.split("/")[0]).name
    if asked.torque is None:
        return plain(f"A reading for {name}.")
    return quantity(asked.torque.value, asked.torque.unit).framed("I heard ", f" for {name}, by other data.")
