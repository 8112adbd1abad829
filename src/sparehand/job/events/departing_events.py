"""Leaving the procedure for a fastener."""

from __future__ import annotations

from typing import Literal

from sparehand.job.events.words_events import Basis, Decider, DepartureKind, DepartureReason, Fact
from sparehand.procedures.plan import FastenerKey
from sparehand.procedures.quantities import TorqueValue


class DepartureRecorded(Fact):
    """The technician leaves the procedure for a fastener; its torque is withheld from then on."""

    kind: Literal["departure recorded"] = "departure recorded"
    departure: DepartureKind
    fastener: FastenerKey
    reason: str = ""


class DepartureExplained(Fact):
    """Why the procedure was left for a fastener."""

    kind: Literal["departure explained"] = "departure explained"
    fastener: FastenerKey
    reason: DepartureReason


class DepartureDecided(Fact):
    """Who decided that the procedure was left for a fastener."""

    kind: Literal["departure decided"] = "departure decided"
    fastener: FastenerKey
    by: Decider


class TightenedByOtherData(Fact):
    """A fastener for which the procedure was left is tight, by data that are not the procedure's."""

    kind: Literal["tightened by other data"] = "tightened by other data"
    fastener: FastenerKey
    basis: Basis
    achieved: TorqueValue | None = None


DepartingEvent = DepartureRecorded | DepartureExplained | DepartureDecided | TightenedByOtherData
