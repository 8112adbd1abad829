"""What is seen of the vehicle during the job, and that the job is practice."""

from __future__ import annotations

from sparehand.job import commands as c
from sparehand.job.decision import Context, Decision, refuse, tell
from sparehand.job.events import ConditionsSeen, PracticeMarked, Question, QuestionAsked
from sparehand.job.state import JobState

MOST_DIGITS = 7


def corrosion(_state: JobState, command: c.SayCorrosion, _context: Context) -> Decision:
    """The corrosion as it is seen now; a later word replaces an earlier one."""
    return tell("conditions", ConditionsSeen(corrosion=command.level))


def support(_state: JobState, command: c.SaySupport, _context: Context) -> Decision:
    """What the vehicle stands on."""
    return tell("conditions", ConditionsSeen(support=command.support))


def odometer(state: JobState, command: c.SayOdometer, _context: Context) -> Decision:
    """The odometer; it is read back and counts only when confirmed."""
    if not command.digits.isdecimal() or len(command.digits) > MOST_DIGITS:
        return refuse("The odometer is one to seven whole digits.", "odometer one two three four five")
    unit = state.vehicle.odometer_unit
    asked = Question(kind="odometer", about="odometer", value=float(command.digits), unit=unit)
    return tell("question", QuestionAsked(question=asked))


def odometer_now(state: JobState, question: Question, _context: Context) -> Decision:
    """The odometer was confirmed."""
    return tell("conditions", ConditionsSeen(odometer=int(question.number), odometer_unit=state.vehicle.odometer_unit))


def practice(state: JobState, _command: c.PracticeOnly, _context: Context) -> Decision:
    """The times of this job are not to count."""
    if state.progress.practice:
        return refuse("The job is marked as practice already.", "which job is this")
    return tell("practice", PracticeMarked())
