"""One step of a procedure: what is done, what is asked at it, and what it warns of."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from sparehand.procedures.picture_files import PicturePath
from sparehand.procedures.record import Id, OfAnyFile, Record, Text
from sparehand.procedures.vehicle import VehicleEnd

Hazard = Literal[
    "press",
    "heat",
    "lift",
    "jack",
    "rolling",
    "spring",
    "high-voltage",
    "restraint",
    "fuel",
    "refrigerant",
    "exhaust-gas",
    "moving-parts",
    "hot-parts",
    "dust",
]
"""What a step may do to a person; `check` asks for a warning before it."""


class Inspection(Record):
    """A point to look at; answered good, worn, replace or not inspected. Worn or replace `proposes` an operation.

    One of another procedure is named `PROCEDURE.OPERATION`.
    """

    id: Id
    asks: Text
    proposes: OfAnyFile | None = None


class Measurement(Record):
    """A value to measure, with the limits it must lie within (in `unit`)."""

    id: Id
    asks: Text
    unit: str
    low: float | None = None
    high: float | None = None


class Alert(Record):
    """A caution (damage) or a warning (injury) that stands before the step it guards."""

    id: Id
    text: Text


class SoakTimer(Record):
    """A wait that belongs to a step, started when the step is done."""

    name: Text
    minutes: float = Field(gt=0, le=24 * 60)


class Step(Record):
    """One thing to do, read aloud.

    `spoken` is what it is called in questions. `why` tells what it is for, `where` to find its parts, `compare` what to
    look at on the other side or on a new part; they are read when asked for. `picture` is shown on page and card.
    It `slackens` what stays in its thread, `removes` what comes out, `fits` by hand and `tightens` by stages, with
    `snug_only` by the first stage alone: the others belong to a later step, when the load is on;
    `drains`, `fills` and `uses` name consumables. `hangs` tells in words what hangs or is supported from here on,
    such as "caliper on a hook", until a later step `releases` it in the same words. It `takes_off` and `puts_on`
    components, and `raises` or `lowers` the vehicle or one end of it.
    A step that `counts_tools` is done when somebody says that all of them are back.
    """

    id: Id
    was: tuple[Id, ...] = ()
    say: Text
    spoken: tuple[Text, ...] = ()
    why: Text | None = None
    where: Text | None = None
    compare: Text | None = None
    picture: PicturePath | None = None
    slackens: tuple[Id, ...] = ()
    removes: tuple[Id, ...] = ()
    fits: tuple[Id, ...] = ()
    tightens: tuple[Id, ...] = ()
    renews: tuple[Id, ...] = ()
    drains: tuple[Id, ...] = ()
    fills: tuple[Id, ...] = ()
    hangs: tuple[Text, ...] = ()
    releases: tuple[Text, ...] = ()
    takes_off: tuple[Id, ...] = ()
    puts_on: tuple[Id, ...] = ()
    raises: VehicleEnd | None = None
    lowers: VehicleEnd | None = None
    uses: tuple[Id, ...] = ()
    warnings: tuple[Alert, ...] = ()
    cautions: tuple[Alert, ...] = ()
    inspect: Inspection | None = None
    measure: Measurement | None = None
    makes_mark: Id | None = None
    finds_mark: Id | None = None
    timer: SoakTimer | None = None
    establishes: Id | None = None
    ends: Id | None = None
    snug_only: bool = False
    passes_gate: Id | None = None
    tools: tuple[Id, ...] = ()
    counts_tools: bool = False
    hazards: tuple[Hazard, ...] = ()
