"""What the present step still has to be answered for: the things that `next` never answers by itself."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from sparehand.job.conditions import holds
from sparehand.job.fasteners import hand_tight, is_final, present_stage
from sparehand.job.open_ways import open_choice, ways_of
from sparehand.job.run_tools import tools_of_run
from sparehand.job.state import JobState
from sparehand.procedures.labels import in_words, named
from sparehand.procedures.model import Fastener, Item, Procedure, Side, Stage
from sparehand.procedures.plan import FastenerKey
from sparehand.procedures.spoken_names import way_said
from sparehand.procedures.vehicle import Condition
from sparehand.procedures.wording import counted, listed

Duty = Literal[
    "warning",
    "way",
    "mark to make",
    "mark to find",
    "inspection",
    "measurement",
    "renewal",
    "condition",
    "tightening",
    "gate",
    "tools",
]


@dataclass(frozen=True)
class Obligation:
    """One open thing of the step: what it is about, the sentence that asks for it, and what to say."""

    duty: Duty
    about: str
    asks: str
    instead: str


@dataclass(frozen=True)
class PresentTightening:
    """The fastener to tighten now and the stage it is at."""

    key: FastenerKey
    fastener: Fastener
    stage: int
    remaining: int
    angle_unknown: bool

    @property
    def target(self) -> Stage:
        """The stage as the procedure gives it."""
        return self.fastener.tightening[self.stage]


def obligations(state: JobState) -> tuple[Obligation, ...]:
    """What is open at the present step, in the order in which it has to be answered."""
    return (
        *_warnings(state),
        *_way(state),
        *_marks(state),
        *_observations(state),
        *_renewals(state),
        *_condition(state),
        *_tightenings(state),
        *_gate(state),
        *_tools(state),
    )


def open_warning(state: JobState) -> str:
    """The sentence of the warning that stands before the present step, or nothing."""
    first = next(iter(obligations(state)), None)
    return first.asks if first and first.duty == "warning" else ""


def present_tightening(state: JobState) -> PresentTightening | None:
    """The first fastener of the step that is not final, where the technician has not left the procedure for it."""
    return next(_open_tightenings(state), None)


def name_of(procedure: Procedure, id: str) -> str:
    """The name of a part or a fastener."""
    return thing_of(procedure, id).name


def thing_of(procedure: Procedure, id: str) -> Item | Fastener:
    """A part or a fastener by its id. Raises KeyError where there is none."""
    return next((part for part in procedure.parts if part.id == id), None) or procedure.fastener(id)


def unmet_condition(state: JobState, stage: Stage) -> Condition | None:
    """The condition that the stage waits for, if it does not hold now."""
    if stage.condition is None or holds(state.progress.conditions, stage.condition, state.side):
        return None
    return state.plan.procedure.condition(stage.condition)


def to_renew(state: JobState) -> tuple[str, ...]:
    """Ids of the step's use-once parts and fasteners that nobody has said are new."""
    procedure, side = state.plan.procedure, state.side
    step = state.step
    fasteners = [id for id in dict.fromkeys((*step.fits, *step.tightens)) if procedure.fastener(id).use_once]
    wanted = dict.fromkeys((*step.renews, *fasteners))
    return tuple(
        id for id in wanted if (id, side) not in state.progress.renewed and not renewal_waived(state, id, side)
    )


def renewal_waived(state: JobState, id: str, side: Side | None) -> bool:
    """Whether another bolt, or none that holds, took the place of a use-once fastener: no new one is asked for."""
    fastening = state.progress.fastenings.get(FastenerKey(id, side))
    return fastening is not None and fastening.departed in ("substitute bolt", "cannot tighten", "left loose")


def _departed(state: JobState, id: str) -> bool:
    fastening = state.progress.fastenings.get(FastenerKey(id, state.side))
    return fastening is not None and fastening.departed is not None


def _open_tightenings(state: JobState) -> Iterator[PresentTightening]:
    for id in state.step.tightens:
        key = FastenerKey(id, state.side)
        fastener = state.plan.procedure.fastener(id)
        fastening = state.progress.fastenings.get(key, hand_tight(fastener))
        stage = present_stage(fastener, fastening)
        beyond_snug = state.step.snug_only and stage
        if stage is None or beyond_snug or fastening.departed or is_final(fastener, fastening):
            continue
        remaining = fastener.quantity - fastening.reached[stage]
        yield PresentTightening(key, fastener, stage, remaining, fastening.angle_unknown)


def _warnings(state: JobState) -> Iterator[Obligation]:
    for warning in state.step.warnings:
        if (warning.id, state.side) not in state.progress.understood:
            yield Obligation("warning", warning.id, f"Warning. {warning.text}", "warning understood")


