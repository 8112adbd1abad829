"""The visit around the job: lines, payers, follow-ups, approved hours."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from sparehand.ground.clock import Moment
from sparehand.job import events as e
from sparehand.job.events.ending_events import QuestionKind
from sparehand.job.progress import Progress, answered
from sparehand.job.visit_lines import EarlierDone, FollowUpNote, Visit, VisitLine
from sparehand.procedures.plan import RunPlan


def line_started(event: e.LineStarted, progress: Progress, at: Moment, _plan: RunPlan) -> Progress:
    """One line more, which runs."""
    return _added(progress, _line(progress, event.work, started=at, reference=event.reference))


def line_added(event: e.LineAdded, progress: Progress, _at: Moment, _plan: RunPlan) -> Progress:
    """One line more, of so many minutes."""
    return _added(progress, _line(progress, event.work, minutes=event.minutes))


def line_ended(event: e.LineEnded, progress: Progress, at: Moment, _plan: RunPlan) -> Progress:
    """The line of that work that began last is over."""
    running = [line.number for line in progress.visit.lines if line.runs and line.work == event.work]
    if not running:
        return progress
    return _changed(progress, running[-1], lambda line: replace(line, ended=at, result=event.result))


def line_noted(event: e.LineNoted, progress: Progress, _at: Moment, _plan: RunPlan) -> Progress:
    """What is said of a line takes the place of what was said before."""
    noted = event.model_dump(exclude={"kind", "line"}, exclude_none=True)
    if event.distance is not None:
        progress = _answering(progress, "test distance")
    return _changed(progress, event.line, lambda line: replace(line, **noted))


def payer_chosen(event: e.PayerChosen, progress: Progress, _at: Moment, _plan: RunPlan) -> Progress:
    """Somebody pays for an operation, a line, or both."""
    if event.operation is not None:
        payers = {**progress.visit.payers, event.operation: event.payer}
        progress = replace(progress, visit=replace(progress.visit, payers=payers))
    if event.line is None:
        return progress
    return _changed(progress, event.line, lambda line: replace(line, payer=event.payer))


def follow_up_scheduled(event: e.FollowUpScheduled, progress: Progress, _at: Moment, plan: RunPlan) -> Progress:
    """A follow-up has a due date, distance or meter reading."""
    progress = _answering(progress, "due reading")
    note = _note(progress.visit, event.follow_up, plan)
    due = event.model_dump(exclude={"kind", "follow_up", "words"}, exclude_none=True)
    return _with_note(progress, replace(note, words=event.words or note.words, **due))


def follow_up_done(event: e.FollowUpDone, progress: Progress, at: Moment, plan: RunPlan) -> Progress:
    """A follow-up of this job or of an earlier one is done."""
    if event.job is not None:
        done = EarlierDone(event.job, event.follow_up, event.result, at.wall)
        others = (*progress.visit.others_done, done)
        return replace(progress, visit=replace(progress.visit, others_done=others))
    note = _note(progress.visit, event.follow_up, plan)
    return _with_note(progress, replace(note, done_on=at.wall, result=event.result))


def estimate_approved(event: e.EstimateApproved, progress: Progress, _at: Moment, _plan: RunPlan) -> Progress:
    """The job has approved hours; a later approval takes the place of an earlier one."""
    return replace(progress, visit=replace(progress.visit, estimate=event.estimate, approved=event.approved))


def _answering(progress: Progress, kind: QuestionKind) -> Progress:
    """The open question has its answer if it is of that kind; the desk may write the same while another one is open."""
    asked = progress.question.question if progress.question else None
    return answered(progress, asked.about) if asked and asked.kind == kind else progress


def _line(
    progress: Progress,
    work: e.LineWork,
    started: Moment | None = None,
    minutes: float | None = None,
    reference: str = "",
) -> VisitLine:
    number = len(progress.visit.lines) + 1
    return VisitLine(number, work, progress.crew.acting, started, minutes=minutes, reference=reference)


def _added(progress: Progress, line: VisitLine) -> Progress:
    return replace(progress, visit=replace(progress.visit, lines=(*progress.visit.lines, line)))


def _changed(progress: Progress, number: int, change: Callable[[VisitLine], VisitLine]) -> Progress:
    lines = tuple(change(line) if line.number == number else line for line in progress.visit.lines)
    return replace(progress, visit=replace(progress.visit, lines=lines))


def _note(visit: Visit, id: str, plan: RunPlan) -> FollowUpNote:
    known = next((note for note in visit.follow_ups if note.id == id), None)
    words = next((entry.text for entry in plan.procedure.follow_ups if entry.id == id), id)
    return known or FollowUpNote(id, words)


def _with_note(progress: Progress, note: FollowUpNote) -> Progress:
    others = tuple(other for other in progress.visit.follow_ups if other.id != note.id)
    return replace(progress, visit=replace(progress.visit, follow_ups=(*others, note)))
