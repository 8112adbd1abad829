"""What a job card says of the work's extent: what was proposed, approved up to what, declined or dropped."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from sparehand.job import events as e
from sparehand.job.extra_work import work_title
from sparehand.job.found_faults import fault_words
from sparehand.job.open_ways import chosen_ways
from sparehand.job.progress import ExtraWork
from sparehand.job.state import JobState
from sparehand.procedures import wording
from sparehand.screens.card_rows import AnswerRow, ExtraWorkRow


def extra_work_rows(state: JobState, history: Sequence[e.Recorded]) -> Iterator[ExtraWorkRow]:
    """Every decision about the extent of the job, in order, with who wrote it down when."""
    for decision in state.progress.extra_work:
        recorded = next((one for one in reversed(history) if one.event == decision), None)
        title = work_title(state, decision.operation)
        yield ExtraWorkRow(title, _words(decision), *_written(recorded, state))


def way_rows(state: JobState, history: Sequence[e.Recorded]) -> Iterator[ExtraWorkRow]:
    """Every choice of a way past a phase, with what was said of it in the file."""
    for key, phase, way in chosen_ways(state):
        chosen = (one for one in reversed(history) if isinstance(one.event, e.WayChosen) and one.event.at == key)
        recorded = next(chosen, None)
        title = f"{phase.title} ({key.side})" if key.side else phase.title
        yield ExtraWorkRow(title, f"done this way: {way.title}", *_written(recorded, state))


def fault_rows(state: JobState, history: Sequence[e.Recorded]) -> Iterator[AnswerRow]:
    """Every fault that was found, with how soon it wants attention, what was measured, its memo and pictures."""
    memos = {
        one.event.finding: one for one in history if isinstance(one.event, e.MemoKept) and one.event.finding is not None
    }
    for fault in state.progress.faults:
        told: list[str] = [fault.found.urgency]
        if fault.measured:
            told.append(f"{wording.quantity_shown(fault.measured.value, fault.measured.unit)} measured")
        if memo := memos.get(fault.number):
            told.append(memo.event.words if isinstance(memo.event, e.MemoKept) and memo.event.words else str(memo.id))
        pictures = (number for number, one in enumerate(state.progress.pictures, 1) if one.finding == fault.number)
        told += [f"picture {number}" for number in pictures]
        yield AnswerRow(fault_words(state.plan.procedure, fault.found), "; ".join(told))


def _written(recorded: e.Recorded | None, state: JobState) -> tuple[str, str]:
    if recorded is None:
        return state.opened.technician, ""
    return recorded.technician, f"{recorded.at.wall:%Y-%m-%d %H:%M}"


def _words(decision: ExtraWork) -> str:
    match decision:
        case e.ExtraWorkProposed():
            return "proposed"
        case e.ExtraWorkApproved(by=by, way=way):
            return f"approved by the {by} {way}"
        case e.ApprovalLimited(amount=amount):
            return f"approved up to {wording.number_shown(amount)} in the shop's money"
        case e.ExtraWorkDeclined(by=by):
            return f"declined by the {by}"
        case e.OperationDropped():
            return "dropped; what was apart stayed to be put back"
