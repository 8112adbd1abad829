"""The procedure and the sides that a command names."""

from __future__ import annotations

from pathlib import Path

from sparehand.ground.choices import listed, one_of
from sparehand.ground.errors import InputError
from sparehand.log.sqlite import SqliteEventStore
from sparehand.procedures.library import find_procedure
from sparehand.procedures.model import Procedure, Side
from sparehand.shop.shop_belief import has_times

BOTH = "both"


def asked_procedure(name: str, store: SqliteEventStore, folder: Path) -> Procedure | None:
    """The procedure asked for, or None where only times know it, imported or fetched."""
    try:
        return find_procedure(name, folder).procedure
    except InputError:
        if has_times(store, name, folder):
            return None
        raise


def asked_sides(given: str, procedure: Procedure | None = None) -> tuple[Side, ...]:
    """The sides of an option; `both` are those of the procedure. Raises InputError for one that is none."""
    if given.strip() == BOTH:
        return procedure.sides if procedure and procedure.sides else ("left", "right")
    return tuple(one_of(side, Side, "the side") for side in listed(given))
