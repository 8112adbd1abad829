"""A job played at the table: commands in, events and answers out, time moved by hand."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import UTC, date, datetime
from functools import cache
from pathlib import Path
from uuid import UUID

from sparehand.ground.clock import HandClock, Moment, start_of_run
from sparehand.ground.places import bundled
from sparehand.job import commands as c, events as e
from sparehand.job.answer import Answer
from sparehand.job.answering.answer_context import AnswerContext
from sparehand.job.answers import answer
from sparehand.job.commands import Command
from sparehand.job.decide import decide
from sparehand.job.decision import Context, Decision, Refusal
from sparehand.job.experience import Experience
from sparehand.job.state import JobState, apply
from sparehand.procedures.load import load_procedure
from sparehand.procedures.model import Procedure, Side
from sparehand.procedures.quantities import TorqueValue
from sparehand.procedures.shop_wrenches import ShopWrench

LONG_WRENCH = ShopWrench(
    name="long one",
    range_low=TorqueValue(value=40, unit="N·m"),
    range_high=TorqueValue(value=200, unit="N·m"),
    calibration_due=date(2027, 1, 31),
    length_mm=450,
)
SHORT_WRENCH = ShopWrench(
    name="short one",
    range_low=TorqueValue(value=5, unit="N·m"),
    range_high=TorqueValue(value=50, unit="N·m"),
    calibration_due=date(2025, 12, 31),
)
EXPERIENCE = Experience(wrenches=(LONG_WRENCH, SHORT_WRENCH))


ARM_JOINT = Path(__file__).with_name("arm_joint.yaml")
"""The rich example of the tests, which is no demonstration: `check` names dangers in it."""


@cache
def demo_procedure(name: str = "arm-joint") -> Procedure:
    """The rich example of the tests, or a demonstration procedure."""
    return load_procedure(procedure_file(name)).procedure


def procedure_file(name: str) -> Path:
    """The file of that procedure: one of these tests', else a demonstration."""
    ours = Path(__file__).with_name(f"{name.replace('-', '_')}.yaml")
    return ours if ours.exists() else bundled("procedures") / f"{name}.yaml"


def opening(
    procedure: Procedure | None = None,
    operations: tuple[str, ...] = ("roll-link",),
    sides: tuple[Side, ...] = ("left",),
) -> e.JobOpened:
    """How a job begins on an invented vehicle: the roll link on the left, unless told otherwise."""
    return e.JobOpened(
        procedure=procedure or demo_procedure(),
        procedure_sha256="0" * 64,
        operations=operations,
        sides=sides,
        technician="Ada Brook",
        vehicle=e.Vehicle(name="invented estate"),
    )


@dataclass
class Table:
    """One job with its history; `do` plays a command a second after the one before."""

    state: JobState
    clock: HandClock
    history: list[e.Recorded] = field(default_factory=list)
    last: Answer = field(default_factory=Answer)
    last_at: Moment | None = None
    decision: Decision | None = None
    experience: Experience = EXPERIENCE

    def do(self, *commands: Command, after_ms: int = 1_000) -> Answer:
        """Play commands in turn and give the last answer."""
        for command in commands:
            self.clock.advance(after_ms)
            now = self.clock.now()
            self.decision = decide(self.state, command, Context(now, self.experience))
            self.record(*self.decision.events)
            context = AnswerContext(now, self.experience, self.last, ("next", "mark done"), last_at=self.last_at)
            given = answer(self.state, self.decision, context)
            self.last, self.last_at = (given, now) if given.lines else (self.last, self.last_at)
        return given

    def work_until(self, step: str) -> None:
        """Work on until a step is reached, answering everything on the way."""
        said: list[Command] = [
            c.Understood(),
            c.MarkIsMade(),
            c.MarkIsFound(),
            c.Renewed(),
            c.Finding("worn"),
            *(c.ConditionHolds(one.id) for one in self.state.plan.procedure.conditions),
        ]
        for _ in range(200):
            if self.state.progress.at.step == step:
                return
            self.do(*said)
            measure = self.state.step.measure
            if measure:
                self.do(c.Reading(f"{measure.high or measure.low or 1}"), c.Confirm())
            self.do(c.MarkDone(), c.CheckPassed(), c.Next())
        raise AssertionError(f"never came to {step}")

    def record(self, *events: e.Event) -> None:
        """Record events of one decision at the present moment."""
        batch = self.state.next_sequence
        for event in events:
            self._record(event, batch)

    def restart(self, away_ms: int) -> None:
        """Cut the power for so long, then start the bench again."""
        self.clock.advance(away_ms)
        moment = self.clock.now()
        run = f"run {len(self.history)}"
        self.clock.moment = moment.model_copy(update={"run": run, "steady_ms": 5})
        self.record(e.BenchStarted())

    def refused(self) -> bool:
        """Whether the last command was refused."""
        return self.decision is not None and isinstance(self.decision.reply, Refusal)

    def _record(self, event: e.Event, batch: int) -> None:
        recorded = e.Recorded(
            id=UUID(int=self.state.next_sequence),
            job=self.state.job,
            sequence=self.state.next_sequence,
            batch=batch,
            at=self.clock.now(),
            bench="bench 1",
            technician="Ada Brook",
            event=event,
        )
        self.history.append(recorded)
        self.state = apply(self.state, recorded)


def open_job(
    procedure: Procedure | None = None,
    operations: tuple[str, ...] = (),
    sides: tuple[Side, ...] = ("right",),
    pictures: dict[str, UUID] | None = None,
) -> Table:
    """A job just opened on an invented vehicle, with the `pictures` of its steps."""
    procedure = procedure or demo_procedure()
    clock = start_of_run(datetime(2026, 3, 2, 8, 0, tzinfo=UTC), "run 0")
    opened = opening(
        procedure,
        operations or tuple(operation.id for operation in procedure.operations),
        tuple(side for side in sides if side in procedure.sides) or procedure.sides[:1],
    ).model_copy(update={"pictures": pictures or {}})
    first = e.Recorded(
        id=UUID(int=0),
        job="a-job",
        sequence=0,
        batch=0,
        at=clock.now(),
        bench="bench 1",
        technician="Ada Brook",
        event=opened,
    )
    return Table(apply(None, first), clock, [first])
