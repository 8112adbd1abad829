"""Flat-rate hours: whole tenths of an hour, as exact decimals. Pure."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal

TENTH = Decimal("0.1")


def tenths(hours: float) -> Decimal:
    """Hours that are a whole number of tenths, as an exact decimal."""
    return Decimal(round(hours * 10)) * TENTH


def added_tenths(totals: Sequence[float]) -> tuple[Decimal, ...]:
    """What each total in tenths adds to the largest before it, so that the parts add up to the last."""
    added, most = [], Decimal(0)
    for total in totals:
        reached = max(most, tenths(total))
        added.append(reached - most)
        most = reached
    return tuple(added)