def _way(state: JobState) -> Iterator[Obligation]:
    key = open_choice(state)
    if key is not None:
        ways = ways_of(state, key)
        told = "; or ".join(f"{way.title}: {way.consequence.rstrip('.')}" for way in ways)
        yield Obligation("way", str(key), f"Which way? {told}.", f"take the way {way_said(ways[0])}")


def _marks(state: JobState) -> Iterator[Obligation]:
    step, side, marks = state.step, state.side, state.progress.marks
    if step.makes_mark and (step.makes_mark, side) not in marks:
        text = state.plan.procedure.mark(step.makes_mark).text
        yield Obligation("mark to make", step.makes_mark, f"Mark first: {text}.", "mark is made")
    if step.finds_mark and marks.get((step.finds_mark, side)) != "found":
        text = state.plan.procedure.mark(step.finds_mark).text
        yield Obligation("mark to find", step.finds_mark, f"Find the mark again: {text}.", "mark is found")


def _observations(state: JobState) -> Iterator[Obligation]:
    step, side = state.step, state.side
    if step.inspect and (step.inspect.id, side) not in state.progress.findings:
        yield Obligation(
            "inspection", step.inspect.id, step.inspect.asks, "condition good, condition worn or needs replacing"
        )
    if step.measure and (step.measure.id, side) not in state.progress.measurements:
        yield Obligation("measurement", step.measure.id, step.measure.asks, "reading, and the digits")


def _renewals(state: JobState) -> Iterator[Obligation]:
    for id in to_renew(state):
        thing = thing_of(state.plan.procedure, id)
        name = in_words(thing, thing.quantity)
        yield Obligation("renewal", id, f"{name[:1].upper()}{name[1:]} must be new.", "new part fitted")


def _condition(state: JobState) -> Iterator[Obligation]:
    id = state.step.establishes
    if id and not holds(state.progress.conditions, id, state.side):
        condition = state.plan.procedure.condition(id)
        yield Obligation("condition", id, condition.asks, condition.sayings[0])


def _tightenings(state: JobState) -> Iterator[Obligation]:
    for present in _open_tightenings(state):
        name = in_words(present.fastener, present.remaining)
        name = f"{name[:1].upper()}{name[1:]}"
        wait, be = ("wait", "are") if present.remaining > 1 else ("waits", "is")
        waits = unmet_condition(state, present.target)
        if present.angle_unknown:
            yield Obligation("tightening", str(present.key), unknown_angle(present), "start tightening again")
        elif waits:
            yield Obligation(
                "tightening",
                str(present.key),
                f"{name} {wait} for {waits.name}.",
                "skip this step",
            )
        else:
            yield Obligation("tightening", str(present.key), f"{name} {be} not confirmed.", "mark done")


def _gate(state: JobState) -> Iterator[Obligation]:
    id = state.step.passes_gate
    if id and id not in state.progress.gates:
        yield Obligation("gate", id, state.plan.procedure.gate(id).asks, "check passed")


def _tools(state: JobState) -> Iterator[Obligation]:
    missing = [tool for tool in tools_of_run(state) if tool.id not in state.progress.tools_back]
    if state.step.counts_tools and missing:
        borrowed = [tool.name for tool in missing if tool.borrowed]
        named = f", {listed(borrowed)} borrowed" if borrowed else ""
        asks = f"Count the tools: {counted(len(missing), 'tool')} of this job{named}."
        yield Obligation("tools", "tools", asks, "all tools are back")


def withheld(state: JobState, fastener: Fastener) -> str | None:
    """Why the torque of a fastener is not to be said, if it is not: nobody has answered for it yet.

    In the job that writes its procedure it is what the technician has just told, and nothing else.
    """
    if state.progress.grown is not None:
        return None
    if not state.plan.procedure.released:
        return "This procedure is not released; its torques are withheld."
    if _departed(state, fastener.id):
        return f"The procedure was left for the {named(fastener)}; the torque is withheld."
    if "tightening" in fastener.unconfirmed:
        return f"The torque of the {named(fastener)} is not confirmed; it is withheld."
    return None


def unknown_angle(present: PresentTightening) -> str:
    """What to do about an angle that was interrupted; never to turn it on."""
    one = present.fastener.quantity == 1
    it, fresh = ("it", "a new one, it is") if one else ("them", "new ones, they are")
    renew = f" Fit {fresh} use-once." if present.fastener.use_once else ""
    return (
        f"The angle of the {named(present.fastener)} was interrupted and is unknown. "
        f"Slacken {it} and follow the maker's rule.{renew} Begin at stage one."
    )
