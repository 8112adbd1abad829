"""What stands open on a job: what stops it from closing, and what stops the vehicle from moving."""

from __future__ import annotations

import re
from collections.abc import Iterator

from sparehand.job.fasteners import LooseFastener
from sparehand.job.obligations import name_of, renewal_waived
from sparehand.job.run_tools import borrowed_out
from sparehand.job.state import JobState
from sparehand.job.vehicle.drive import apart, begun, drive_blockers, undone_kinds
from sparehand.job.vehicle.gates import open_gates
from sparehand.job.vehicle.listed_parts import unanswered_names
from sparehand.procedures.labels import in_words
from sparehand.procedures.model import Side
from sparehand.procedures.plan import StepKey
from sparehand.procedures.wording import counted, number_spoken


def open_items(state: JobState) -> tuple[str, ...]:
    """One sentence for each thing that a job may not close with unless somebody gives a reason."""
    return (*(loose_sentence(entry) for entry in state.loose), *open_beside_fasteners(state))


def open_beside_fasteners(state: JobState) -> tuple[str, ...]:
    """The same without the fasteners that are loose."""
    kinds = undone_kinds(state)
    return (
        *apart(state),
        *(f"{name} is use-once and nobody said it is new." for name in _unrenewed(state)),
        *(f"Nobody answered for this part: {name}." for name in unanswered_names(state)),
        *(f"A warning of a finished step is not understood: {text}" for text in _unread(state)),
        *(f"Not checked before moving the vehicle: {asks}" for asks in open_checks(state)),
        *(f"Nobody said that it is back: {tool.name}." for tool in borrowed_out(state)),
        *((f"Steps not done: {kinds}.",) if kinds else ()),
    )


def loose_sentence(entry: LooseFastener) -> str:
    """Where a loose fastener is and what state it is in."""
    head = f"{entry.key.side.capitalize()}: " if entry.key.side else ""
    things = in_words(entry.fastener, entry.fastener.quantity)
    state = re.sub(r"^stage (.*) done$", r"at stage \1", entry.state)
    sentence = f"{head}{things} {re.sub(r'[0-9]+', lambda found: number_spoken(int(found[0])), state)}."
    return f"{sentence[:1].upper()}{sentence[1:]}"


def open_checks(state: JobState) -> tuple[str, ...]:
    """What the gates of this run ask that are not passed, once anything was done to the vehicle."""
    return tuple(state.plan.procedure.gate(id).asks for id in open_gates(state)) if begun(state) else ()


def safe_to_drive(state: JobState) -> bool:
    """Whether the record knows nothing against driving; it does not see the vehicle."""
    return not drive_blockers(state)


def undone_steps(state: JobState) -> tuple[str, ...]:
    """A sentence with the number of steps that were not done, if any."""
    count = len(set(state.plan.steps) - state.progress.done)
    return (f"{counted(count, 'step')} not done.".capitalize(),) if count else ()


def left_behind(state: JobState) -> tuple[StepKey, ...]:
    """What was skipped, then what lies before the present step and is not done; in that order, each once."""
    before = state.plan.steps[: state.plan.steps.index(state.progress.at)]
    undone = (key for key in before if key not in state.progress.done)
    return tuple(dict.fromkeys((*state.progress.skipped, *undone)))


def passed_over(state: JobState) -> tuple[StepKey, ...]:
    """The steps that are not done though they lie before the present step or before one that is done."""
    steps = state.plan.steps
    reached = max(steps.index(key) for key in (state.progress.at, *(state.progress.done & set(steps))))
    return tuple(key for key in steps[:reached] if key not in state.progress.done)


def on_side(name: str, side: Side | None) -> str:
    """A name with its side."""
    return f"{name}, {side}," if side else name


def _done_steps(state: JobState) -> Iterator[StepKey]:
    return (key for key in state.plan.steps if key in state.progress.done)


def _unrenewed(state: JobState) -> Iterator[str]:
    """Names of use-once things that a finished step put in without a word that they are new."""
    procedure = state.plan.procedure
    for key in _done_steps(state):
        step = state.plan.step(key)
        fasteners = [id for id in step.fits if procedure.fastener(id).use_once]
        for id in dict.fromkeys((*step.renews, *fasteners)):
            fresh = (id, key.at.side) in state.progress.renewed
            if not fresh and not renewal_waived(state, id, key.at.side):
                yield on_side(name_of(procedure, id), key.at.side)


def _unread(state: JobState) -> Iterator[str]:
    for key in _done_steps(state):
        for warning in state.plan.step(key).warnings:
            if (warning.id, key.at.side) not in state.progress.understood:
                yield warning.text
