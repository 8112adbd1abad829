"""Writing down what was seen and done: warnings, findings, parts, marks, conditions, gates, the unit."""

from __future__ import annotations

from sparehand.job import commands as c
from sparehand.job.deciding.decide_finding import proposed_by
from sparehand.job.deciding.decide_moving import answering, ask_for
from sparehand.job.decision import Context, Decision, refuse, tell
from sparehand.job.events import (
    FindingRecorded,
    GatePassed,
    MarkFound,
    MarkMade,
    OldPartKept,
    PartRenewed,
    Question,
    QuestionAsked,
    UnitChosen,
    WarningUnderstood,
)
from sparehand.job.folding.fold_ending import finding_asked
from sparehand.job.obligations import obligations, to_renew
from sparehand.job.state import JobState


def understood(state: JobState, _command: c.Understood, _context: Context) -> Decision:
    """The first open warning of the step is understood."""
    for duty in obligations(state):
        if duty.duty == "warning":
            return tell("understood", WarningUnderstood(warning=duty.about, side=state.side), about=duty.about)
    return refuse("No warning is open here.", "repeat")


def finding(state: JobState, command: c.Finding, context: Context) -> Decision:
    """Answer the inspection of the step; a second, other answer is kept beside the first, and asked about."""
    if state.step.inspect is None:
        return refuse("This step asks for no inspection.", "repeat")
    blocked = _warned(state)
    if blocked:
        return blocked
    inspection = state.step.inspect.id
    before = state.progress.findings.get((inspection, state.side))
    if before not in (None, command.answer):
        question = Question(kind="which finding", about=f"{inspection}/{command.answer}", side=state.side)
        return tell("question", QuestionAsked(question=question))
    event = FindingRecorded(inspection=inspection, side=state.side, finding=command.answer)
    work = proposed_by(state, state.step.inspect, command.answer, context)
    return tell("finding", event, *work, about=command.answer)


def later_finding(state: JobState, question: Question, context: Context) -> Decision:
    """The later of two findings counts."""
    inspection, answer = finding_asked(question)
    event = FindingRecorded(inspection=inspection, side=question.side, finding=answer)
    return tell("finding", event, *proposed_by(state, state.step.inspect, answer, context), about=answer)


def renewed(state: JobState, _command: c.Renewed, _context: Context) -> Decision:
    """The use-once parts of the step are new."""
    wanted = to_renew(state)
    if not wanted:
        return refuse("No use-once part is open here.", "which parts")
    return tell("renewed", *(PartRenewed(part=id, side=state.side) for id in wanted))


def keep_old_part(state: JobState, _command: c.KeepOldPart, _context: Context) -> Decision:
    """The old parts that this step replaces, or that its fasteners came with, are kept."""
    parts = {part.id for part in state.plan.procedure.parts}
    here = [id for id in dict.fromkeys((*state.step.renews, *state.step.removes)) if id in parts]
    fresh = [id for id in here if (id, state.side) not in state.progress.old_kept]
    if not fresh:
        return refuse("No part comes out at this step.", "which parts")
    return tell("old part kept", *(OldPartKept(part=id, side=state.side) for id in fresh))


def mark_is_made(state: JobState, _command: c.MarkIsMade, _context: Context) -> Decision:
    """The mark of the step is made."""
    mark = state.step.makes_mark
    if mark is None or (mark, state.side) in state.progress.marks:
        return refuse("No mark is to be made here.", "repeat")
    return _warned(state) or tell("mark", MarkMade(mark=mark, side=state.side), about="made")


def mark_is_found(state: JobState, _command: c.MarkIsFound, _context: Context) -> Decision:
    """The mark made earlier is found again."""
    mark = state.step.finds_mark
    if mark is None or state.progress.marks.get((mark, state.side)) == "found":
        return refuse("No mark is to be found here.", "repeat")
    return _warned(state) or tell("mark", MarkFound(mark=mark, side=state.side), about="found")


def check_passed(state: JobState, _command: c.CheckPassed, context: Context) -> Decision:
    """The gate of the step is passed, once all else at the step is answered."""
    open_now = obligations(state)
    if not any(duty.duty == "gate" for duty in open_now):
        return refuse("No check is open at this step.", "next")
    if open_now[0].duty != "gate":
        return ask_for(open_now[0])
    return answering(state, "gate", GatePassed(gate=open_now[0].about), context, about=open_now[0].about)


def use_unit(_state: JobState, command: c.UseUnit, _context: Context) -> Decision:
    """Torques are spoken in this unit from now on."""
    return tell("unit", UnitChosen(unit=command.unit), unit=command.unit)


def _warned(state: JobState) -> Decision | None:
    """An open warning comes before anything that is recorded at the step."""
    open_now = obligations(state)
    return ask_for(open_now[0]) if open_now and open_now[0].duty == "warning" else None
