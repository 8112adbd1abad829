"""What must be true before a claim is taken: one table, claim by claim. What contradicts the record is refused."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from sparehand.job.state import JobState
from sparehand.job.vehicle import fastener_rules as fastener, vehicle_rules as vehicle
from sparehand.job.vehicle.claims import Claim, ClaimKind
from sparehand.job.vehicle.contradiction import Contradiction

Check = Callable[[JobState, Claim], Contradiction | None]


@dataclass(frozen=True)
class Precondition:
    """A rule in words, as the manual lists it, and the check of it."""

    rule: str
    check: Check


_BACK = "what the procedure puts back before is back, and nothing of it hangs"

PRECONDITIONS: dict[ClaimKind, tuple[Precondition, ...]] = {
    "fastener slackened": (
        Precondition("its mark is made first, where the procedure finds one again", fastener.mark_made_first),
        Precondition("it is in", fastener.is_in),
    ),
    "fastener out": (
        Precondition("its mark is made first, where the procedure finds one again", fastener.mark_made_first),
    ),
    "fastener in": (Precondition("the component that it holds is on", fastener.component_on),),
    "fastener tightened": (
        Precondition("it is in", fastener.is_in),
        Precondition("it was put in on this job, where the procedure puts it in", fastener.was_put_in),
        Precondition("the component that it holds is on", fastener.component_on),
        Precondition("no reading of it out of limits waits for it to be slackened", fastener.not_out_of_limits),
        Precondition("the vehicle is raised or lowered as its stage says", fastener.stance),
    ),
    "component off": (Precondition("its fasteners are out", vehicle.fasteners_out_first),),
    "component on": (),
    "vehicle lowered": (
        Precondition("components needed for lowering are on", vehicle.wheels_on),
        Precondition(_BACK, vehicle.back_before_lowering),
    ),
    "condition holds": (
        Precondition("components needed for lowering are on", vehicle.wheels_on),
        Precondition(_BACK, vehicle.back_before_condition),
        Precondition("the warnings on the way to it are understood", vehicle.warnings_understood),
    ),
    "stands on its wheels": (Precondition("it has come down, where a step lowers it", vehicle.come_down),),
    "gate passed": (Precondition("what it is about is final, on, holding or released", vehicle.gate_in_order),),
    "mark made": (Precondition("what it marks is not out yet", vehicle.not_out_before_its_mark),),
    "mark found": (Precondition("it was made", vehicle.mark_was_made),),
}
"""Where the record is silent, a check finds nothing."""


def contradiction(state: JobState, claim: Claim) -> Contradiction | None:
    """What the record holds against a claim, if anything: the first rule that it breaks."""
    found = (one.check(state, claim) for one in PRECONDITIONS[claim.kind])
    return next((against for against in found if against is not None), None)
