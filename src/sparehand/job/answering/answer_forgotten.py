"""Answers about forgotten words."""

from __future__ import annotations

from sparehand.job.answer import Line, duration, plain
from sparehand.job.answering.answer_here import phase_title
from sparehand.job.events import Question
from sparehand.job.state import JobState
from sparehand.procedures.plan import PhaseKey


def asks(state: JobState, asked: Question) -> tuple[Line, ...]:
    """The question: the phase, how long it took, and what would be done."""
    place, _, sign = asked.about.partition(": ")
    key = next((planned.key for planned in state.plan.phases if str(planned.key) == place), state.progress.at.at)
    took = duration(asked.value or 0.0)
    if sign == "took no time":
        return (
            took.framed(f"{phase_title(state, key)} took ", ". Was a word forgotten before it?"),
            plain("Yes shares the time out as usual."),
        )
    return (
        took.framed(f"{phase_title(state, key)} runs for ", f" now. Has {_after(state, key)} begun without a word?"),
        plain("Yes counts the rest there."),
    )


def put_right(state: JobState) -> tuple[Line, ...]:
    """What was put right, and where the job stands."""
    moved = state.ledger.corrections[-1]
    words = duration(moved.milliseconds / 1000)
    told = words.framed("Put right: ", f" counted for {phase_title(state, moved.to_phase)}. What was said is kept.")
    return (told, plain(state.step.say))


def _after(state: JobState, key: PhaseKey) -> str:
    places = [planned.key for planned in state.plan.phases]
    following = places[places.index(key) + 1 :]
    return phase_title(state, following[0]) if following else "the end"
