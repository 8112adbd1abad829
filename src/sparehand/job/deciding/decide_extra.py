"""Extra work and dropped operations: proposed, then approved or declined by somebody who may."""

from __future__ import annotations

from sparehand.job import commands as c
from sparehand.job.decision import Context, Decision, refuse, tell
from sparehand.job.events import (
    ApprovalLimited,
    ExtraWorkApproved,
    ExtraWorkDeclined,
    ExtraWorkProposed,
    OperationDropped,
    Question,
    QuestionAsked,
)
from sparehand.job.extra_work import just_approved, steps_to_keep, waiting
from sparehand.job.state import JobState


def add_operation(state: JobState, command: c.AddOperation, _context: Context) -> Decision:
    """Propose an operation that the job does not contain yet."""
    if command.operation not in {operation.id for operation in state.plan.procedure.operations}:
        return refuse("This procedure has no such operation.", "where am i")
    if command.operation in state.plan.operations:
        return refuse("That operation is part of this job already.", "where am i")
    if waiting(state) == command.operation:
        return refuse("That operation is proposed already.", "customer approved by phone, or customer declined it")
    return tell("extra work", ExtraWorkProposed(operation=command.operation), about=command.operation)


def approve(state: JobState, command: c.Approve, _context: Context) -> Decision:
    """The operation proposed last is part of the job from now on."""
    operation = waiting(state)
    if operation is None:
        return refuse("No extra work is proposed.", "add operation, and its name")
    event = ExtraWorkApproved(operation=operation, by=command.by, way=command.way)
    return tell("extra work approved", event, about=operation)


def limit_approval(state: JobState, command: c.LimitApproval, _context: Context) -> Decision:
    """The approval just given has a limit; the amount is read back and counts only when confirmed."""
    operation = just_approved(state)
    if operation is None:
        return refuse("No extra work was approved just now.", "where am i")
    question = Question(kind="approval limit", about=operation, value=float(command.digits))
    return tell("question", QuestionAsked(question=question))


def limit_now(_state: JobState, question: Question, _context: Context) -> Decision:
    """The amount was confirmed."""
    return tell("approval limited", ApprovalLimited(operation=question.about, amount=question.number))


def decline(state: JobState, command: c.Decline, _context: Context) -> Decision:
    """The operation proposed last is not wanted, and stays on the card as declined."""
    operation = waiting(state)
    if operation is None:
        return refuse("No extra work is proposed.", "add operation, and its name")
    return tell("extra work declined", ExtraWorkDeclined(operation=operation, by=command.by), about=operation)


def drop_operation(state: JobState, command: c.DropOperation, _context: Context) -> Decision:
    """Do an operation no longer, after a yes."""
    if command.operation not in state.plan.operations:
        return refuse("That operation is not part of this job.", "where am i")
    if len(state.plan.operations) == 1:
        return refuse("That is the only operation of this job.", "close customer declined")
    question = Question(kind="drop operation", about=command.operation)
    return tell("question", QuestionAsked(question=question))


def drop_now(state: JobState, question: Question, _context: Context) -> Decision:
    """The dropping was confirmed."""
    event = OperationDropped(operation=question.about, keeps=steps_to_keep(state, question.about))
    return tell("operation dropped", event, about=question.about)
