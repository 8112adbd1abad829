"""Answers about extra work and dropped operations."""

from __future__ import annotations

from sparehand.job.answer import Line, from_file, plain, quantity
from sparehand.job.events import Question
from sparehand.job.open_ways import chosen_ways
from sparehand.job.state import JobState
from sparehand.procedures import wording
from sparehand.procedures.plan import plan_run


def proposed(state: JobState, operation: str) -> tuple[Line, ...]:
    """What an operation would add to the job: nothing is done of it before somebody approves."""
    return (
        plain(f"Proposed: {_title(state, operation)}. {_adds(state, operation)}"),
        plain("Say customer approved by phone, or customer declined it."),
    )


def approved(state: JobState, operation: str) -> tuple[Line, ...]:
    """The operation is in the job now, and where its own work begins."""
    progress = state.progress
    before = plan_run(state.plan.procedure, _others(state, operation), state.plan.sides, progress.keeps, progress.ways)
    there = {planned.key for planned in before.phases}
    added = [planned for planned in state.plan.phases if planned.key not in there]
    first = f" Its own work begins with {added[0].phase.title}." if added else " It needs no phase of its own."
    return (
        plain(f"Approved, written down: {_title(state, operation)}.{first}"),
        plain("Where there is a limit, say approval limit, and the digits."),
    )


def limited(_state: JobState) -> tuple[Line, ...]:
    """The limit is kept."""
    return (plain("The limit is written down."),)


def declined(state: JobState, operation: str) -> tuple[Line, ...]:
    """The operation stays out."""
    return (plain(f"Declined, written down: {_title(state, operation)}."),)


def dropped(state: JobState, operation: str) -> tuple[Line, ...]:
    """The operation is out; what is apart stays to be put back."""
    loose = len(state.loose)
    left = f" {wording.counted(loose, 'fastener')} stay loose, with the steps that put them back." if loose else ""
    return (plain(f"Dropped: {_title(state, operation)}.{left}"),)


def way_chosen(state: JobState, id: str) -> tuple[Line, ...]:
    """The way that is taken, and what it adds to follow the job."""
    way = next(way for _, _, way in chosen_ways(state) if way.id == id)
    adds = [entry.text for entry in state.plan.procedure.follow_ups if entry.id in way.follow_ups]
    return (from_file(f"{way.title}, written down."), *(from_file(f"It adds: {text}") for text in adds))


def asks_to_drop(state: JobState, asked: Question) -> Line:
    """The question before an operation is dropped."""
    return plain(f"Drop {_title(state, asked.about)}? What is apart stays to be put back.")


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


def _title(state: JobState, operation: str) -> str:
    return state.plan.procedure.operation(operation).title
