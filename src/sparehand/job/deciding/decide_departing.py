"""Leaving the procedure for a fastener: there is always a way on, and the record tells it."""

from __future__ import annotations

from collections.abc import Iterator

from sparehand.job import commands as c
from sparehand.job.deciding.decide_moving import answering, ask_for
from sparehand.job.decision import Context, Decision, refuse, tell
from sparehand.job.events import (
    DepartureDecided,
    DepartureExplained,
    DepartureRecorded,
    Question,
    QuestionAsked,
    TightenedByOtherData,
)
from sparehand.job.obligations import obligations, present_tightening
from sparehand.job.progress import Departure
from sparehand.job.state import JobState
from sparehand.procedures.plan import FastenerKey
from sparehand.procedures.quantities import TorqueValue


def depart(state: JobState, command: c.Depart, context: Context) -> Decision:
    """Leave the procedure for the present fastener: its torque is withheld and it stays on the list."""
    key = next(_leavable(state, command), None)
    if key is None:
        return refuse("There is no fastener to leave the procedure for at this step.", "what is loose")
    open_now = obligations(state)
    if open_now and open_now[0].duty == "warning":
        return ask_for(open_now[0])
    event = DepartureRecorded(departure=command.kind, fastener=key)
    return answering(state, "departure", event, context, about=command.kind)


def explain(state: JobState, command: c.ExplainDeparture, _context: Context) -> Decision:
    """Why the procedure was left last."""
    if not state.progress.departures:
        return refuse("The procedure was not left.", "where am i")
    key = state.progress.departures[-1].recorded.fastener
    return tell("noted", DepartureExplained(fastener=key, reason=command.reason), about=command.reason)


def decided_by(state: JobState, command: c.DepartureDecidedBy, _context: Context) -> Decision:
    """Who decided to leave the procedure last."""
    if not state.progress.departures:
        return refuse("The procedure was not left.", "where am i")
    key = state.progress.departures[-1].recorded.fastener
    return tell("noted", DepartureDecided(fastener=key, by=command.by), about=f"decided by the {command.by}")


def tightened_otherwise(state: JobState, command: c.TightenedOtherwise, context: Context) -> Decision:
    """The fastener for which the procedure was left is tight, by other data."""
    open_one = unsettled(state)
    if open_one is None:
        return refuse("No fastener at this step goes another way than the procedure's.", "what is loose")
    event = TightenedByOtherData(fastener=open_one.recorded.fastener, basis=command.basis)
    return answering(state, "tightened otherwise", event, context)


def reading_otherwise(state: JobState, value: float) -> Decision | None:
    """A reading for a fastener that is tightened by other data; it is read back, and no limits are known."""
    open_one = unsettled(state)
    if open_one is None:
        return None
    torque = TorqueValue(value=value, unit=state.progress.unit)
    question = Question(
        kind="reading by other data", about=str(open_one.recorded.fastener), side=state.side, torque=torque
    )
    return tell("question", QuestionAsked(question=question))


def reading_now(state: JobState, question: Question, context: Context) -> Decision:
    """The reading was confirmed."""
    key = FastenerKey(question.about.split("/")[0], question.side)
    event = TightenedByOtherData(fastener=key, basis="a value of the technician's", achieved=question.torque)
    return answering(state, "tightened otherwise", event, context)


def unsettled(state: JobState) -> Departure | None:
    """The last departure of this step's fasteners that is not tight yet; else the last one of all."""
    here = set(_touched(state))
    open_ones = [
        one
        for one in state.progress.departures
        if one.tightened is None
        and state.progress.fastenings[one.recorded.fastener].departed == one.recorded.departure
        and not state.progress.fastenings[one.recorded.fastener].settled
    ]
    at_this_step = [one for one in open_ones if one.recorded.fastener in here]
    return at_this_step[-1] if at_this_step else None


def _leavable(state: JobState, command: c.Depart) -> Iterator[FastenerKey]:
    """The fasteners of the step that may go this other way: first the one to tighten now, then those touched."""
    present = present_tightening(state)
    if present:
        yield present.key
    for key in _touched(state):
        fastening = state.progress.fastenings.get(key)
        if fastening is None or fastening.departed != command.kind:
            yield key


def _touched(state: JobState) -> tuple[FastenerKey, ...]:
    step = state.step
    ids = dict.fromkeys((*step.tightens, *step.fits, *step.slackens, *step.removes))
    return tuple(FastenerKey(id, state.side) for id in ids)
