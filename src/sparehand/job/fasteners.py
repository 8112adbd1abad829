"""What is known of each fastener on the vehicle, and the loose list."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from sparehand.job.events import DepartureKind
from sparehand.procedures.model import Fastener, Procedure
from sparehand.procedures.plan import FastenerKey


@dataclass(frozen=True)
class Fastening:
    """A fastener that was touched on this job: out, or in with `reached` pieces confirmed at each of its stages.

    `departed` says how the procedure was left for it, `settled` that it is tight by other data than the procedure's.
    `pieces_in` counts those that are in where some are and some are out; `tightness_unknown` is in, by somebody's word.
    """

    fitted: bool
    reached: tuple[int, ...]
    angle_unknown: bool = False
    departed: DepartureKind | None = None
    settled: bool = False
    pieces_in: int | None = None
    tightness_unknown: bool = False


@dataclass(frozen=True)
class LooseFastener:
    """An entry of the loose list: which fastener, how many of it are final, and what state the rest is in."""

    key: FastenerKey
    fastener: Fastener
    fastening: Fastening

    @property
    def final_count(self) -> int:
        """How many pieces are at their final tightening."""
        return self.fastening.reached[-1] if self.fastening.reached else 0

    @property
    def pieces(self) -> int:
        """How many pieces are loose; all of them where it is not known."""
        return self.fastener.quantity - self.final_count or self.fastener.quantity

    @property
    def state(self) -> str:
        """In words: out, hand tight, a stage, or what nobody knows."""
        return state_of(self.fastener, self.fastening)


def pieces_of(entries: Iterable[LooseFastener]) -> int:
    """How many pieces of the loose list's entries are loose."""
    return sum(entry.pieces for entry in entries)


def state_of(fastener: Fastener, fastening: Fastening) -> str:
    """The state of a fastener that is not final, in words."""
    if not fastening.fitted:
        return f"{fastening.pieces_in} of {fastener.quantity} in" if fastening.pieces_in else "out"
    if fastening.departed:
        return f"{fastening.departed}, not tight yet"
    if fastening.angle_unknown:
        return "angle unknown"
    return "in, tightening unknown" if fastening.tightness_unknown else _stages_reached(fastener, fastening)


def _stages_reached(fastener: Fastener, fastening: Fastening) -> str:
    stages_done = sum(count >= fastener.quantity for count in fastening.reached)
    if stages_done:
        return f"stage {stages_done} of {len(fastening.reached)} done"
    if any(fastening.reached):
        return f"{max(fastening.reached)} of {fastener.quantity} done"
    return "hand tight"


Fastenings = Mapping[FastenerKey, Fastening]


def removed(fastener: Fastener, before: Fastening | None = None) -> Fastening:
    """The fastener is out."""
    return Fastening(fitted=False, reached=(0,) * len(fastener.tightening), departed=_lasting(before))


def hand_tight(fastener: Fastener, before: Fastening | None = None) -> Fastening:
    """The fastener is in, by hand."""
    return Fastening(fitted=True, reached=(0,) * len(fastener.tightening), departed=_lasting(before))


def partly_in(fastener: Fastener, before: Fastening | None, pieces: int) -> Fastening:
    """So many pieces are in, the others out; all or none is as if nobody had counted."""
    if pieces in (0, fastener.quantity):
        return (hand_tight if pieces else removed)(fastener, before)
    return replace(removed(fastener, before), pieces_in=pieces)


def pieces_in(fastener: Fastener, fastening: Fastening | None) -> int:
    """How many pieces are in; all of a fastener that nobody touched."""
    if fastening is None or fastening.fitted:
        return fastener.quantity
    return fastening.pieces_in or 0


def _lasting(before: Fastening | None) -> DepartureKind | None:
    """The departure that a new beginning does not undo: what was built in differs from the procedure's."""
    lasting = before is not None and before.departed in ("thread insert", "substitute bolt", "stripped thread")
    return before.departed if before and lasting else None


def is_final(fastener: Fastener, fastening: Fastening) -> bool:
    """Whether every piece is confirmed at its last stage; one that needs no tightening is final when it is in."""
    if fastening.settled:
        return True
    if not fastening.fitted or fastening.angle_unknown or fastening.tightness_unknown:
        return False
    return not fastening.reached or fastening.reached[-1] >= fastener.quantity


def present_stage(fastener: Fastener, fastening: Fastening) -> int | None:
    """The first stage (from 0) that some piece has still to reach; None where all are final or tight otherwise."""
    if fastening.settled:
        return None
    for number, count in enumerate(fastening.reached):
        if count < fastener.quantity:
            return number
    return None


def confirmed(fastening: Fastening, stage: int, count: int) -> Fastening:
    """`count` more pieces have reached `stage`."""
    reached = list(fastening.reached)
    reached[stage] += count
    return replace(fastening, fitted=True, reached=tuple(reached), tightness_unknown=False)


def inside_an_angle(fastener: Fastener, fastening: Fastening) -> bool:
    """Whether the next thing to do to the fastener is to turn an angle onto a torque that it already has."""
    stage = present_stage(fastener, fastening)
    return stage is not None and stage > 0 and fastener.tightening[stage].angle_degrees is not None


def interrupted(fastenings: Fastenings, procedure: Procedure) -> dict[FastenerKey, Fastening]:
    """The fastenings after an interruption: nobody can say how far an angle that was under way went."""
    return {
        key: replace(fastening, angle_unknown=True)
        if inside_an_angle(procedure.fastener(key.fastener), fastening)
        else fastening
        for key, fastening in fastenings.items()
    }


def loose_list(procedure: Procedure, fastenings: Fastenings) -> tuple[LooseFastener, ...]:
    """Every fastener that was removed or fitted on this job and is not at its final tightening, in touching order."""
    entries = []
    for key, fastening in fastenings.items():
        fastener = procedure.fastener(key.fastener)
        if not is_final(fastener, fastening):
            entries.append(LooseFastener(key, fastener, fastening))
    return tuple(entries)
