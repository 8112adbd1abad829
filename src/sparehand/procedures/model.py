"""What a procedure file says, as types. Loading lives in `load`, judging in `check`, choosing in `plan`."""

from __future__ import annotations

from typing import Literal, TypeVar

from pydantic import Field, model_validator

from sparehand.procedures.quantities import Torque
from sparehand.procedures.record import Id, Record, Text
from sparehand.procedures.threads import WRITTEN
from sparehand.procedures.vehicle import Component, Condition, Gate, Stance
from sparehand.procedures.ways import Way
from sparehand.procedures.work_step import (
    Alert as Alert,
    Hazard as Hazard,
    Inspection as Inspection,
    Measurement as Measurement,
    SoakTimer as SoakTimer,
    Step as Step,
)

Side = Literal["left", "right", "front", "rear"]
Axle = Literal["front", "rear"]
Head = Literal["plain hex", "flange", "socket", "other"]
ThreadState = Literal["dry", "oiled", "locker"]
FindingAnswer = Literal["good", "worn", "replace", "not inspected"]


class Source(Record):
    """Where the values come from, and who answers for them."""

    title: Text
    edition: Text
    page: str | None = None
    answered_for_by: Text


class CounterHold(Record):
    """The tool that holds the other side of a fastener while it turns."""

    size_mm: float = Field(gt=0)
    holds: Text


class Stage(Record):
    """One stage of a tightening: a torque or an angle, never both.

    It may wait for a `condition`, or for the vehicle to be raised or lowered.
    """

    torque: Torque | None = None
    angle_degrees: float | None = Field(default=None, gt=0, le=720)
    tolerance_percent: float | None = Field(default=None, gt=0, le=50)
    order: str | None = None
    condition: Id | None = None
    vehicle: Stance | None = None

    @model_validator(mode="after")
    def _one_of_two(self) -> Stage:
        if (self.torque is None) == (self.angle_degrees is None):
            raise ValueError("a stage is a torque or an angle: give exactly one of `torque` and `angle_degrees`")
        return self


class Fastener(Record):
    """A bolt, nut or clip with all that a technician asks about it. `quantity` counts those of one side.

    `spoken` says what it is called aloud, where that is not its name. `low_torque` says why its torque is far
    below what its thread bears, such as "clamps plastic". `unconfirmed` names the fields that a person has still to
    confirm; until then they are not to be relied on.
    """

    id: Id
    name: Text
    plural: Text | None = None
    spoken: tuple[Text, ...] = ()
    thread: str | None = Field(default=None, pattern=WRITTEN)
    property_class: str | None = None
    head: Head = "plain hex"
    drive_mm: float | None = Field(default=None, gt=0)
    drive: str | None = None
    counter_hold: CounterHold | None = None
    quantity: int = Field(default=1, ge=1, le=99)
    use_once: bool = False
    reusable: bool = False
    left_hand: bool = False
    thread_state: ThreadState = "dry"
    bonded_rubber: bool = False
    tightening: tuple[Stage, ...] = ()
    low_torque: Text | None = None
    wrench: Id | None = None
    unconfirmed: tuple[Text, ...] = ()


class Item(Record):
    """A part or a consumable: what must be there before starting.

    `operations` limits it to those operations; otherwise it is needed where a step of the run uses it.
    """

    id: Id
    name: Text
    plural: Text | None = None
    spoken: tuple[Text, ...] = ()
    number: str | None = None
    quantity: int = Field(default=1, ge=1)
    per_side: bool = False
    use_once: bool = False
    operations: tuple[Id, ...] = ()


class Tool(Record):
    """A tool, with its size or its range where it has one; a `borrowed` one is answered for as back before the end."""

    id: Id
    name: Text
    size: str | None = None
    borrowed: bool = False
    range_low: Torque | None = None
    range_high: Torque | None = None


class FollowUp(Record):
    """What the job brings after it: alignment, a road test, a re-check after a distance.

    With `if_sides` only a run that has one of those sides does.
    """

    id: Id
    text: Text
    if_sides: tuple[Side, ...] = ()


