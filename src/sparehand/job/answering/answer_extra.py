"""Answers about extra work and dropped operations."""

from __future__ import annotations

from sparehand.job.answer import Line, from_file, plain, quantity, together
from sparehand.job.events import Question
from sparehand.job.experience import Experience
from sparehand.job.extra_work import waiting, work_title
from sparehand.job.fasteners import pieces_of
from sparehand.job.found_faults import fault_of, fault_words
from sparehand.job.open_ways import chosen_ways
from sparehand.job.state import JobState
from sparehand.job.vehicle.naming import sentence
from sparehand.procedures import wording
from sparehand.procedures.joining import called_alike, with_joined
from sparehand.procedures.plan import plan_run


def proposed(state: JobState, experience: Experience) -> tuple[Line, ...]:
    """What the proposed work would add to the job, nothing where none is: it begins only when somebody approves."""
    work = waiting(state)
    if work is None:
        return ()
    known = work in {operation.id for operation in state.plan.procedure.operations}
    adds = f" {_adds(state, work)}" if known else ""
    return (
        plain(f"Proposed: {work_title(state, work)}.{adds}"),
        *_hours(experience, work),
        plain("Say customer approved by phone, or customer declined it."),
    )


def _hours(experience: Experience, work: str) -> tuple[Line, ...]:
    """The hours that the shop's times give it, with the range of four jobs in five; where there are none, that."""
    added = next((one for one in experience.added if one.operation == work), None)
    if added is None:
        return (plain("No times tell its hours."),)
    figures = (added.median_hours, added.p10_hours, added.p90_hours)
    median, low, high = (quantity(max(0.1, round(hours, 1)), "h") for hours in figures)
    return (together((median.framed("About "), low.framed(", four in five times "), high.framed(" to ", ".")), ""),)


def findings(state: JobState) -> tuple[Line, ...]:
    """Everything that was found, each with how soon it wants attention."""
    procedure = state.plan.procedure
    lines = (f"{fault_words(procedure, one.found)}: {one.found.urgency}." for one in state.progress.faults)
    return tuple(plain(line).of_entries(1) for line in lines) or (plain("Nothing was found."),)


def approved(state: JobState, operation: str) -> tuple[Line, ...]:
    """The work is in the job now, and where its own begins."""
    return (
        plain(f"Approved, written down: {work_title(state, operation)}.{_begins(state, operation)}"),
        plain("Where there is a limit, say approval limit, and the digits."),
    )


def _begins(state: JobState, operation: str) -> str:
    if fault_of(state.progress.faults, operation):
        return " Say start the found work."
    progress = state.progress
    others = _others(state, operation)
    before = plan_run(state.plan.procedure, others, state.plan.sides, progress.keeps, progress.ways)
    there = {planned.key for planned in before.phases}
    added = [planned for planned in state.plan.phases if planned.key not in there]
    return f" Its own work begins with {added[0].phase.title}." if added else " It needs no phase of its own."


def limited(_state: JobState) -> tuple[Line, ...]:
    """The limit is kept."""
    return (plain("The limit is written down."),)


def declined(state: JobState, operation: str) -> tuple[Line, ...]:
    """The operation stays out."""
    return (plain(f"Declined, written down: {work_title(state, operation)}."),)


def dropped(state: JobState, operation: str) -> tuple[Line, ...]:
    """The operation is out; what is apart stays to be put back."""
    loose = pieces_of(state.loose)
    stays = f"{wording.counted(loose, 'fastener')} {'stays' if loose == 1 else 'stay'} loose"
    left = f" {sentence(stays)}, with the steps that put back what is apart." if loose else ""
    return (plain(f"Dropped: {work_title(state, operation)}.{left}"),)


def way_chosen(state: JobState, id: str) -> tuple[Line, ...]:
    """The way that is taken, and what it adds to follow the job."""
    way = next(way for _, _, way in chosen_ways(state) if way.id == id)
    adds = [entry.text for entry in state.plan.procedure.follow_ups if entry.id in way.follow_ups]
    return (from_file(f"{way.title}, written down."), *(from_file(f"It adds: {text}") for text in adds))


def asks_to_drop(state: JobState, asked: Question) -> Line:
    """The question before an operation is dropped."""
    return plain(f"Drop {work_title(state, asked.about)}? What is apart stays to be put back.")


def asks_same(state: JobState) -> Line:
    """What both procedures know by one name: one thing on the vehicle, or two."""
    *before, last = state.progress.joined
    run = with_joined(state.opened.procedure, state.progress.sides, tuple(before))
    names = wording.listed(list(called_alike(run, last.procedure)))
    return plain(f"Approved. {last.procedure.title} has things of the same name: {names}. Are they the same ones?")


def asks_limit(asked: Question) -> Line:
    """The amount heard, read back."""
    return quantity(asked.value or 0.0, "").framed("I heard a limit of ", " in the shop's money.")


def _adds(state: JobState, operation: str) -> str:
    there = {planned.key for planned in state.plan.phases}
    whole = plan_run(state.plan.procedure, (operation,), state.plan.sides, ways=state.progress.ways)
    new = [planned for planned in whole.phases if planned.key not in there]
    shared = len(whole.phases) - len(new)
    words = f"It adds {wording.counted(len(new), 'phase')}"
    return f"{words}; {wording.counted(shared, 'phase')} it shares with the job." if shared else f"{words}."


def _others(state: JobState, operation: str) -> tuple[str, ...]:
    return tuple(id for id in state.plan.operations if id != operation)
