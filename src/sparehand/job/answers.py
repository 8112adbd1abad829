"""What is said and shown after a command: a pure function of the state it led to."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from sparehand.job.answer import Answer, Line, Tone, from_file, numbered, plain
from sparehand.job.answering import (
    answer_asking,
    answer_by_name,
    answer_conditions,
    answer_here,
    answer_lessons,
    answer_overview,
    answer_vehicle,
)
from sparehand.job.answering.answer_context import AnswerContext
from sparehand.job.answering.budgets import REFUSAL, RESUME, budget, within
from sparehand.job.answering.wordings import WORDINGS
from sparehand.job.decision import Decision, Refusal, Tell
from sparehand.job.events import QuestionAsked
from sparehand.job.state import JobState
from sparehand.job.work_order import following
from sparehand.procedures.plan import StepKey

JUST_SAID_MS = 60_000
"""For how long a step that was read counts as just read."""


def answer(state: JobState, decision: Decision, context: AnswerContext) -> Answer:
    """The answer to a decision, in the state after its events. Only a tick that brought nothing says nothing."""
    reply = decision.reply
    if isinstance(reply, Refusal):
        return _refusal(state, reply, context)
    if reply.topic == "again":
        return context.last if context.last.lines else Answer(answer_here.step(state), tone="heard")
    lines = (*WORDINGS[reply.topic](state, reply, context), *_asked_again(state, decision))
    lines = (*lines, *answer_conditions.asks_corrosion(state, decision.events))
    lines = (*lines, *answer_vehicle.meanwhile(state, decision.events, told=reply.topic == "timer"))
    wanted = _sentences(_not_twice(lines, state, reply, context), context)
    said, rest = within(wanted, budget(reply.topic), tersely=context.terse)
    sounds = answer_lessons.sounds_here(state, context.experience) if reply.topic in _TELLS_LESSONS else ()
    return Answer(
        lines=said,
        tone=_TONES.get(reply.topic, "heard"),
        sounds=sounds,
        rest=rest,
        torque_unit=(reply.unit or state.progress.unit) if reply.topic in _SAYS_TORQUE else None,
        step=_step_said(state, reply, context, said),
    )


def coming_back(state: JobState, context: AnswerContext) -> Answer:
    """What is said to somebody who comes back to a job: where it stands first, the rest for "say more"."""
    lines = answer_overview.back_at_the_bench(state)
    said, rest = within(_sentences(lines, context), RESUME, tersely=context.terse)
    return Answer(said, tone="heard", rest=rest, torque_unit=state.progress.unit)


def _refusal(state: JobState, refusal: Refusal, context: AnswerContext) -> Answer:
    again = answer_asking.question(state)
    way_on = (plain(f"Say {refusal.instead}.").shortened(f"{refusal.instead}."),) if refusal.instead else ()
    lines = (from_file(refusal.why), *(again or way_on))
    said, rest = within(_sentences(lines, context), REFUSAL)
    return Answer(said, tone="refused", rest=rest)


def _sentences(lines: Iterable[Line], context: AnswerContext) -> tuple[Line, ...]:
    """Each line with a capital where it begins, as long for the ear as it is wanted."""
    return tuple(
        replace(line, spoken=_capital(line.said(tersely=context.terse)), shown=_capital(line.shown)) for line in lines
    )


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def _asked_again(state: JobState, decision: Decision) -> tuple[Line, ...]:
    """The question that something else was said under, so that nobody has to remember it."""
    reply = decision.reply
    asks = isinstance(reply, Tell) and reply.topic not in ("question", "nothing", "quiet", "lapsed", "note kept")
    asked_now = any(isinstance(event, QuestionAsked) for event in decision.events)
    again = answer_asking.question(state) if asks and not asked_now else ()
    return tuple(line.kept_whole() for line in again)


def _not_twice(lines: tuple[Line, ...], state: JobState, reply: Tell, context: AnswerContext) -> tuple[Line, ...]:
    """Reaching a step whose sentence the answer before has just said, that sentence is shown and not said again."""
    recent = context.last_at is not None and context.last_at.milliseconds_until(context.now) < JUST_SAID_MS
    if reply.topic != "arrived" or not recent or context.last.step != state.progress.at:
        return lines
    new = tuple(replace(line, spoken="") if line.spoken == state.step.say else line for line in lines)
    return new if any(line.spoken for line in new) else (*new, _place_in_phase(state))


def _place_in_phase(state: JobState) -> Line:
    keys = state.phase.step_keys()
    place = numbered("Step {place} of {of}.", place=keys.index(state.progress.at) + 1, of=len(keys))
    return replace(place, shown="")


def _step_said(state: JobState, reply: Tell, context: AnswerContext, said: tuple[Line, ...]) -> StepKey | None:
    """The step ahead whose sentence is spoken in an answer."""
    if reply.topic == "after that":
        key = answer_by_name.after_that(state, reply.about, context.last)[0]
    else:
        key = following(state) if reply.topic in _READS_NEXT else None
    return key if key and any(state.plan.step(key).say in line.spoken for line in said) else None


_TELLS_LESSONS = ("arrived", "step", "understood")
_SAYS_TORQUE = ("arrived", "step", "confirmed", "done", "torque", "torque by name", "unit", "back to work", "undone")
"""The topics whose answers say torques in the unit asked for, or else the one chosen."""
_READS_NEXT = (
    "what next",
    "done",
    "confirmed",
    "finding",
    "measured",
    "renewed",
    "mark",
    "condition",
    "gate",
    "tightened otherwise",
)
"""The topics whose answers may read the step after this one."""

_TONES: dict[str, Tone | None] = {"rang": "timer", "lapsed": "lapsed", "nothing": None}
