"""The rows of a job card, as words and values ready to be set; a thing on a side is named with its side."""

from __future__ import annotations

from dataclasses import dataclass

from sparehand.screens.card_open import OpenOnSide


@dataclass(frozen=True)
class OperationRow:
    """An operation that was ordered, how far it came, and who pays for it."""

    title: str
    outcome: str
    payer: str


@dataclass(frozen=True)
class LineRow:
    """A line of work beside the procedure: how long, what was said of it, who pays."""

    number: int
    work: str
    time: str
    said: str
    payer: str


@dataclass(frozen=True)
class PartRow:
    """A part that the job calls for."""

    name: str
    number: str
    quantity: int
    use_once: bool
    outcome: str


@dataclass(frozen=True)
class StageRow:
    """One stage of a tightening: its target, and what was achieved by which method."""

    target: str
    achieved: tuple[str, ...]


@dataclass(frozen=True)
class TighteningRow:
    """A fastener with its stages, and its state now."""

    name: str
    thread: str
    wrench: str
    stages: tuple[StageRow, ...]
    status: str


@dataclass(frozen=True)
class AnswerRow:
    """Something asked, such as an inspection point, and its answer."""

    asks: str
    answer: str


@dataclass(frozen=True)
class MeasurementRow:
    """A measured value against its limits."""

    asks: str
    value: str
    limits: str
    verdict: str


@dataclass(frozen=True)
class WrenchRow:
    """A torque wrench that was used, as the shop's list described it."""

    name: str
    range: str
    calibration: str
    tolerance: str


@dataclass(frozen=True)
class DepartureRow:
    """Where the technician left the procedure, and who decided it when."""

    what: str
    fastener: str
    reason: str
    decided_by: str
    decided_at: str
    ended: str


@dataclass(frozen=True)
class ExtraWorkRow:
    """A decision about an operation that came up, or fell away, during the job."""

    operation: str
    decision: str
    written_by: str
    written_at: str


@dataclass(frozen=True)
class NoteRow:
    """A memo or a lesson: what its recording is called, how long it is, and its words where there are any."""

    kind: str
    place: str
    name: str
    length: str
    words: str
    kept_by: str
    kept_at: str


@dataclass(frozen=True)
class PictureRow:
    """A picture as the address of its own bytes (`data:`), empty where it is gone, and what is below it."""

    source: str
    caption: str


@dataclass(frozen=True)
class GateRow:
    """A check before the vehicle moves under its own power."""

    asks: str
    outcome: str


@dataclass(frozen=True)
class CardContent:
    """Everything on the card but its head and the hours."""

    operations: tuple[OperationRow, ...]
    extra_work: tuple[ExtraWorkRow, ...]
    lines: tuple[LineRow, ...]
    parts: tuple[PartRow, ...]
    tightenings: tuple[TighteningRow, ...]
    findings: tuple[AnswerRow, ...]
    measurements: tuple[MeasurementRow, ...]
    marks: tuple[AnswerRow, ...]
    without_step: tuple[AnswerRow, ...]
    wrenches: tuple[WrenchRow, ...]
    departures: tuple[DepartureRow, ...]
    notes: tuple[NoteRow, ...]
    pictures: tuple[PictureRow, ...]
    gates: tuple[GateRow, ...]
    left_open: tuple[OpenOnSide, ...]
    plan: str
    left_because: str
    follow_ups: tuple[str, ...]
    safe: bool
