"""What an event claims of the vehicle: the thing that is weighed against the record before it is written down."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from sparehand.job import events as e
from sparehand.procedures.model import Side, Step
from sparehand.procedures.plan import RunPlan, StepKey

ClaimKind = Literal[
    "fastener out",
    "fastener slackened",
    "fastener in",
    "fastener tightened",
    "component off",
    "component on",
    "vehicle lowered",
    "condition holds",
    "stands on its wheels",
    "gate passed",
    "mark made",
    "mark found",
]


@dataclass(frozen=True)
class Claim:
    """One thing said to be true: what, about which id on which side.

    `step` is the step that claims it, where one does; `stage` counts from 0.
    """

    kind: ClaimKind
    about: str
    side: Side | None = None
    step: StepKey | None = None
    stage: int | None = None


def claims_of(event: e.Event, plan: RunPlan) -> Iterator[Claim]:
    """Everything that an event claims, in the order of the work."""
    match event:
        case e.StepDone(step=key):
            yield from _of_step(key, plan)
        case e.StepReached(finished=key) if key is not None:
            yield from _of_step(key, plan)
        case e.PiecesCounted(step=key, fastener=fastener):
            yield from (claim for claim in _of_step(key, plan) if claim.about == fastener.fastener)
        case e.ConditionChanged(condition=id, holds=True, axle=axle, way=way):
            yield Claim("condition holds", id, axle)
            if way == "on its wheels":
                yield Claim("stands on its wheels", id, axle)
        case _:
            yield from _said_by_itself(event)


def _said_by_itself(event: e.Event) -> Iterator[Claim]:
    match event:
        case e.TighteningConfirmed(fastener=fastener, stage=stage):
            yield Claim("fastener tightened", fastener.fastener, fastener.side, stage=stage)
        case e.TightenedByOtherData(fastener=fastener):
            yield Claim("fastener tightened", fastener.fastener, fastener.side)
        case e.TighteningRestarted(fastener=fastener):
            yield Claim("fastener slackened", fastener.fastener, fastener.side)
        case e.GatePassed(gate=id):
            yield Claim("gate passed", id)
        case e.MarkMade(mark=id, side=side):
            yield Claim("mark made", id, side)
        case e.MarkFound(mark=id, side=side):
            yield Claim("mark found", id, side)


def _of_step(key: StepKey, plan: RunPlan) -> Iterator[Claim]:
    step, side = plan.step(key), key.at.side
    for kind, ids in _kinds(step):
        yield from (Claim(kind, id, side, key) for id in ids)
    if step.lowers:
        yield Claim("vehicle lowered", step.lowers, side, key)


def _kinds(step: Step) -> tuple[tuple[ClaimKind, tuple[str, ...]], ...]:
    return (
        ("fastener slackened", step.slackens),
        ("fastener out", step.removes),
        ("component off", step.takes_off),
        ("component on", step.puts_on),
        ("fastener in", step.fits),
    )
