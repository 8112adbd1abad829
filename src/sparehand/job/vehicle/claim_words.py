"""What somebody said without its step, in words for the card."""

from __future__ import annotations

from sparehand.job.events import ToldWithoutStep
from sparehand.job.state import JobState
from sparehand.job.vehicle.naming import with_side


def subject_of(state: JobState, told: ToldWithoutStep) -> str:
    """The fastener, component or mark that it is about, by the procedure's name."""
    procedure = state.plan.procedure
    match told.what:
        case "fastener in":
            return procedure.fastener(told.about).name
        case "component on":
            return procedure.component(told.about).name
        case "mark made":
            return procedure.mark(told.about).text


def claim_words(state: JobState, told: ToldWithoutStep) -> str:
    """The claim with its subject: "wheel bolt, left: in already"."""
    said = {"fastener in": "in already", "component on": "on already", "mark made": "made already"}[told.what]
    return f"{with_side(subject_of(state, told), told.side).rstrip(',')}: {said}"
