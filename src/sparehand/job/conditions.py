"""What the vehicle stands like, axle by axle: ride height may hold at the front and not at the rear."""

from __future__ import annotations

from sparehand.procedures.model import Axle, Side

Conditions = frozenset[tuple[str, Axle | None]]
"""Conditions that hold, each at an axle, or at the whole vehicle (None)."""

AXLES: tuple[Axle, Axle] = ("front", "rear")


def axle_of(side: Side | None) -> Axle | None:
    """The axle that a side means; left and right are sides of the one axle that a procedure is about."""
    return side if side == "front" or side == "rear" else None


def holds(conditions: Conditions, id: str, side: Side | None) -> bool:
    """Whether a condition holds where a step of that side works."""
    return (id, None) in conditions or (id, axle_of(side)) in conditions


def changed(conditions: Conditions, id: str, axle: Axle | None, on: bool) -> Conditions:
    """The conditions after one came to hold, or ended, at an axle or everywhere."""
    held = {at for at in AXLES if (id, None) in conditions or (id, at) in conditions}
    touched = set(AXLES) if axle is None else {axle}
    held = held | touched if on else held - touched
    others = frozenset(entry for entry in conditions if entry[0] != id)
    return others | ({(id, None)} if held == set(AXLES) else {(id, at) for at in held})
