"""From a command to what happens: a pure function of the state, the command and the time."""

from __future__ import annotations

from sparehand.job import commands as c
from sparehand.job.deciding import (
    decide_ending,
    decide_tightening,
    decide_visit,
)
from sparehand.job.deciding.handlers import ANY_TIME, ASKS, AT_WORK, ON_HOLD, UNDER_A_QUESTION
from sparehand.job.decision import Context, Decision, refuse, tell
from sparehand.job.state import JobState
from sparehand.job.vehicle.weighing import weighed


def decide(state: JobState, command: c.Command, context: Context) -> Decision:
    """What `command` does to a job in `state`: events, or a refusal that says why and what to say instead.

    What the events claim of the vehicle is weighed against the record; a contradiction is refused by its name.
    """
    decision = _decided(state, command, context)
    against = weighed(state, decision.events, context.now)
    return refuse(against.words, against.say) if against else decision


def _decided(state: JobState, command: c.Command, context: Context) -> Decision:
    kind = type(command)
    if kind in ASKS:
        return ASKS[kind](state, command, context)
    if state.progress.closed:
        return _on_a_closed_job(state, command, context)
    if kind in ANY_TIME:
        return ANY_TIME[kind](state, command, context)
    if state.progress.question and kind in UNDER_A_QUESTION:
        return UNDER_A_QUESTION[kind](state, command, context)
    if state.progress.question:
        return _with_a_question_open(state, command, context)
    if kind in ON_HOLD:
        return ON_HOLD[kind](state, command, context)
    return _busy_otherwise(state) or AT_WORK[kind](state, command, context)


def _busy_otherwise(state: JobState) -> Decision | None:
    """The refusal of work while the job is on hold, or while a line of the visit runs for who speaks."""
    if state.progress.hold:
        return refuse(f"The work is on hold for {state.progress.hold}.", "back to work")
    occupied = state.progress.visit.occupying(state.progress.crew.acting)
    if occupied:
        return decide_visit.running(occupied.work)
    return None


def _on_a_closed_job(state: JobState, command: c.Command, context: Context) -> Decision:
    if isinstance(command, c.Tick):
        return tell("nothing")
    if isinstance(command, c.Undo):
        return decide_ending.undo(state, command, context)
    return refuse("The job is closed.", "time check")


def _with_a_question_open(state: JobState, command: c.Command, context: Context) -> Decision:
    """Going back, undoing or stopping takes the question away; a reading heard anew takes its place."""
    if isinstance(command, c.GoBack | c.Undo):
        return decide_ending.refuse_question(state, c.Refuse(), context)
    if isinstance(command, c.Reading):
        return decide_tightening.reading(state, command, context)
    return refuse("A question is open.", "yes confirm or no cancel")
