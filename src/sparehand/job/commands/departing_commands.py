"""Leaving the procedure for a fastener: what was done instead, why, by whose word, and how it ended."""

from __future__ import annotations

from dataclasses import dataclass

from sparehand.job.events import Basis, Decider, DepartureKind, DepartureReason


@dataclass(frozen=True)
class Depart:
    """The present fastener goes another way than the procedure's: its torque is withheld."""

    kind: DepartureKind


@dataclass(frozen=True)
class ExplainDeparture:
    """Why the procedure was left last."""

    reason: DepartureReason


@dataclass(frozen=True)
class DepartureDecidedBy:
    """Who decided to leave the procedure last, where it was not the technician alone."""

    by: Decider


@dataclass(frozen=True)
class TightenedOtherwise:
    """The fastener for which the procedure was left is tight now, by other data than the procedure's."""

    basis: Basis


DepartingCommand = Depart | ExplainDeparture | DepartureDecidedBy | TightenedOtherwise
