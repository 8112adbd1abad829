"""What a person must see at a glance, as one frozen value: every screen draws this and nothing else."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from sparehand.ground.clock import Moment
from sparehand.job.answering import answer_asking, answer_here
from sparehand.job.answering.loose_words import loose_by_side
from sparehand.job.experience import Experience
from sparehand.job.ledger import milliseconds
from sparehand.job.obligations import obligations, open_warning
from sparehand.job.state import JobState
from sparehand.job.work_order import following
from sparehand.procedures import wording
from sparehand.procedures.labels import named
from sparehand.procedures.quantities import TorqueUnit
from sparehand.screens.figures import Figure, Present, present_thing
from sparehand.screens.job_view import HeardLine
from sparehand.screens.vehicle_plan import LooseAt, loose_at


@dataclass(frozen=True)
class Glance:
    """The job at a glance, in words ready to be shown; empty where there is nothing to say.

    `warning` stands before the step and takes its place until it is understood. `gate` is what the present tightening
    waits for, `coming` the next two steps, `phase_share` the time worked in the phase as a share of the longest that is
    expected, else of the plan. `halted` tells a hold or a snag and for how long.
    """

    place: str
    counted: str
    step: str
    listening: str
    warning: str = ""
    fastener: str = ""
    figures: tuple[Figure, ...] = ()
    gate: str = ""
    cautions: tuple[str, ...] = ()
    to_answer: tuple[str, ...] = ()
    coming: tuple[str, ...] = ()
    loose: tuple[str, ...] = ()
    loose_by_side: tuple[str, ...] = ()
    loose_at: tuple[LooseAt, ...] = ()
    phase_clock: str = ""
    phase_share: float | None = None
    timers: tuple[str, ...] = ()
    halted: str = ""
    question: str = ""
    heard: HeardLine | None = None
    begun: bool = True


def glance(state: JobState, now: Moment, experience: Experience, heard: HeardLine | None, listening: str) -> Glance:
    """What is to be seen of a job at `now`. `listening` says in a word whether the bench listens."""
    open_now = obligations(state)
    warning = open_warning(state)
    thing = Present() if warning else present_thing(state, now)
    keys = state.phase.step_keys()
    pictured = not warning and state.step.picture in state.pictures
    return Glance(
        place=answer_here.phase_name(state.progress.at, state).removesuffix("."),
        counted=f"step {keys.index(state.progress.at) + 1} of {len(keys)}" + ", picture on the page" * pictured,
        step="" if warning else state.step.say,
        listening=listening,
        warning=f"{warning} Say warning understood." if warning else "",
        fastener=thing.name,
        figures=thing.figures,
        gate=thing.gate,
        cautions=() if warning else tuple(f"Caution. {caution.text}" for caution in state.step.cautions),
        to_answer=tuple(
            f"{one.asks} Say {one.instead}." for one in open_now if one.duty not in ("warning", "tightening")
        ),
        coming=() if warning else tuple(_coming(state)),
        loose=tuple(f"{named(entry.fastener)}{f' {entry.key.side}' * bool(entry.key.side)}" for entry in state.loose),
        loose_by_side=tuple(line.shown for line in loose_by_side(state)),
        loose_at=loose_at(state),
        phase_clock=_phase_clock(state, now, experience),
        phase_share=_phase_share(state, now, experience),
        timers=_timers(state, now),
        halted=_halted(state, now),
        question=" ".join(line.shown for line in answer_asking.question(state)),
        heard=heard,
    )


def opening_glance(asked: str, heard: HeardLine | None, listening: str) -> Glance:
    """What is to be seen before a job has begun: what was asked last."""
    return Glance("Choosing the work", "", "", listening, to_answer=(asked,), heard=heard, begun=False)


def in_unit(state: JobState, unit: TorqueUnit | None) -> JobState:
    """The same job with its torques in the unit asked for last, where one was."""
    return replace(state, progress=replace(state.progress, unit=unit)) if unit else state


def drawn_sentences(state: JobState, seen: Glance) -> frozenset[str]:
    """The sentence that the first figure of a glance says in numbers, in small letters; none where it says another."""
    first = seen.figures[0] if seen.figures else None
    said = answer_here.torque(state, None)[0].shown
    number = wording.quantity_shown(float(first.digits), first.unit) if first else ""
    return frozenset({said.casefold()} if first and number in said else ())


def _coming(state: JobState) -> Iterator[str]:
    """The next two steps."""
    yield answer_here.what_next(state)[0].shown
    coming = following(state)
    then = state.plan.after(coming) if coming else None
    if coming and then:
        yield answer_here.ahead(state, "Then", coming, then).shown


def _phase_clock(state: JobState, now: Moment, experience: Experience) -> str:
    """The time worked in the phase against its expected range, else against the plan."""
    worked = _worked_seconds(state, now)
    shown = f"phase {wording.duration_shown(worked)}"
    expected, planned = experience.expected(state.progress.at.at), state.phase.phase.planned_minutes
    if expected:
        low, high = round(expected.p10_minutes), round(expected.p90_minutes)
        over = ", longer than that" if worked > expected.p90_minutes * 60 else ""
        return f"{shown}, expected {low} to {high} min{over}"
    return f"{shown}, planned {wording.number_shown(planned)} min" if planned else shown


def _phase_share(state: JobState, now: Moment, experience: Experience) -> float | None:
    expected = experience.expected(state.progress.at.at)
    minutes = expected.p90_minutes if expected else state.phase.phase.planned_minutes
    return _worked_seconds(state, now) / (60 * minutes) if minutes else None


def _worked_seconds(state: JobState, now: Moment) -> float:
    spans = state.ledger.up_to(now).all_spans()
    return milliseconds((span for span in spans if span.label.phase == state.progress.at.at), "work") / 1000


def _timers(state: JobState, now: Moment) -> tuple[str, ...]:
    left = ((timer.name, timer.remaining_ms(now) / 1000) for timer in state.progress.timers)
    return tuple(
        f"{name} {wording.duration_shown(seconds)} left" if seconds > 0 else f"{name}: time is up"
        for name, seconds in left
    )


def _halted(state: JobState, now: Moment) -> str:
    progress = state.progress
    if progress.closed:
        return "job closed"
    since = wording.duration_shown(state.ledger.up_to(now).of_technician(progress.crew.acting).running_ms / 1000)
    if progress.parked:
        return "job parked"
    if progress.hold:
        return f"on hold for {progress.hold}, {since}"
    return f"snag, {progress.snag}, {since}" if progress.snag else ""
