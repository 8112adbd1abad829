"""Doing a finished step, or the finished steps of a phase, once more."""

from __future__ import annotations

from sparehand.job import commands as c
from sparehand.job.decision import Context, Decision, refuse, tell
from sparehand.job.events import Question, QuestionAsked, StepsReopened
from sparehand.job.state import JobState
from sparehand.procedures.plan import StepKey


def redo(state: JobState, command: c.Redo, _context: Context) -> Decision:
    """Ask whether the present step, or all that is done of its phase, is to be done once more."""
    if not to_redo(state, command.what):
        why = "This step is not done yet." if command.what == "step" else "Nothing of this phase is done yet."
        return refuse(why, "repeat")
    return tell("question", QuestionAsked(question=Question(kind="redo", about=command.what, side=state.side)))


def redo_now(state: JobState, question: Question, _context: Context) -> Decision:
    """The redoing was confirmed."""
    return tell("redone", StepsReopened(steps=to_redo(state, question.about)))


def to_redo(state: JobState, what: str) -> tuple[StepKey, ...]:
    """The finished steps that would be done once more, in order."""
    here = state.progress.at
    keys = (here,) if what == "step" else state.phase.step_keys()
    return tuple(key for key in keys if key in state.progress.done)
