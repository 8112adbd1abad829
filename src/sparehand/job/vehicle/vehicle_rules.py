"""What must be true of the vehicle before a component, a condition, a gate or a mark is claimed."""

from __future__ import annotations

from collections.abc import Iterator

from sparehand.job.conditions import axle_of
from sparehand.job.state import JobState
from sparehand.job.vehicle.claims import Claim
from sparehand.job.vehicle.contradiction import Contradiction, at_step
from sparehand.job.vehicle.gates import lacking
from sparehand.job.vehicle.naming import be, out_sentence, pieces, sentence, them, with_side
from sparehand.job.vehicle.put_back import (
    back_before,
    establishing,
    fasteners_out,
    holding,
    marked_fasteners,
    step_that,
)
from sparehand.procedures.model import Side
from sparehand.procedures.plan import StepKey


def fasteners_out_first(state: JobState, claim: Claim) -> Contradiction | None:
    """What holds a component is out before it comes off, or comes out by the same step."""
    going = state.plan.step(claim.step).removes if claim.step else ()
    for key in holding(state, claim.about, claim.side):
        fastening = state.progress.fastenings.get(key)
        if key.fastener not in going and (fastening is None or fastening.fitted or fastening.pieces_in):
            quantity = state.plan.procedure.fastener(key.fastener).quantity
            removing = step_that(state, "removes", key.fastener, key.side)
            against = sentence(f"{pieces(state.plan.procedure, key)} {be(quantity)} in.")
            return Contradiction(against, f"Take {them(quantity)} out first.", at_step(state, removing))
    return None


def wheels_on(state: JobState, claim: Claim) -> Contradiction | None:
    """Nothing is off that the vehicle stands on, at the end that comes down."""
    procedure = state.plan.procedure
    if claim.kind == "condition holds" and not procedure.condition(claim.about).ends_when_raised:
        return None
    for id, side in state.progress.off:
        if procedure.component(id).needed_to_lower and _concerns(claim, side):
            return _off(state, id, side)
    return None


def back_before_lowering(state: JobState, claim: Claim) -> Contradiction | None:
    """What comes back before the step that lowers is back."""
    return _not_back(state, claim, claim.step) if claim.step else None


def back_before_condition(state: JobState, claim: Claim) -> Contradiction | None:
    """What comes back before the step that establishes the condition is back."""
    step = establishing(state, claim.about)
    return _not_back(state, claim, step) if step else None


def warnings_understood(state: JobState, claim: Claim) -> Contradiction | None:
    """The warnings of the lowering, and of the phase that establishes the condition up to its step, are understood."""
    for key in _on_the_way(state, claim.about):
        for warning in state.plan.step(key).warnings:
            if (warning.id, key.at.side) not in state.progress.understood:
                say = at_step(state, key) or "read the warning"
                return Contradiction("The warning before this is not understood.", "Hear it first.", say)
    return None


def come_down(state: JobState, claim: Claim) -> Contradiction | None:
    """A raised vehicle is lowered by the step that does so before what holds on its wheels only can hold."""
    step = establishing(state, claim.about)
    raised = state.progress.stance_at(claim.side) == "raised"
    if step is None or not raised or not state.plan.procedure.condition(claim.about).ends_when_raised:
        return None
    upto = state.plan.steps[: state.plan.steps.index(step) + 1]
    lowers = next((key for key in reversed(upto) if state.plan.step(key).lowers), None)
    if lowers is None or lowers == step:
        return None
    return Contradiction("The vehicle is raised.", "Lower it first.", at_step(state, lowers))


def gate_in_order(state: JobState, claim: Claim) -> Contradiction | None:
    """What the gate is about is in order."""
    return next(lacking(state, claim.about, state.step.releases), None)


def not_out_before_its_mark(state: JobState, claim: Claim) -> Contradiction | None:
    """A mark made after its fastener came out says nothing."""
    for key in marked_fasteners(state, claim.about, claim.side):
        fastening = state.progress.fastenings.get(key)
        if fastening is not None and not fastening.fitted:
            return Contradiction(out_sentence(state.plan.procedure, key, fastening), "No mark can be made now.")
    return None


def mark_was_made(state: JobState, claim: Claim) -> Contradiction | None:
    """A mark is found again only where one was made."""
    makes = step_that(state, "makes_mark", claim.about, claim.side)
    if makes is None or (claim.about, claim.side) in state.progress.marks:
        return None
    text = state.plan.procedure.mark(claim.about).text
    return Contradiction(f"Nobody made the mark: {text}.", "Skip this, or set it anew.", "skip this step")


def _not_back(state: JobState, claim: Claim, before: StepKey) -> Contradiction | None:
    return next(_missing(state, claim, before), None)


def _missing(state: JobState, claim: Claim, before: StepKey) -> Iterator[Contradiction]:
    """Fasteners out, components off and things hanging that the procedure puts back before a step."""
    for key in fasteners_out(state):
        if _concerns(claim, key.side) and back_before(state, "fits", key.fastener, key.side, before):
            fastening = state.progress.fastenings[key]
            count = state.plan.procedure.fastener(key.fastener).quantity - (fastening.pieces_in or 0)
            say = at_step(state, step_that(state, "fits", key.fastener, key.side))
            yield Contradiction(out_sentence(state.plan.procedure, key, fastening), f"Put {them(count)} in first.", say)
    for id, side in state.progress.off:
        if _concerns(claim, side) and back_before(state, "puts_on", id, side, before):
            yield _off(state, id, side)
    for words, side in state.progress.hanging:
        if _concerns(claim, side) and back_before(state, "releases", words, side, before):
            say = at_step(state, step_that(state, "releases", words, side))
            yield Contradiction(f"Still so: {with_side(words, side).rstrip(',')}.", "Release it first.", say)


def _off(state: JobState, id: str, side: Side | None) -> Contradiction:
    name = with_side(state.plan.procedure.component(id).name, side)
    putting = step_that(state, "puts_on", id, side)
    return Contradiction(f"The {name} is off.", "Put it on first.", at_step(state, putting))


def _concerns(claim: Claim, side: Side | None) -> bool:
    """Whether a thing on a side lies at the end of the vehicle that a claim is about."""
    about = claim.about if claim.about in ("front", "rear") else axle_of(claim.side)
    return about is None or axle_of(side) is None or axle_of(side) == about


def _on_the_way(state: JobState, condition: str) -> tuple[StepKey, ...]:
    """The steps of the phase that establishes a condition up to it, and the last before them that lowers."""
    step = establishing(state, condition)
    if step is None:
        return ()
    here = state.plan.phase(step.at).step_keys()
    first = state.plan.steps[: state.plan.steps.index(step)]
    lowers = next((key for key in reversed(first) if state.plan.step(key).lowers and key not in here), None)
    goes = state.plan.procedure.condition(condition).ends_when_raised
    return (*((lowers,) if lowers and goes else ()), *here[: here.index(step) + 1])
