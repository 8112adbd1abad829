"""Words that were forgotten on this job: what the times say, and how they are put right once somebody says yes."""

from __future__ import annotations

import math
from collections.abc import Iterator

from sparehand.ground.clock import Moment
from sparehand.job.events import Event, StepReached, TimeCorrected
from sparehand.job.experience import Experience
from sparehand.job.ledger import milliseconds
from sparehand.job.state import JobState
from sparehand.procedures.plan import PhaseKey
from sparehand.times.forgotten_words import ForgottenWord, forgotten_word

FORGOTTEN = "a forgotten word"


def noticed_now(state: JobState, now: Moment, experience: Experience) -> ForgottenWord | None:
    """The forgotten word that the present phase, or the one before it, tells of."""
    if experience.outlook is None:
        return None
    places = [planned.key for planned in state.plan.phases]
    here = state.progress.at.at
    following = next(iter(places[places.index(here) + 1 :]), None)
    current = here if not state.phase_complete(state.phase) else None
    worked = _worked_ms(state, here, now) / 1000
    word = forgotten_word(experience.outlook, _finished(state, now), current, worked, following)
    return word if word and _took_its_time_too(state, word, now, experience) else None


def all_noticed(state: JobState, now: Moment, experience: Experience) -> Iterator[ForgottenWord]:
    """Every forgotten word that the finished phases tell of, in order."""
    if experience.outlook is None:
        return
    done = _finished(state, now)
    for count in range(2, len(done) + 1):
        word = forgotten_word(experience.outlook, done[:count], None, 0.0)
        if word and _took_its_time_too(state, word, now, experience):
            yield word


def word_about(state: JobState, about: str, now: Moment, experience: Experience) -> ForgottenWord | None:
    """The forgotten word that a question is about, as the times tell it now."""
    words = (noticed_now(state, now, experience), *all_noticed(state, now, experience))
    return next((word for word in words if word and about_word(word) == about), None)


def about_word(word: ForgottenWord) -> str:
    """What names a forgotten word in a question."""
    return f"{word.key}: {word.sign}"


def may_be_asked(state: JobState, word: ForgottenWord) -> bool:
    """Whether a yes could put it right, and nobody was asked before."""
    return word.neighbour is not None and about_word(word) not in state.progress.wondered


def put_right(state: JobState, word: ForgottenWord, now: Moment, experience: Experience) -> tuple[Event, ...]:
    """What a yes records: the time where it was probably spent; and the next phase reached, where it has begun.

    Time between two phases is shared out as they usually take it; a phase that ran on keeps what it usually takes.
    """
    if word.neighbour is None or experience.outlook is None:
        return ()
    if word.sign == "runs long":
        moved = _worked_ms(state, word.key, now) - round(1000 * word.usual_seconds)
        target = next(planned for planned in state.plan.phases if planned.key == word.neighbour)
        left = tuple(key for key in state.phase.step_keys() if key not in state.progress.done)
        reached = StepReached(step=target.step_keys()[0], skipped=left)
        return (*_corrections(state, word.key, word.neighbour, moved, now), reached)
    neighbour = experience.outlook.of(word.neighbour)
    usual = math.exp(neighbour.log_mean) if neighbour else word.usual_seconds
    short = _worked_ms(state, word.key, now)
    whole = short + _worked_ms(state, word.neighbour, now)
    moved = round(whole * word.usual_seconds / (word.usual_seconds + usual)) - short
    return _corrections(state, word.neighbour, word.key, moved, now)


def _took_its_time_too(state: JobState, word: ForgottenWord, now: Moment, experience: Experience) -> bool:
    """Whether a short phase stands beside one that has the time it lacks; where all go fast, no word was forgotten."""
    if word.sign == "runs long" or word.neighbour is None or experience.outlook is None:
        return word.sign == "runs long"
    neighbour = experience.outlook.of(word.neighbour)
    usual_ms = 1000 * math.exp(neighbour.log_mean) if neighbour else math.inf
    return _worked_ms(state, word.neighbour, now) > usual_ms


def _corrections(
    state: JobState, source: PhaseKey, target: PhaseKey, moved_ms: int, now: Moment
) -> tuple[TimeCorrected, ...]:
    """One for each technician who worked in the source, by the share of each."""
    spans = [span for span in state.ledger.up_to(now).all_spans() if span.label.phase == source]
    names = dict.fromkeys(span.label.technician for span in spans)
    work = {name: milliseconds((span for span in spans if span.label.technician == name), "work") for name in names}
    whole = sum(work.values())
    shares = {name: round(moved_ms * mine / whole) for name, mine in work.items() if whole}
    return tuple(
        TimeCorrected(technician=name, phase=source, milliseconds=share, to_phase=target, why=FORGOTTEN)
        for name, share in shares.items()
        if share > 0
    )


def _finished(state: JobState, now: Moment) -> list[tuple[PhaseKey, float]]:
    """The finished phases up to the present one, with the worked seconds of each."""
    places = [planned.key for planned in state.plan.phases]
    upto = state.plan.phases[: places.index(state.progress.at.at) + 1]
    return [
        (planned.key, _worked_ms(state, planned.key, now) / 1000) for planned in upto if state.phase_complete(planned)
    ]


def _worked_ms(state: JobState, phase: PhaseKey, now: Moment) -> int:
    """Work in a phase by everybody, snags left out."""
    spans = state.ledger.up_to(now).all_spans()
    return milliseconds((span for span in spans if span.label.phase == phase and not span.label.snag), "work")