class Mark(Record):
    """A mark made before dismantling and found again at refitting."""

    id: Id
    text: Text


class Phase(Record):
    """A stretch of the job that is timed as one. A sided phase repeats for each side chosen, or for `only_sides`.

    With `if_sides` it belongs only to a run that has one of those sides. It comes `after` the phases of those ids.
    Where it offers `ways`, one of them is chosen when it is reached.
    """

    id: Id
    was: tuple[Id, ...] = ()
    title: Text
    spoken: tuple[Text, ...] = ()
    planned_minutes: float | None = Field(default=None, gt=0, le=24 * 60)
    unconfirmed: tuple[Text, ...] = ()
    sided: bool = False
    only_sides: tuple[Side, ...] = ()
    if_sides: tuple[Side, ...] = ()
    after: tuple[Id, ...] = ()
    ways: tuple[Way, ...] = ()
    steps: tuple[Step, ...] = Field(min_length=1)


class Operation(Record):
    """What a customer is quoted for. `phases` names the phases it needs; those it shares are done once."""

    id: Id
    was: tuple[Id, ...] = ()
    title: Text
    spoken: tuple[Text, ...] = ()
    phases: tuple[Id, ...] = Field(min_length=1)
    follow_ups: tuple[Id, ...] = ()


class Procedure(Record):
    """A family of related operations on one assembly, its phases in the order in which they are done.

    `axle` is the end at which its left and right are. Format 2 adds to format 1 what `format_fields` lists. A program
    that knows the fields up to a lower `level` sets aside those that it does not know; a file that needs no such field
    is of level 1.
    """

    format: Literal[1, 2]
    level: int = Field(default=1, ge=1, le=1000)
    id: Id
    title: Text
    demo: bool = False
    released: bool = True
    vehicle: Text
    sides: tuple[Side, ...] = ()
    axle: Axle | None = None
    source: Source
    operations: tuple[Operation, ...] = Field(min_length=1)
    phases: tuple[Phase, ...] = Field(min_length=1)
    fasteners: tuple[Fastener, ...] = ()
    parts: tuple[Item, ...] = ()
    consumables: tuple[Item, ...] = ()
    tools: tuple[Tool, ...] = ()
    components: tuple[Component, ...] = ()
    conditions: tuple[Condition, ...] = ()
    marks: tuple[Mark, ...] = ()
    gates: tuple[Gate, ...] = ()
    follow_ups: tuple[FollowUp, ...] = ()

    def fastener(self, id: str) -> Fastener:
        """The fastener of that id. Raises KeyError where there is none."""
        return _find(self.fasteners, id)

    def part(self, id: str) -> Item:
        """The part of that id. Raises KeyError where there is none."""
        return _find(self.parts, id)

    def phase(self, id: str) -> Phase:
        """The phase of that id. Raises KeyError where there is none."""
        return _find(self.phases, id)

    def operation(self, id: str) -> Operation:
        """The operation of that id. Raises KeyError where there is none."""
        return _find(self.operations, id)

    def condition(self, id: str) -> Condition:
        """The condition of that id. Raises KeyError where there is none."""
        return _find(self.conditions, id)

    @property
    def holding_on_wheels(self) -> frozenset[str]:
        """The ids of the conditions that hold on the wheels only."""
        return frozenset(one.id for one in self.conditions if one.ends_when_raised)

    def gate(self, id: str) -> Gate:
        """The gate of that id. Raises KeyError where there is none."""
        return _find(self.gates, id)

    def component(self, id: str) -> Component:
        """The component of that id. Raises KeyError where there is none."""
        return _find(self.components, id)

    def mark(self, id: str) -> Mark:
        """The mark of that id. Raises KeyError where there is none."""
        return _find(self.marks, id)


Named = TypeVar("Named", Fastener, Item, Phase, Operation, Condition, Component, Gate, Mark)


def _find(items: tuple[Named, ...], id: str) -> Named:
    for item in items:
        if item.id == id:
            return item
    raise KeyError(id)
