"""A second procedure that joins a run: its ids and the run's never collide, and what is one on the vehicle is one.

Conditions, fluids, tools and follow-ups of one name are one in both files. A wheel of one name may be another wheel, at
another axle: components and fasteners are one only where a person says so.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from uuid import UUID

from sparehand.procedures.labels import plural_of
from sparehand.procedures.model import Fastener, Item, Procedure, Side
from sparehand.procedures.phase_key import joined_id
from sparehand.procedures.plan import concerns
from sparehand.procedures.record import Record
from sparehand.procedures.references import LISTS, with_ids
from sparehand.procedures.spoken_names import plain_words
from sparehand.procedures.vehicle import Component

_ALWAYS_ONE = ("conditions", "consumables", "tools", "follow_ups")
_TELLS_WHICH = ("name", "text", "size", "borrowed", "ends_when_raised", "quantity")
_MUST_AGREE = ("thread", "drive_mm", "drive", "counter_hold", "use_once", "left_hand", "thread_state", "tightening")

Same = dict[tuple[str, str], str]
"""The id in the run of a thing that the run has already, by its list and its id in the other file."""


@dataclass(frozen=True)
class Joined:
    """A procedure that joined a run on some sides; `sha256` is that of its file.

    `pictures` names what its steps show, by their paths in it.
    `shares` says that what is called alike is one on the vehicle.
    """

    procedure: Procedure
    sides: tuple[Side, ...]
    sha256: str = ""
    pictures: Mapping[str, UUID] = field(default_factory=dict)
    shares: bool = False


def with_joined(opened: Procedure, sides: tuple[Side, ...], joined: tuple[Joined, ...]) -> Procedure:
    """The procedure of a run on `sides` that others joined, their phases after its own."""
    run = _on_sides(opened, sides) if joined else opened
    for each in joined:
        run = _with(run, each)
    return run


def called_alike(run: Procedure, other: Procedure) -> tuple[str, ...]:
    """The names of the components and fasteners that both have, which may be one on the vehicle or two.

    Where each file says at which axle its sides are, and they differ, nothing is.
    """
    apart = run.axle and other.axle and run.axle != other.axle
    same = {} if apart else _alike(run, other, ("components", "fasteners"))
    return tuple(
        dict.fromkeys(
            one.name for kind in ("components", "fasteners") for one in getattr(other, kind) if (kind, one.id) in same
        )
    )


def _with(run: Procedure, joined: Joined) -> Procedure:
    other = _on_sides(joined.procedure, joined.sides)
    same = _alike(run, other, _ALWAYS_ONE)
    if joined.shares:
        same |= _alike(run, other, ("components", "fasteners"))
        parts = {part.id for part in run.parts} & {part.id for part in other.parts}
        same |= {("parts", id): id for id in parts if same.get(("fasteners", id)) == id}
    moved = with_ids(other, lambda kind, id: same.get((kind, id)) or joined_id(other.id, id))
    lists = {kind: (*_agreed(run, moved, kind), *_new(run, moved, kind, other.title)) for kind in LISTS}
    sides = tuple(dict.fromkeys((*run.sides, *joined.sides)))
    told = {"title": f"{run.title}, with {other.title}", "demo": run.demo or other.demo, "sides": sides}
    return run.model_copy(update={**lists, **told, "axle": run.axle if run.axle == other.axle else None})


def _on_sides(procedure: Procedure, sides: tuple[Side, ...]) -> Procedure:
    """The same with each sided phase held to these sides, and with torques withheld where it is not released."""
    phases = []
    for one in (one for one in procedure.phases if concerns(one, sides or procedure.sides)):
        only = tuple(side for side in one.only_sides or procedure.sides if side in (sides or procedure.sides))
        if only or not one.sided:
            phases.append(one.model_copy(update={"only_sides": only}) if one.sided else one)
    unsure = () if procedure.released else ("tightening",)
    fasteners = tuple(_unconfirmed(one, unsure) for one in procedure.fasteners)
    follow_ups = tuple(one for one in procedure.follow_ups if concerns(one, sides or procedure.sides))
    return procedure.model_copy(update={"phases": tuple(phases), "fasteners": fasteners, "follow_ups": follow_ups})


def _alike(run: Procedure, other: Procedure, kinds: tuple[str, ...]) -> Same:
    same: Same = {}
    for kind in kinds:
        known = {_which(one): one.id for one in getattr(run, kind)}
        same |= {(kind, one.id): known[_which(one)] for one in getattr(other, kind) if _which(one) in known}
    return same


def _which(one: Record) -> tuple[object, ...]:
    told = (getattr(one, field, None) for field in _TELLS_WHICH)
    return tuple(plain_words(value) if isinstance(value, str) else value for value in told)


def _agreed(run: Procedure, moved: Procedure, kind: str) -> tuple[Record, ...]:
    """What the run has already; of a fastener, what the other file gives otherwise is not confirmed any more."""
    others = {one.id: one for one in getattr(moved, kind)}
    there: tuple[Record, ...] = getattr(run, kind)
    if kind == "fasteners":
        return tuple(_both(one, others.get(one.id, one)) for one in run.fasteners)
    if kind == "components":
        return tuple(_held_by_both(one, others.get(one.id, one)) for one in run.components)
    return there


def _held_by_both(one: Component, other: Component) -> Component:
    held = tuple(dict.fromkeys((*one.held_by, *other.held_by)))
    needed = one.needed_to_lower or other.needed_to_lower
    return one.model_copy(update={"held_by": held, "needed_to_lower": needed})


def _both(one: Fastener, other: Fastener) -> Fastener:
    differing = tuple(field for field in _MUST_AGREE if getattr(one, field) != getattr(other, field))
    return _unconfirmed(one, (*differing, *other.unconfirmed))


def _unconfirmed(one: Fastener, fields: tuple[str, ...]) -> Fastener:
    return one.model_copy(update={"unconfirmed": tuple(dict.fromkeys((*one.unconfirmed, *fields)))}) if fields else one


def _new(run: Procedure, moved: Procedure, kind: str, title: str) -> tuple[Record, ...]:
    """What the run lacks; what is called as something in it gets another name for the eye and for the ear."""
    ids = {one.id for one in getattr(run, kind)}
    shown = {plain_words(_name(one)) for one in getattr(run, kind)}
    said = {plain_words(name) for one in getattr(run, kind) for name in getattr(one, "spoken", ())}
    return tuple(_told_apart(one, shown, said, title) for one in getattr(moved, kind) if one.id not in ids)


def _told_apart(one: Record, shown: set[str], said: set[str], title: str) -> Record:
    update: dict[str, object] = {}
    if plain_words(_name(one)) in shown:
        update["name" if hasattr(one, "name") else "title"] = f"{_name(one)} ({title})"
        if isinstance(one, Fastener | Item):
            update["plural"] = f"{plural_of(one)} ({title})"
    spoken: tuple[str, ...] = getattr(one, "spoken", ())
    if any(plain_words(name) in said for name in spoken):
        update["spoken"] = tuple(f"{name} again" for name in spoken)
    return one.model_copy(update=update)


def _name(one: Record) -> str:
    return getattr(one, "name", None) or getattr(one, "title", "") or str(getattr(one, "id", ""))
