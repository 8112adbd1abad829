"""Answering questions, taking back, leaving and closing: what has lasting effect."""

from __future__ import annotations

from collections.abc import Callable

from sparehand.job import commands as c
from sparehand.job.deciding import (
    decide_claims,
    decide_conditions,
    decide_departing,
    decide_drafting,
    decide_extra,
    decide_finding,
    decide_forgotten,
    decide_moving,
    decide_recording,
    decide_redoing,
    decide_tooling,
    decide_visit,
)
from sparehand.job.deciding.decide_moving import answering
from sparehand.job.deciding.decide_tightening import within_limits
from sparehand.job.decision import Context, Decision, refuse, tell
from sparehand.job.events import (
    AngleAnswered,
    Event,
    JobClosed,
    JobParked,
    MeasurementRecorded,
    OutOfLimitsRead,
    Question,
    QuestionAnswered,
    QuestionAsked,
    StepReached,
    TighteningConfirmed,
    TighteningRestarted,
    Undone,
    WarningSkipped,
)
from sparehand.job.events.ending_events import QuestionKind
from sparehand.job.obligations import present_tightening
from sparehand.job.open_items import open_items, safe_to_drive, undone_steps
from sparehand.job.state import JobState
from sparehand.job.vehicle.listed_parts import unanswered
from sparehand.job.work_order import following
from sparehand.procedures.labels import named
from sparehand.procedures.plan import FastenerKey


def confirm(state: JobState, _command: c.Confirm, context: Context) -> Decision:
    """Yes to the open question."""
    if state.progress.question is None:
        return refuse("No question is open.", "where am i")
    question = state.progress.question.question
    if question.kind in _ABOUT_A_NUMBER and question.value is None:
        return refuse("No number was heard.", "no cancel")
    return _ON_YES[question.kind](state, question, context)


def refuse_question(state: JobState, _command: c.Refuse, _context: Context) -> Decision:
    """No to the open question: nothing is changed."""
    if state.progress.question is None:
        return refuse("No question is open.", "where am i")
    question = state.progress.question.question
    if question.kind == "angle begun":
        key = FastenerKey(question.about.split("/")[0], question.side)
        return tell("angle not begun", AngleAnswered(fastener=key, begun=False))
    return tell("answered no", QuestionAnswered(answer="no"))


def undo(state: JobState, _command: c.Undo, _context: Context) -> Decision:
    """Take back what was recorded last."""
    if not state.undo:
        return refuse("There is nothing to undo.", "where am i")
    point = state.undo[-1]
    return tell("undone", Undone(batch=point.batch), about=point.event.kind)


def park(state: JobState, _command: c.Park, _context: Context) -> Decision:
    """Leave the job for later, saying what stands open."""
    if state.progress.parked and state.progress.hold:
        return refuse("The job is parked already.", "back to work")
    return tell("parked", JobParked(safe_to_drive=safe_to_drive(state)))


def close(state: JobState, command: c.Close, context: Context) -> Decision:
    """End the job after a yes; with anything open only for a reason, which the record shows.

    What the times tell of forgotten words is asked before.
    """
    left = open_items(state)
    if left and command.reason is None:
        return _cannot_close(state, left)
    wondering = decide_forgotten.asks_at_the_close(state, context)
    if wondering:
        return wondering
    question = Question(kind="close", about=command.reason or "")
    return tell("question", QuestionAsked(question=question))


def _cannot_close(state: JobState, left: tuple[str, ...]) -> Decision:
    """What comes first, and how to close in spite of it."""
    parts = unanswered(state)
    if parts and left[0].startswith("Nobody answered for"):
        name = named(parts[0][0])
        return refuse(f"The job cannot close. {left[0]}", f"{name} is renewed, or {name} stays the old one")
    return refuse(f"The job cannot close. {left[0]}", "what is loose, or close customer declined")


def _confirm_reading(state: JobState, question: Question, context: Context) -> Decision:
    present = present_tightening(state)
    if present is None or str(present.key) != question.about or question.torque is None:
        return tell("answered no", QuestionAnswered(answer="no"))
    if not within_limits(present, question.torque):
        read = OutOfLimitsRead(fastener=present.key, stage=present.stage, achieved=question.torque)
        return tell("out of limits", read)
    done = TighteningConfirmed(
        fastener=present.key,
        stage=present.stage,
        count=1,
        method="instrument read",
        achieved=question.torque,
        wrench=state.progress.wrench,
    )
    return answering(state, "confirmed", done, context)


def _confirm_measurement(state: JobState, question: Question, context: Context) -> Decision:
    event = MeasurementRecorded(
        measurement=question.about, side=question.side, value=question.number, unit=question.unit or ""
    )
    return answering(state, "measured", event, context)


def _close_now(state: JobState, question: Question, _context: Context) -> Decision:
    left = (*open_items(state), *undone_steps(state))
    return tell("closed", JobClosed(reason=question.about, left_open=left))


def _skip_now(state: JobState, question: Question, _context: Context) -> Decision:
    target = following(state)
    skipped: list[Event] = [WarningSkipped(warning=question.about, side=question.side)]
    if target is not None:
        skipped.append(StepReached(step=target, skipped=(state.progress.at,)))
    return tell("arrived", *skipped)


def _restart_now(_state: JobState, question: Question, _context: Context) -> Decision:
    fastener = FastenerKey(question.about.split("/")[0], question.side)
    return tell("restarted", TighteningRestarted(fastener=fastener))


def _angle_begun(_state: JobState, question: Question, _context: Context) -> Decision:
    key = FastenerKey(question.about.split("/")[0], question.side)
    return tell("angle begun", AngleAnswered(fastener=key, begun=True))


_ABOUT_A_NUMBER: frozenset[QuestionKind] = frozenset(
    {
        "measurement",
        "approval limit",
        "extension",
        "fault measured",
        "press size",
        "test distance",
        "due reading",
        "odometer",
    }
)
"""What is asked back about a number; a record from elsewhere may lack it, and then it is never taken for nought."""
_ON_YES: dict[QuestionKind, Callable[[JobState, Question, Context], Decision]] = {
    "reading": _confirm_reading,
    "measurement": _confirm_measurement,
    "close": _close_now,
    "skip warning": _skip_now,
    "restart tightening": _restart_now,
    "approval limit": decide_extra.limit_now,
    "reading by other data": decide_departing.reading_now,
    "extension": decide_tooling.extension_now,
    "redo": decide_redoing.redo_now,
    "fastener value": decide_drafting.value_confirmed,
    "forgotten word": decide_forgotten.put_right_now,
    "drop operation": decide_extra.drop_now,
    "test distance": decide_visit.distance_now,
    "due reading": decide_visit.due_reading_now,
    "odometer": decide_conditions.odometer_now,
    "same things": decide_extra.same_now,
    "skip steps": decide_moving.skip_now,
    "already so": decide_claims.already_so,
    "angle begun": _angle_begun,
    "press size": decide_tooling.press_size_now,
    "fault measured": decide_finding.measured_now,
    "which finding": decide_recording.later_finding,
}
"""What a yes does, by the kind of question."""
