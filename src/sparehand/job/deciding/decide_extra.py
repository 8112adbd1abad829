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
    ProcedureJoined,
    Question,
    QuestionAsked,
    ThingsAreOne,
)
from sparehand.job.experience import Offer
from sparehand.job.extra_work import just_approved, sides_joined, steps_to_keep, waiting
from sparehand.job.found_faults import fault_of
from sparehand.job.state import JobState
from sparehand.procedures.joining import called_alike
from sparehand.procedures.model import Side


def add_operation(state: JobState, command: c.AddOperation, context: Context) -> Decision:
    """Propose an operation that the job does not contain yet, of its own procedure or of another for the vehicle."""
    offered = context.experience.offered(command.operation)
    if not _is_here(state, command.operation) and (offered is None or state.progress.grown):
        return refuse("There is no such operation for this vehicle.", "where am i")
    if command.operation in state.plan.operations:
        return refuse("That operation is part of this job already.", "where am i")
    if waiting(state) == command.operation:
        return refuse("That operation is proposed already.", "customer approved by phone, or customer declined it")
    return tell("extra work", proposal(state, command.operation, context), about=command.operation)


def proposal(state: JobState, operation: str, context: Context, side: Side | None = None) -> ExtraWorkProposed:
    """The proposal of an operation, with its title where it is one of another procedure."""
    offered = None if _is_here(state, operation) else context.experience.offered(operation)
    return ExtraWorkProposed(operation=operation, title=offered[1].title if offered else "", side=side)


def _is_here(state: JobState, operation: str) -> bool:
    return operation in {one.id for one in state.plan.procedure.operations}


def approve(state: JobState, command: c.Approve, context: Context) -> Decision:
    """The operation proposed last is part of the job from now on; one of another procedure brings that with it."""
    operation = waiting(state)
    if operation is None:
        return refuse("No extra work is proposed.", "add operation, and its name")
    event = ExtraWorkApproved(operation=operation, by=command.by, way=command.way)
    if _is_here(state, operation) or fault_of(state.progress.faults, operation):
        return tell("extra work approved", event, about=operation)
    offered = context.experience.offered(operation)
    if offered is None:
        return refuse("The procedure of that work is not installed any more.", "customer declined it")
    return _joins(state, offered[0], event)


def _joins(state: JobState, offer: Offer, approved: ExtraWorkApproved) -> Decision:
    """The other procedure, and what was approved of it; what both know by one name is asked about."""
    procedure = offer.procedure
    joined = ProcedureJoined(
        procedure=procedure,
        procedure_sha256=offer.sha256,
        sides=sides_joined(state, approved.operation, procedure),
        pictures=dict(offer.pictures),
    )
    if not called_alike(state.plan.procedure, procedure):
        return tell("extra work approved", joined, approved, about=approved.operation)
    question = Question(kind="same things", about=procedure.id)
    return tell("question", joined, approved, QuestionAsked(question=question))


def same_now(state: JobState, question: Question, _context: Context) -> Decision:
    """What both procedures know by one name is one on the vehicle."""
    return tell("extra work approved", ThingsAreOne(procedure=question.about), about=just_approved(state) or "")


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
