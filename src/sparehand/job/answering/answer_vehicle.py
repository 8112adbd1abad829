"""Answers about the vehicle: conditions, counts, sides, and what is so though its step was skipped."""

from __future__ import annotations

from collections.abc import Sequence

from sparehand.job.answer import Line, called, duration, plain, together
from sparehand.job.answering import answer_here
from sparehand.job.deciding.decide_claims import told
from sparehand.job.deciding.decide_moving import to_skip
from sparehand.job.events import Event, Question, TimerStarted
from sparehand.job.fasteners import pieces_in, pieces_of
from sparehand.job.folding.fold_ending import finding_asked
from sparehand.job.state import JobState
from sparehand.job.vehicle.naming import be, counted_pieces, sentence, with_side
from sparehand.job.work_order import place_elsewhere
from sparehand.procedures import wording
from sparehand.procedures.labels import named, plural_of
from sparehand.procedures.model import Fastener
from sparehand.procedures.plan import FastenerKey


def condition(state: JobState, id: str) -> tuple[Line, ...]:
    """A condition holds by what was said."""
    name = state.plan.procedure.condition(id).name
    return (plain(f"Written down: {name}."), *answer_here.done(state))


def condition_over(state: JobState, id: str) -> tuple[Line, ...]:
    """A condition holds no longer."""
    return (plain(f"Over: {state.plan.procedure.condition(id).name}."),)


def lifted(_state: JobState, names: str) -> tuple[Line, ...]:
    """The vehicle is raised, and what ended by it."""
    return (plain(f"Off its wheels.{f' Over: {names}.' if names else ''}"),)


def confirmed(state: JobState) -> tuple[Line, ...]:
    """How many pieces reached the stage: all five, or four of five."""
    latest = state.progress.tightenings[-1]
    fastener = state.plan.procedure.fastener(latest.fastener.fastener)
    reached = state.progress.fastenings[latest.fastener].reached[latest.stage]
    return (plain(f"Confirmed{_so_many(fastener, reached, all_at_once=latest.count == reached)}."),)


def done(state: JobState) -> tuple[Line, ...]:
    """The step is done, with its number of pieces where it takes out or puts in one thing of several."""
    step = state.step
    several = [one for id in (*step.removes, *step.fits) if (one := state.plan.procedure.fastener(id)).quantity > 1]
    lines = answer_here.done(state)
    if len(several) != 1 or state.progress.at not in state.progress.done or not lines[0].shown.startswith("Done."):
        return lines
    return (plain(f"Done{_so_many(several[0], several[0].quantity, all_at_once=True)}."), *lines[1:])


def counted(state: JobState, id: str) -> tuple[Line, ...]:
    """How many pieces are out or in by now."""
    fastener = state.plan.procedure.fastener(id)
    there = pieces_in(fastener, state.progress.fastenings.get(FastenerKey(id, state.side)))
    out = id in state.step.removes
    count = fastener.quantity - there if out else there
    of = f"{wording.number_spoken(count)} of {wording.number_spoken(fastener.quantity)} {plural_of(fastener)}"
    return (plain(sentence(f"{with_side(of, state.side)} {be(count)} {'out' if out else 'in'}.")),)


def other_side(state: JobState, left: str) -> tuple[Line, ...]:
    """What stays open on the side that was left, what is still on here, and the step."""
    loose = pieces_of(entry for entry in state.loose if entry.key.side == left)
    open_steps = [key for key in state.plan.steps if key.at.side == left and key not in state.progress.done]
    here = [
        one.name
        for one in state.plan.procedure.components
        if one.needed_to_lower and (one.id, state.side) not in state.progress.off
    ]
    first = (
        f"{wording.counted(len(open_steps), 'step')} open on the {left}, {wording.number_spoken(loose)} loose there."
    )
    on = (plain(f"The {with_side(name, state.side)} is still on.") for name in here)
    return (*((plain(sentence(first)),) if left and open_steps else ()), *on, *answer_here.arrival(state))


def meanwhile(state: JobState, events: Sequence[Event], *, told: bool) -> tuple[Line, ...]:
    """While a wait that has just begun runs, and was perhaps `told`: where the work can go on at another side."""
    begun = next((event for event in events if isinstance(event, TimerStarted)), None)
    free = state.side is not None and not state.progress.hold and state.progress.question is None
    place = place_elsewhere(state) if free else None
    if begun is None or place is None:
        return ()
    wait = together((called(begun.name), duration(60 * begun.minutes)), ": ").framed(after=". ")
    goes_on = plain(f"{answer_here.phase_title(state, place.at)}, meanwhile? Say to the other side.")
    return ((goes_on if told else together((wait, goes_on), "")).kept_whole(),)


def asks_to_skip(state: JobState, asked: Question) -> tuple[Line, ...]:
    """How many steps lie open on the way, the first by name, and whether a warning is among them."""
    target = next((key for key in state.plan.steps if str(key) == asked.about), state.progress.at)
    keys = to_skip(state, target)
    first = state.plan.step(keys[0]).say if keys else ""
    warned = [
        state.plan.step(key)
        for key in keys
        if any((one.id, key.at.side) not in state.progress.understood for one in state.plan.step(key).warnings)
    ]
    kind = "press warning" if any("press" in step.hazards for step in warned) else "warning"
    among = f", a {kind} among them" if warned else ""
    count = sentence(wording.counted(len(keys), "step"))
    verb = "lies" if len(keys) == 1 else "lie"
    return plain(f"{count} {verb} open on the way{among}. First: {first}"), plain(
        "Skip them?" if len(keys) > 1 else "Skip it?"
    )


def asks_already_so(state: JobState, asked: Question) -> tuple[Line, ...]:
    """The claim, read back by name and number, and what it leaves unknown."""
    what, _, id = asked.about.partition("/")
    procedure = state.plan.procedure
    events = told(state, asked)
    match what:
        case "fastener in":
            fastener = procedure.fastener(id)
            names = wording.listed(
                [counted_pieces(fastener, one.side, fastener.quantity).rstrip(",") for one in events]
            )
            return (plain(sentence(f"{names}: in already, without the step? How tight stays unknown.")),)
        case "component on":
            names = wording.listed([with_side(procedure.component(id).name, one.side).rstrip(",") for one in events])
            return (plain(sentence(f"the {names}: on already, without the step?")),)
        case _:
            return (plain(f"Made without its step: {procedure.mark(id).text}?"),)


def told_without_step(state: JobState) -> tuple[Line, ...]:
    """Written down as told, and printed so."""
    return (plain("Written down as told without its step. The card says so."), *answer_here.done(state))


def asks_angle_begun(state: JobState, asked: Question) -> tuple[Line, ...]:
    """Whether the angle had been begun when the work stopped."""
    fastener = state.plan.procedure.fastener(asked.about.partition("/")[0])
    return (plain(f"Had you begun to turn the {named(fastener)}?"),)


def asks_which_finding(state: JobState, asked: Question) -> tuple[Line, ...]:
    """Two findings at one point: which counts."""
    id, later = finding_asked(asked)
    before = state.progress.findings.get((id, asked.side), later)
    return (plain(f"You said {before} before, and {later} now. Both are kept. Does {later} count?"),)


def _so_many(fastener: Fastener, count: int, *, all_at_once: bool) -> str:
    if fastener.quantity == 1:
        return ""
    number, of = wording.number_spoken(count), wording.number_spoken(fastener.quantity)
    if count < fastener.quantity:
        return f", {number} of {of}"
    return f", {'both' if count == 2 else f'all {number}'}" if all_at_once else f", now all {number}"
