"""What a new job is to be: as the command line says, as is asked at the terminal, and as is chosen by voice."""

from __future__ import annotations

import sys
from collections.abc import Mapping
from dataclasses import dataclass
from uuid import UUID

from sparehand.at_work.surroundings import Surroundings
from sparehand.conversation.responder import OpeningResponder
from sparehand.desk.run_options import asked_sides
from sparehand.ground.choices import listed, one_of
from sparehand.ground.near_names import near_name
from sparehand.ground.terminal import new_console
from sparehand.job.events import Corrosion, DistanceUnit, JobOpened, Support, Vehicle
from sparehand.job.job_opening import Opening, opening_answer
from sparehand.log.sqlite import SqliteEventStore
from sparehand.procedures.load import LoadedProcedure
from sparehand.procedures.model import Procedure
from sparehand.procedures.plan import plan_run
from sparehand.settings import Settings
from sparehand.shop.technicians import Technician, read_technicians


@dataclass(frozen=True)
class Choice:
    """What was said on the command line about a new job, in its own words."""

    procedure: str
    operations: str = ""
    sides: str = ""
    technician: str | None = None
    vehicle: str = ""
    odometer: int | None = None
    corrosion: str = "unknown"
    support: str = "unknown"
    others: str = ""


def opening_of(procedure: Procedure, choice: Choice) -> Opening:
    """What the command line chose; a procedure with one operation needs no choosing of it.

    Raises InputError for what the procedure does not have.
    """
    operations = listed(choice.operations)
    sides = asked_sides(choice.sides, procedure)
    if operations or sides:
        plan_run(procedure, operations, sides)
    if not operations and len(procedure.operations) == 1:
        operations = (procedure.operations[0].id,)
    if not sides and len(procedure.sides) == 1:
        sides = procedure.sides
    ready = bool(operations) and bool(sides or not procedure.sides)
    return Opening(procedure, operations, sides, begun=ready)


def chosen_by_voice(opening: Opening, surroundings: Surroundings) -> Opening:
    """The opening once everything is chosen, by voice where the command line did not say."""
    if opening.begun:
        return opening
    talk = OpeningResponder(opening)
    surroundings.bench.say(opening_answer(opening))
    surroundings.bench.run(talk, surroundings.incoming)
    return talk.opening


def crew_of(choice: Choice, settings: Settings, store: SqliteEventStore) -> tuple[Technician, ...]:
    """Who does the job, the one who speaks first. Raises InputError for a name that cannot be said.

    A name that is new to the log and nearly one that is not is asked about, where somebody types.
    """
    given = choice.technician or settings.technician or asked_at_terminal("Technician")
    name = given.partition(":")[0].strip()
    near = near_name(name, store.times.status().names.values())
    if near and asked_at_terminal(f"There are no jobs of {name}. Is {near} meant? y or n").lower().startswith("y"):
        given = near
    return (Technician.read(given or "technician"), *read_technicians(choice.others))


def asked_at_terminal(what: str) -> str:
    """What is typed for it; nothing where nobody types, or answers with the empty line."""
    return new_console().input(f"{what}: ").strip() if sys.stdin.isatty() else ""


def vehicle_of(choice: Choice, unit: DistanceUnit | None) -> Vehicle:
    """The vehicle, whose odometer counts in `unit`. Raises InputError for a corrosion or a support that is none."""
    name = choice.vehicle or asked_at_terminal("Vehicle")
    corrosion: Corrosion = one_of(choice.corrosion, Corrosion, "the corrosion")
    support: Support = one_of(choice.support, Support, "the support")
    return Vehicle(name=name, odometer=choice.odometer, odometer_unit=unit, corrosion=corrosion, support=support)


def opened(
    loaded: LoadedProcedure,
    chosen: Opening,
    technician: str,
    vehicle: Vehicle,
    settings: Settings,
    pictures: Mapping[str, UUID],
) -> JobOpened:
    """The event that begins the job; `pictures` are those of its steps."""
    return JobOpened(
        procedure=loaded.procedure,
        procedure_sha256=loaded.sha256,
        operations=chosen.operations,
        sides=chosen.sides,
        technician=technician,
        vehicle=vehicle,
        torque_unit=settings.torque_unit,
        pictures=dict(pictures),
    )
