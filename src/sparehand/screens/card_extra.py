"""What a job card says of the work's extent: what was proposed, approved up to what, declined or dropped."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from sparehand.job import events as e
from sparehand.job.progress import ExtraWork
from sparehand.job.state import JobState
from sparehand.procedures import wording
from sparehand.screens.card_rows import ExtraWorkRow


def extra_work_rows(state: JobState, history: Sequence[e.Recorded]) -> Iterator[ExtraWorkRow]:
    """Every decision about the extent of the job, in order, with who wrote it down when."""
    for decision in state.progress.extra_work:
        recorded = next((one for one in reversed(history) if one.event == decision), None)
        yield ExtraWorkRow(
            operation=state.plan.procedure.operation(decision.operation).title,
            decision=_words(decision),
            written_by=recorded.technician if recorded else state.opened.technician,
            written_at=f"{recorded.at.wall:%Y-%m-%d %H:%M}" if recorded else "",
        )


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
