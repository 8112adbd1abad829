"""What a first job asks for: names, and what is to be known of a fastener."""

from __future__ import annotations

from sparehand.job.answer import Line, plain, quantity
from sparehand.job.events import Asked, Question
from sparehand.job.growing_procedure import fastener_id, unnamed_step
from sparehand.job.obligations import obligations
from sparehand.job.state import JobState
from sparehand.procedures import wording
from sparehand.procedures.model import Fastener

_ASKS: dict[Asked, str] = {
    "doing": "Say it comes out, it goes in, or it is tightened.",
    "count": "How many are there? Say the digits.",
    "thread": "Which thread? Say the digits after the M.",
    "pitch": "Which pitch? Say the digits.",
    "size": "Which size turns it, in millimetres? Say the digits.",
    "torque": "Which torque, in {unit}? Say the digits.",
    "use": "Say must be new every time, or may be used again.",
    "waiting": "Say wait for ride height, or no need to wait.",
}


def phase_opened(state: JobState) -> tuple[Line, ...]:
    """A phase was opened; its name is waited for."""
    return (plain(f"{state.phase.phase.title}. Say its name."),)


def step_opened(state: JobState) -> tuple[Line, ...]:
    """A step was opened; what is done is waited for."""
    return (plain(f"{state.step.say} Say what you do."),)


def fastener_named(state: JobState) -> tuple[Line, ...]:
    """A fastener was opened; its name is waited for."""
    name = state.plan.procedure.fasteners[-1].name
    return (plain(f"{name.capitalize()}. Say its name."),)


def asks(state: JobState) -> tuple[Line, ...]:
    """What is asked about a fastener now, or nothing."""
    naming = state.progress.naming
    if naming is None or state.progress.question is not None:
        return ()
    return (plain(_ASKS[naming.asked].format(unit=wording.unit_spoken(state.progress.unit))),)


def hint(state: JobState) -> tuple[Line, ...]:
    """How to name a step of a first job that has no words yet."""
    unnamed = state.progress.grown is not None and state.step == unnamed_step(state.step.id)
    return (plain("Say name this step, and then what you do."),) if unnamed else ()


def fastener_described(state: JobState) -> tuple[Line, ...]:
    """What was said of it is written down; the next question, or what is known of the fastener by now."""
    following = asks(state)
    if following:
        return following
    duty = next(iter(obligations(state)), None)
    instead = duty.instead if duty else "new fastener, new step or new phase"
    return (plain(f"Written down. Say {instead}."),)


def asks_value(state: JobState, question: Question) -> Line:
    """A number about a fastener, read back."""
    id, _, asked = question.about.partition("/")
    return _heard(question, asked).framed("I heard ", f" for {_name(state, id)}.")


def _heard(question: Question, asked: str) -> Line:
    value = question.value or 0.0
    if question.torque is not None:
        return quantity(question.torque.value, question.torque.unit)
    if asked == "thread":
        thread = f"M{wording.number_shown(value)}"
        return Line(wording.thread_spoken(thread), thread)
    if asked == "pitch":
        return quantity(value, "mm").framed("pitch ")
    return quantity(value, question.unit or ("piece" if value == 1 else "pieces"))


def _name(state: JobState, id: str) -> str:
    found: Fastener | None = next((one for one in state.plan.procedure.fasteners if one.id == id), None)
    return found.name if found else fastener_id(0)
