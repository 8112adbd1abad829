"""Questions, parking and closing."""

from __future__ import annotations

from dataclasses import replace
from typing import get_args

from sparehand.ground.clock import Moment
from sparehand.job import events as e
from sparehand.job.fasteners import interrupted
from sparehand.job.progress import OpenQuestion, Progress, answered
from sparehand.procedures.model import FindingAnswer
from sparehand.procedures.plan import RunPlan

FINDINGS: tuple[FindingAnswer, ...] = get_args(FindingAnswer)


def question_asked(event: e.QuestionAsked, progress: Progress, at: Moment, _plan: RunPlan) -> Progress:
    """A question is open."""
    wondered = progress.wondered | ({event.question.about} if event.question.kind == "forgotten word" else set())
    asked = replace(progress, question=OpenQuestion(event.question, at), wondered=wondered)
    return _both_kept(asked, event.question) if event.question.kind == "which finding" else asked


def time_corrected(_event: e.TimeCorrected, progress: Progress, _at: Moment, _plan: RunPlan) -> Progress:
    """The question about a forgotten word has its answer."""
    return answered(progress, progress.question.question.about) if progress.question else progress


def question_answered(event: e.QuestionAnswered, progress: Progress, _at: Moment, _plan: RunPlan) -> Progress:
    """The question is answered with no, or stays on the list of those that lapsed."""
    if progress.question is None:
        return progress
    asked = progress.question.question
    keep = (asked,) if event.answer == "lapsed" and asked not in progress.lapsed else ()
    return replace(progress, question=None, lapsed=(*progress.lapsed, *keep))


def job_parked(_event: e.JobParked, progress: Progress, _at: Moment, plan: RunPlan) -> Progress:
    """The job waits; an angle under way is unknown from here on."""
    return replace(
        progress,
        fastenings=interrupted(progress.fastenings, plan.procedure),
        parked=True,
        crew=progress.crew.stopped("end of day"),
    )


def job_closed(event: e.JobClosed, progress: Progress, at: Moment, _plan: RunPlan) -> Progress:
    """The job has ended, and with it every line that still ran."""
    lines = tuple(replace(line, ended=at) if line.runs else line for line in progress.visit.lines)
    visit = replace(progress.visit, lines=lines)
    return replace(progress, closed=event, question=None, crew=progress.crew.working(), snag=None, visit=visit)


def _both_kept(progress: Progress, question: e.Question) -> Progress:
    """A second finding at one point is kept beside the first, whichever counts."""
    id, answer = finding_asked(question)
    at = id, question.side
    said = dict.fromkeys((*progress.findings_said.get(at, ()), answer))
    return replace(progress, findings_said={**progress.findings_said, at: tuple(said)})


def finding_asked(question: e.Question) -> tuple[str, FindingAnswer]:
    """The inspection and the later answer that a question of two findings is about."""
    id, _, said = question.about.partition("/")
    return id, next(answer for answer in FINDINGS if answer == said)
