"""Writing down faults as evidence, and the work that they propose."""

from __future__ import annotations

from sparehand.job import commands as c
from sparehand.job.deciding.decide_extra import proposal
from sparehand.job.decision import Context, Decision, refuse, tell
from sparehand.job.events import Event, FaultFound, FaultMeasured, Question, QuestionAsked
from sparehand.job.found_faults import fault_words, operation_for, thing_name, things_called
from sparehand.job.state import JobState
from sparehand.procedures.model import Inspection, Side
from sparehand.procedures.phase_key import joined_id, parted_id

MILLIMETRES = "mm"


def found_fault(state: JobState, command: c.FoundFault, context: Context) -> Decision:
    """One more finding; one that does not only want watching proposes the work that it needs."""
    procedure = state.plan.procedure
    if thing_name(procedure, command.thing) == command.thing:
        return refuse("This procedure has nothing of that name.", "found something else soon")
    strange = _strange_side(state, command.side)
    if strange:
        return strange
    found = FaultFound(
        at=state.progress.at,
        urgency=command.urgency,
        fault=command.fault,
        thing=command.thing,
        side=command.side or state.side,
    )
    work: tuple[Event, ...] = ()
    if command.urgency != "watch":
        renews = operation_for(procedure, command.thing, _no_more(state)) or _elsewhere(state, command.thing, context)
        work = (proposal(state, renews or f"finding {len(state.progress.faults) + 1}", context, found.side),)
    return tell("found", found, *work, about=fault_words(procedure, found))


def found_something(state: JobState, command: c.FoundSomething, _context: Context) -> Decision:
    """One more finding, told in the memo that begins now."""
    strange = _strange_side(state, command.side)
    if strange:
        return strange
    found = FaultFound(at=state.progress.at, urgency=command.urgency, side=command.side or state.side)
    return tell("recording", found, about="memo")


def finding_measures(state: JobState, command: c.FindingMeasures, _context: Context) -> Decision:
    """The number is read back and counts only when confirmed."""
    if not state.progress.faults:
        return refuse("Nothing was found yet.", "found something else soon")
    about = str(state.progress.faults[-1].number)
    question = Question(kind="fault measured", about=about, value=float(command.digits), unit=MILLIMETRES)
    return tell("question", QuestionAsked(question=question))


def measured_now(_state: JobState, question: Question, _context: Context) -> Decision:
    """The number was confirmed."""
    event = FaultMeasured(finding=int(question.about), value=question.number, unit=question.unit or "")
    return tell("noted", event, about="the measured value")


def proposed_by(state: JobState, inspection: Inspection | None, answer: str, context: Context) -> tuple[Event, ...]:
    """What an inspection proposes by the file, where its answer was worn or replace; nothing that is not installed."""
    operation = inspection.proposes if inspection and answer in ("worn", "replace") else None
    if operation is None or operation in _no_more(state):
        return ()
    installed = "." not in operation or context.experience.offered(operation)
    return (proposal(state, operation, context, state.side),) if installed else ()


def _elsewhere(state: JobState, thing: str, context: Context) -> str | None:
    """An operation of another procedure for the vehicle that renews what is called as a thing of this one."""
    name, there = thing_name(state.plan.procedure, thing), {one.procedure.id for one in state.progress.joined}
    for procedure in (one.procedure for one in context.experience.offers if one.procedure.id not in there):
        for id in things_called(procedure, name):
            without = [own for file, own in map(parted_id, _no_more(state)) if file == procedure.id]
            operation = operation_for(procedure, id, without)
            if operation:
                return joined_id(procedure.id, operation)
    return None


def _no_more(state: JobState) -> frozenset[str]:
    """The operations that are in the job, or were proposed in it already."""
    return frozenset((*state.plan.operations, *(one.operation for one in state.progress.extra_work)))


def _strange_side(state: JobState, side: Side | None) -> Decision | None:
    sides = state.plan.procedure.sides
    return refuse(f"This procedure has no {side} side.", "where am i") if side and side not in sides else None
