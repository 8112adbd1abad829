"""What counts as said now: the fewer phrases count, the fewer are misheard."""

from __future__ import annotations

from collections.abc import Iterator

from sparehand.job.deciding.decide_departing import unsettled
from sparehand.job.extra_work import just_approved, waiting
from sparehand.job.obligations import Duty, obligations, present_tightening
from sparehand.job.open_items import left_behind
from sparehand.job.situation import Situation
from sparehand.job.state import JobState

_OF_DUTY: dict[Duty, Situation] = {
    "warning": "warned",
    "mark to make": "marking",
    "mark to find": "marking",
    "inspection": "inspecting",
    "measurement": "reading",
    "renewal": "renewing",
    "condition": "lowering",
    "tightening": "tightening",
    "gate": "checking",
}


def situations(state: JobState) -> frozenset[Situation]:
    """The situations of a running job, from what stands open and what runs."""
    if state.progress.question:
        return frozenset({"question"})
    return frozenset({"hold" if state.progress.hold else "working", *_running(state), *_at_the_step(state)})


def _running(state: JobState) -> Iterator[Situation]:
    """What makes phrases sayable whatever the step."""
    progress = state.progress
    if progress.timers:
        yield "timing"
    if progress.conditions:
        yield "lowered"
    if left_behind(state):
        yield "skipped"
    if progress.snag:
        yield "snagged"
    if state.gap_ms:
        yield "gap"
    if waiting(state):
        yield "proposed"
    if just_approved(state):
        yield "approved"
    if len(state.plan.sides) > 1:
        yield "sided"


def _at_the_step(state: JobState) -> Iterator[Situation]:
    """What the present step makes sayable; nothing while the work is on hold."""
    if state.progress.hold:
        return
    if state.progress.grown is not None:
        yield "drafting"
    if state.progress.naming is not None:
        yield from ("naming", "reading")
    for duty in obligations(state):
        yield _OF_DUTY[duty.duty]
    present = present_tightening(state)
    if present is not None and present.target.torque is not None:
        yield "reading"
    if state.step.tightens:
        yield "tightening"
    if state.step.tightens or state.step.fits or state.step.slackens or state.step.removes:
        yield "turning"
    if unsettled(state):
        yield "departed"
        yield "reading"
    if state.step.inspect:
        yield "inspecting"
    if any(key in state.progress.done for key in state.phase.step_keys()):
        yield "finished"
    if state.step.timer:
        yield "waiting"
    if not state.progress.conditions and state.plan.procedure.conditions:
        yield "lowering"
