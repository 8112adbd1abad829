"""Fasteners and components in the words of a refusal: "Five wheel bolts, right, are out"."""

from __future__ import annotations

from sparehand.job.fasteners import Fastening
from sparehand.procedures import wording
from sparehand.procedures.labels import plural_of
from sparehand.procedures.model import Fastener, Procedure, Side
from sparehand.procedures.plan import FastenerKey


def pieces(procedure: Procedure, key: FastenerKey, count: int | None = None) -> str:
    """The fastener with its count and side: "five wheel bolts, right,", "the cam bolt, right,"."""
    fastener = procedure.fastener(key.fastener)
    return counted_pieces(fastener, key.side, fastener.quantity if count is None else count)


def counted_pieces(fastener: Fastener, side: Side | None, count: int) -> str:
    """So many pieces of a fastener, with their side."""
    if fastener.quantity == 1:
        return with_side(f"the {fastener.name}", side)
    return with_side(f"{wording.number_spoken(count)} {fastener.name if count == 1 else plural_of(fastener)}", side)


def with_side(name: str, side: Side | None) -> str:
    """A name with its side, ready to be followed by a verb."""
    return f"{name}, {side}," if side else name


def out_sentence(procedure: Procedure, key: FastenerKey, fastening: Fastening) -> str:
    """How many pieces of a fastener are out: "Five wheel bolts, right, are out."."""
    fastener = procedure.fastener(key.fastener)
    count = fastener.quantity - (fastening.pieces_in or 0)
    return sentence(f"{counted_pieces(fastener, key.side, count)} {be(count)} out.")


def be(count: int) -> str:
    """The verb for so many."""
    return "is" if count == 1 else "are"


def them(count: int) -> str:
    """The pronoun for so many."""
    return "it" if count == 1 else "them"


def sentence(words: str) -> str:
    """Words as a sentence begins."""
    return words[:1].upper() + words[1:]
