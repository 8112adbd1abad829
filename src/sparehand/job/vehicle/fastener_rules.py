"""What must be true of a fastener before something is claimed of it."""

from __future__ import annotations

from sparehand.job.state import JobState
from sparehand.job.vehicle.claims import Claim
from sparehand.job.vehicle.contradiction import Contradiction, at_step
from sparehand.job.vehicle.naming import be, out_sentence, pieces, sentence, them, with_side
from sparehand.job.vehicle.put_back import marked_fasteners, step_that
from sparehand.procedures.plan import FastenerKey


def mark_made_first(state: JobState, claim: Claim) -> Contradiction | None:
    """A mark that the procedure finds again at this fastener is made before it comes out."""
    for key in state.plan.steps:
        mark = state.plan.step(key).makes_mark
        if mark is None or key.at.side not in (claim.side, None) or (mark, key.at.side) in state.progress.marks:
            continue
        if _key(claim) in marked_fasteners(state, mark, key.at.side):
            text = state.plan.procedure.mark(mark).text
            return Contradiction(f"Not marked: {text}.", "Mark it first.", at_step(state, key))
    return None


def is_in(state: JobState, claim: Claim) -> Contradiction | None:
    """No piece of it is out."""
    key = _key(claim)
    fastening = state.progress.fastenings.get(key)
    if fastening is None or fastening.fitted:
        return None
    fastener = state.plan.procedure.fastener(claim.about)
    putting = step_that(state, "fits", claim.about, claim.side)
    way_on = f"Put {them(fastener.quantity - (fastening.pieces_in or 0))} in first."
    return Contradiction(out_sentence(state.plan.procedure, key, fastening), way_on, at_step(state, putting))


def was_put_in(state: JobState, claim: Claim) -> Contradiction | None:
    """Where the procedure puts it in, it was put in: what nobody touched is not tightened by it."""
    putting = step_that(state, "fits", claim.about, claim.side)
    if putting is None or _key(claim) in state.progress.fastenings:
        return None
    fastener = state.plan.procedure.fastener(claim.about)
    name = pieces(state.plan.procedure, _key(claim))
    against = sentence(f"{name} {'was' if fastener.quantity == 1 else 'were'} not put in on this job.")
    return Contradiction(against, f"Put {them(fastener.quantity)} in first.", at_step(state, putting))


def component_on(state: JobState, claim: Claim) -> Contradiction | None:
    """What it holds is on, or comes on by the same step."""
    coming = state.plan.step(claim.step).puts_on if claim.step else ()
    for component in state.plan.procedure.components:
        off = (component.id, claim.side) in state.progress.off
        if off and claim.about in component.held_by and component.id not in coming:
            putting = step_that(state, "puts_on", component.id, claim.side)
            return Contradiction(
                f"The {with_side(component.name, claim.side)} is off.", "Put it on first.", at_step(state, putting)
            )
    return None


def not_out_of_limits(state: JobState, claim: Claim) -> Contradiction | None:
    """A reading out of limits is answered for by slackening, a new part or a decision."""
    if _key(claim) not in state.progress.doubtful:
        return None
    name = pieces(state.plan.procedure, _key(claim)).rstrip(",")
    return Contradiction(f"Read out of limits: {name}.", "Slacken and begin again.", "start tightening again")


def stance(state: JobState, claim: Claim) -> Contradiction | None:
    """The vehicle stands as the stage says, as far as known; where a step raises it, it was raised on this job."""
    fastener = state.plan.procedure.fastener(claim.about)
    wanted = fastener.tightening[claim.stage].vehicle if claim.stage is not None else None
    known = state.progress.stance_at(claim.side)
    if wanted == "raised" and known is None:
        raising = next((key for key in state.plan.steps if state.plan.step(key).raises), None)
        against = "The vehicle was not raised on this job."
        return Contradiction(against, "Raise it first.", at_step(state, raising)) if raising else None
    if wanted is None or known is None or known == wanted:
        return None
    name = pieces(state.plan.procedure, _key(claim))
    does = "raise" if wanted == "raised" else "lower"
    against = sentence(f"{name} {be(fastener.quantity)} tightened with the vehicle {wanted}, and it is {known}.")
    return Contradiction(against, f"{does.capitalize()} it first.")


def _key(claim: Claim) -> FastenerKey:
    return FastenerKey(claim.about, claim.side)
