"""What counts as said now: the fewer phrases count, the fewer are misheard."""

from __future__ import annotations

from collections.abc import Iterator

from sparehand.job.conditions import holds
from sparehand.job.deciding.decide_departing import unsettled
from sparehand.job.extra_work import just_approved, waiting
from sparehand.job.obligations import Duty, obligations, present_tightening
from sparehand.job.open_items import left_behind
from sparehand.job.run_tools import borrowed_out
from sparehand.job.situation import Situation
from sparehand.job.state import JobState
from sparehand.job.vehicle.listed_parts import unanswered
from sparehand.job.vehicle.put_back import fasteners_out

_OF_DUTY: dict[Duty, Situation] = {
    "warning": "warned",
    "way": "choosing",
    "mark to make": "marking",
    "mark to find": "marking",
    "inspection": "inspecting",
    "measurement": "reading",
    "renewal": "renewing",
    "condition": "lowering",
    "tightening": "tightening",
    "gate": "checking",
    "tools": "counting",
}


def situations(state: JobState) -> frozenset[Situation]:
    """The situations of a running job, from what stands open and what runs."""
    if state.progress.question:
        return frozenset({"question", "snagged"} if state.progress.snag else {"question"})
    return frozenset({"hold" if state.progress.hold else "working", *_running(state), *_at_the_step(state)})


def _running(state: JobState) -> Iterator[Situation]:
    """What makes phrases sayable whatever the step."""
    progress = state.progress
    here: dict[Situation, bool] = {
        "timing": bool(progress.timers),
        "lowered": bool(progress.conditions) or progress.stance_at(None) == "lowered",
        "apart": bool(fasteners_out(state) or progress.off),
        "unanswered": bool(unanswered(state)),
        "skipped": bool(left_behind(state)),
        "snagged": bool(progress.snag),
        "gap": state.gap_ms > 0,
        "proposed": bool(waiting(state)),
        "approved": bool(just_approved(state)),
        "lines": bool(progress.visit.lines),
        "found": bool(progress.faults),
        "sided": len(state.plan.sides) > 1,
    }
    yield from (situation for situation, is_so in here.items() if is_so)


def _at_the_step(state: JobState) -> Iterator[Situation]:
    """What the present step makes sayable; nothing while the work is on hold."""
    if state.progress.hold:
        return
    yield from (_OF_DUTY[duty.duty] for duty in obligations(state))
    step, present = state.step, present_tightening(state)
    departed, naming = bool(unsettled(state)), state.progress.naming is not None
    here: dict[Situation, bool] = {
        "drafting": state.progress.grown is not None,
        "naming": naming,
        "reading": naming or departed or (present is not None and present.target.torque is not None),
        "tightening": bool(step.tightens),
        "turning": bool(step.tightens or step.fits or step.slackens or step.removes),
        "departed": departed,
        "inspecting": bool(step.inspect),
        "finished": any(key in state.progress.done for key in state.phase.step_keys()),
        "explained": bool(step.why or step.where or step.compare),
        "pressing": "press" in step.hazards,
        "counting": bool(borrowed_out(state)),
        "waiting": bool(step.timer),
        "lowering": any(
            not holds(state.progress.conditions, one.id, state.side) for one in state.plan.procedure.conditions
        ),
    }
    yield from (situation for situation, is_so in here.items() if is_so)
