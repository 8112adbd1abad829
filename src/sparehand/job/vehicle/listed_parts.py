"""The parts that the procedure lists for this run, and who answered for them."""

from __future__ import annotations

from typing import Literal

from sparehand.job.state import JobState
from sparehand.job.vehicle.drive import begun
from sparehand.job.vehicle.naming import with_side
from sparehand.procedures.kit import kit
from sparehand.procedures.labels import named
from sparehand.procedures.model import Item, Side

PartState = Literal["renewed", "not renewed", "not answered"]


def unanswered(state: JobState) -> tuple[tuple[Item, Side | None], ...]:
    """The listed parts that nobody renewed or answered for, side by side, once anything was done to the vehicle."""
    if not begun(state):
        return ()
    return tuple((item, side) for item, side in listed_parts(state) if answer_for(state, item, side) == "not answered")


def listed_parts(state: JobState) -> tuple[tuple[Item, Side | None], ...]:
    """Each part that the procedure lists for this run, once a side on which it may be renewed."""
    return tuple((needed.item, side) for needed in kit(state.plan).parts for side in _sides(state, needed.item))


def answer_for(state: JobState, item: Item, side: Side | None) -> PartState:
    """What somebody said of a part, for its side or for all sides."""
    named = {(item.id, side), (item.id, None)}
    if named & state.progress.not_renewed:
        return "not renewed"
    return "renewed" if named & state.progress.renewed else "not answered"


def unanswered_names(state: JobState) -> tuple[str, ...]:
    """Those parts by name and side; a use-once part whose step is done is asked about there."""
    return tuple(with_side(named(item), side).rstrip(",") for item, side in unanswered(state) if not item.use_once)


def _sides(state: JobState, item: Item) -> tuple[Side | None, ...]:
    """The sides on which steps renew the part; else each side of the run where the file counts it per side."""
    steps = [key for key in state.plan.steps if item.id in state.plan.step(key).renews]
    if steps:
        return tuple(dict.fromkeys(key.at.side for key in steps))
    return (state.plan.sides or (None,)) if item.per_side else (None,)
