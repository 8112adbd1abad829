"""A procedure that grows while its first job is done: each change gives a new one. Nothing in it is confirmed."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import get_args

from sparehand.job import events as e
from sparehand.procedures.model import Fastener, Operation, Phase, Procedure, Source, Stage, Step
from sparehand.procedures.plan import PhaseKey, StepKey
from sparehand.procedures.vehicle import Condition
from sparehand.procedures.wording import number_shown, number_spoken

RIDE_HEIGHT = "ride-height"
LONGEST_TEXT = 599
"""A text of a procedure may be one longer, for the full stop."""

_ASKED: tuple[e.Asked, ...] = get_args(e.Asked)
_FASTENER_FIELDS = ("name", "quantity", "thread", "drive_mm", "use_once", "tightening")
_OF_DOING: dict[e.FastenerDoing, str] = {"comes out": "removes", "goes in": "fits", "is tightened": "tightens"}


@dataclass(frozen=True)
class Naming:
    """The fastener that is being asked about, by its number, and what is asked now."""

    number: int
    asked: e.Asked


def about(naming: Naming) -> str:
    """What a question about a fastener is about."""
    return f"{fastener_id(naming.number)}/{naming.asked}"


def first_procedure(id: str, title: str, vehicle: str) -> Procedure:
    """What a first job begins with: one phase with one step, and nothing that anybody answers for."""
    return Procedure(
        format=1,
        id=id,
        title=title,
        released=False,
        vehicle=vehicle or "not entered",
        source=Source(title="Its first job", edition="draft", answered_for_by="Nobody yet"),
        operations=(Operation(id=id, title=title, spoken=(), phases=(phase_id(1),)),),
        phases=(_phase(1),),
        conditions=(Condition(id=RIDE_HEIGHT, name="ride height", asks="Does the vehicle stand at ride height?"),),
    )


def phase_id(number: int) -> str:
    """The id of a phase that has only a number yet."""
    return f"phase-{number}"


def step_id(number: int) -> str:
    """The id of a step that has only a number yet."""
    return f"step-{number}"


def fastener_id(number: int) -> str:
    """The id of a fastener that has only a number yet."""
    return f"fastener-{number}"


def unnamed_step(id: str) -> Step:
    """The step of that id as it is before anything was said of it."""
    return _step(int(id.rpartition("-")[2]))


def first_step(number: int) -> StepKey:
    """The first step of a phase."""
    return StepKey(PhaseKey(phase_id(number)), step_id(1))


def with_phase(procedure: Procedure, number: int) -> Procedure:
    """A phase more, which the one operation needs."""
    only = procedure.operations[0]
    operation = only.model_copy(update={"phases": (*only.phases, phase_id(number))})
    return procedure.model_copy(update={"operations": (operation,), "phases": (*procedure.phases, _phase(number))})


def with_step(procedure: Procedure, phase: str, number: int) -> Procedure:
    """A step more in a phase."""
    return _with_phase_changed(
        procedure, phase, lambda old: old.model_copy(update={"steps": (*old.steps, _step(number))})
    )


def with_fastener(procedure: Procedure, number: int) -> Procedure:
    """A fastener more, of which nothing is known."""
    fastener = Fastener(
        id=fastener_id(number), name=f"fastener {number_spoken(number)}", head="other", unconfirmed=_FASTENER_FIELDS
    )
    return procedure.model_copy(update={"fasteners": (*procedure.fasteners, fastener)})


def with_answer(procedure: Procedure, told: e.FastenerTold) -> Procedure:
    """The procedure with one thing more known of a fastener; the same where it is not known."""
    id = fastener_id(told.number)
    if told.does is not None:
        return with_step_changed(procedure, told.at, lambda step: _doing(step, id, told.does or "goes in"))
    fastener = procedure.fastener(id)
    update = {key: value for key, value in _update(fastener, told) if value is not None}
    changed = fastener.model_copy(update=update)
    return procedure.model_copy(
        update={"fasteners": tuple(changed if one.id == id else one for one in procedure.fasteners)}
    )


def with_name(procedure: Procedure, of: str, at: StepKey, number: int, words: str) -> Procedure:
    """The procedure with a phase, a step or a fastener called by these words; the same where there are none."""
    text = " ".join(words.split())[:LONGEST_TEXT]
    if not text:
        return procedure
    if of == "phase":
        return _with_phase_changed(procedure, at.at.phase, lambda old: old.model_copy(update={"title": _begun(text)}))
    if of == "step":
        return with_step_changed(procedure, at, lambda step: step.model_copy(update={"say": _sentence(text)}))
    return procedure.model_copy(
        update={
            "fasteners": tuple(
                one.model_copy(update={"name": text}) if one.id == fastener_id(number) else one
                for one in procedure.fasteners
            )
        }
    )


def with_step_changed(procedure: Procedure, at: StepKey, change: Callable[[Step], Step]) -> Procedure:
    """The procedure with one of its steps changed."""

    def changed(phase: Phase) -> Phase:
        steps = tuple(change(step) if step.id == at.step else step for step in phase.steps)
        return phase.model_copy(update={"steps": steps})

    return _with_phase_changed(procedure, at.at.phase, changed)


def to_ask(procedure: Procedure, number: int, step: Step, after: e.Asked | None = None) -> e.Asked | None:
    """What to ask next about a fastener: only what matters for what happens to it at the step, and is not known yet."""
    fastener = procedure.fastener(fastener_id(number))
    left = _ASKED[_ASKED.index(after) + 1 :] if after else _ASKED
    return next((asked for asked in left if _matters(asked, fastener, step)), None)


def _matters(asked: e.Asked, fastener: Fastener, step: Step) -> bool:
    tightened = fastener.id in step.tightens
    return {
        "doing": fastener.id not in (*step.removes, *step.fits, *step.tightens),
        "count": fastener.thread is None and fastener.drive_mm is None,
        "thread": fastener.thread is None,
        "pitch": fastener.thread is not None and "x" not in fastener.thread,
        "size": fastener.drive_mm is None,
        "torque": tightened and not fastener.tightening,
        "use": (tightened or fastener.id in step.fits) and not (fastener.use_once or fastener.reusable),
        "waiting": tightened and bool(fastener.tightening) and fastener.tightening[0].condition is None,
    }[asked]


def _update(fastener: Fastener, told: e.FastenerTold) -> Iterator[tuple[str, object]]:
    match told.asked:
        case "count" if told.value is not None:
            yield "quantity", round(told.value)
        case "thread" if told.value is not None:
            yield "thread", f"M{number_shown(told.value)}"
        case "pitch" if told.value is not None and fastener.thread is not None:
            yield "thread", f"{fastener.thread.partition('x')[0]}x{number_shown(told.value)}"
        case "size":
            yield "drive_mm", told.value
        case "torque" if told.torque is not None:
            yield "tightening", (Stage(torque=told.torque),)
        case "use" if told.yes is not None:
            yield "use_once", told.yes
            yield "reusable", not told.yes
        case "waiting" if told.yes:
            yield (
                "tightening",
                tuple(stage.model_copy(update={"condition": RIDE_HEIGHT}) for stage in fastener.tightening),
            )


def _doing(step: Step, id: str, does: e.FastenerDoing) -> Step:
    """A step at which this happens to a fastener, and nothing else any more."""
    changed = {
        field: (*(other for other in getattr(step, field) if other != id), *((id,) if kind == does else ()))
        for kind, field in _OF_DOING.items()
    }
    return step.model_copy(update=changed)


def _begun(text: str) -> str:
    return text[:1].upper() + text[1:]


def _sentence(text: str) -> str:
    """Free words as they are read aloud and shown among others."""
    return _begun(text) if text[-1] in ".!?" else f"{_begun(text)}."


def _phase(number: int) -> Phase:
    return Phase(
        id=phase_id(number),
        title=f"Phase {number_spoken(number)}",
        spoken=(f"phase {number_spoken(number)}",),
        unconfirmed=("title", "planned_minutes", "steps"),
        steps=(_step(1),),
    )


def _step(number: int) -> Step:
    return Step(id=step_id(number), say=f"Step {number_spoken(number)}.")


def _with_phase_changed(procedure: Procedure, id: str, change: Callable[[Phase], Phase]) -> Procedure:
    phases = tuple(change(phase) if phase.id == id else phase for phase in procedure.phases)
    return procedure.model_copy(update={"phases": phases})
