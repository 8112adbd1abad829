"""A small invented job told event by event, for the tests of everything that is shown."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import UTC, datetime
from uuid import UUID

from sparehand.ground.clock import HandClock, Moment, start_of_run
from sparehand.job import events as e
from sparehand.job.state import JobState, apply
from sparehand.procedures.model import Procedure
from sparehand.procedures.plan import FastenerKey, PhaseKey, StepKey
from sparehand.procedures.quantities import TorqueValue

PROCEDURE = Procedure.model_validate(
    {
        "format": 1,
        "id": "demo-arm",
        "title": "Demo arm",
        "demo": True,
        "vehicle": "Corvane Tessel (invented)",
        "sides": ["left", "right"],
        "source": {"title": "Invented for tests", "edition": "2", "answered_for_by": "Nobody; demonstration data"},
        "operations": [
            {
                "id": "arm",
                "title": "Renew the arm",
                "phases": ["remove", "fit", "lower", "tighten", "finish"],
                "follow_ups": ["alignment"],
            }
        ],
        "phases": [
            {
                "id": "remove",
                "title": "Remove the arm",
                "planned_minutes": 30,
                "sided": True,
                "steps": [
                    {
                        "id": "look",
                        "say": "Lever the arm and watch the joint.",
                        "inspect": {"id": "play", "asks": "How is the joint?"},
                    },
                    {
                        "id": "soak",
                        "say": "Soak the cam bolt with oil.",
                        "timer": {"name": "cam bolt soak", "minutes": 10},
                        "makes_mark": "cam-line",
                    },
                    {
                        "id": "cam-out",
                        "say": "Take the cam bolt out.",
                        "removes": ["cam-bolt"],
                        "warnings": [{"id": "spring", "text": "The spring pushes the arm down with great force."}],
                    },
                ],
            },
            {
                "id": "fit",
                "title": "Fit the arm",
                "planned_minutes": 20,
                "sided": True,
                "steps": [
                    {"id": "arm-in", "say": "Offer up the new arm.", "renews": ["arm"]},
                    {"id": "bolts-in", "say": "Fit three new joint bolts by hand.", "fits": ["joint-bolts"]},
                    {"id": "bolts-tight", "say": "Tighten the joint bolts.", "tightens": ["joint-bolts"]},
                    {
                        "id": "cam-in",
                        "say": "Fit the cam bolt by hand.",
                        "fits": ["cam-bolt"],
                        "finds_mark": "cam-line",
                    },
                ],
            },
            {
                "id": "lower",
                "title": "Lower the vehicle",
                "steps": [{"id": "down", "say": "Lower it onto its wheels.", "establishes": "ride-height"}],
            },
            {
                "id": "tighten",
                "title": "Tighten at ride height",
                "planned_minutes": 6,
                "sided": True,
                "steps": [
                    {"id": "cam-tight", "say": "Tighten the cam bolt.", "tightens": ["cam-bolt"]},
                    {
                        "id": "height",
                        "say": "Measure from hub to arch.",
                        "measure": {"id": "arch", "asks": "What is the height?", "unit": "mm", "low": 372, "high": 392},
                    },
                ],
            },
            {
                "id": "finish",
                "title": "Finish",
                "steps": [{"id": "brake", "say": "Pump the pedal until it is firm.", "passes_gate": "pedal"}],
            },
        ],
        "fasteners": [
            {
                "id": "cam-bolt",
                "name": "cam bolt",
                "thread": "M12x1.5",
                "property_class": "10.9",
                "drive_mm": 18,
                "counter_hold": {"size_mm": 16, "holds": "the cam nut"},
                "tightening": [{"torque": "120 N·m", "tolerance_percent": 10, "condition": "ride-height"}],
                "wrench": "torque-wrench",
            },
            {
                "id": "joint-bolts",
                "name": "joint bolt",
                "plural": "joint bolts",
                "thread": "M10x1.5",
                "drive_mm": 13,
                "quantity": 3,
                "use_once": True,
                "tightening": [
                    {"torque": "35 N·m", "tolerance_percent": 5, "order": "crosswise"},
                    {"angle_degrees": 90},
                ],
                "wrench": "torque-wrench",
            },
        ],
        "parts": [{"id": "arm", "name": "arm", "number": "CV-1", "use_once": False}],
        "tools": [{"id": "torque-wrench", "name": "torque wrench"}],
        "conditions": [{"id": "ride-height", "name": "ride height", "asks": "Does it stand at ride height?"}],
        "marks": [{"id": "cam-line", "text": "paint line across the cam washer"}],
        "gates": [{"id": "pedal", "asks": "Is the pedal firm?"}],
        "follow_ups": [{"id": "alignment", "text": "Check the wheel alignment."}],
    }
)

CAM_BOLT = FastenerKey("cam-bolt", "right")
JOINT_BOLTS = FastenerKey("joint-bolts", "right")
OPENING = e.JobOpened(
    procedure=PROCEDURE,
    procedure_sha256="ab" * 32,
    operations=("arm",),
    sides=("right",),
    technician="Ada Brook",
    vehicle=e.Vehicle(name="invented estate", identification="DEMO 12", odometer=84_210, corrosion="light"),
    complaint="knocks over bumps",
)


def step(phase: str, name: str) -> StepKey:
    """A step on the side that the invented job is done on."""
    sided = PROCEDURE.phase(phase).sided
    return StepKey(PhaseKey(phase, "right" if sided else None), name)


@dataclass
class Bay:
    """The invented job with its clock; `tell` records one decision a minute after the one before."""

    opening: e.JobOpened = OPENING
    clock: HandClock = field(default_factory=lambda: start_of_run(datetime(2026, 3, 2, 8, 0, tzinfo=UTC), "run 0"))
    history: list[e.Recorded] = field(default_factory=list)
    folded: JobState | None = None

    def __post_init__(self) -> None:
        self._record(self.opening, 0)

    @property
    def state(self) -> JobState:
        """The job as it stands."""
        assert self.folded is not None
        return self.folded

    @property
    def now(self) -> Moment:
        """The present moment."""
        return self.clock.now()

    def wait(self, minutes: float) -> Bay:
        """Let time pass."""
        self.clock.advance(round(minutes * 60_000))
        return self

    def tell(self, *events: e.Event, after_minutes: float = 1) -> Bay:
        """Record the events of one decision."""
        self.wait(after_minutes)
        batch = len(self.history)
        for event in events:
            self._record(event, batch)
        return self

    def go(self, phase: str, name: str) -> Bay:
        """Finish the present step and be at another."""
        return self.tell(e.StepReached(step=step(phase, name), finished=self.state.progress.at))

    def _record(self, event: e.Event, batch: int) -> None:
        recorded = e.Recorded(
            id=UUID(int=len(self.history)),
            job="job-7",
            sequence=len(self.history),
            batch=batch,
            at=self.now,
            bench="bench 1",
            technician=self.opening.technician,
            event=event,
        )
        self.history.append(recorded)
        self.folded = apply(self.folded, recorded)


def arm_removed() -> Bay:
    """The arm is out: a finding, a mark, a warning understood, a hold for parts and a seized bolt."""
    bay = Bay()
    bay.tell(e.FindingRecorded(inspection="play", side="right", finding="replace")).go("remove", "soak")
    bay.tell(e.MarkMade(mark="cam-line", side="right")).go("remove", "cam-out")
    bay.tell(e.TimerStarted(name="cam bolt soak", minutes=10))
    bay.tell(e.WarningUnderstood(warning="spring", side="right"))
    bay.tell(e.SnagStarted(snag="seized")).tell(e.SnagEnded(), after_minutes=12.5)
    return bay.tell(e.HoldStarted(reason="parts")).tell(e.HoldEnded(), after_minutes=40)


def joint_bolts_in() -> Bay:
    """The new arm is in and its bolts are to be tightened."""
    bay = arm_removed().go("fit", "arm-in")
    bay.tell(e.PartRenewed(part="arm", side="right")).go("fit", "bolts-in")
    bay.tell(e.PartRenewed(part="joint-bolts", side="right"))
    return bay.go("fit", "bolts-tight")


def cam_bolt_waiting() -> Bay:
    """The cam bolt is in by hand and is looked at before the vehicle stands at ride height."""
    bay = joint_bolts_in()
    torque = e.TighteningConfirmed(fastener=JOINT_BOLTS, stage=0, count=3, method="clicked at setting")
    angle = e.TighteningConfirmed(fastener=JOINT_BOLTS, stage=1, count=3, method="angle turned")
    bay.tell(torque).tell(angle).go("fit", "cam-in")
    bay.tell(e.MarkFound(mark="cam-line", side="right"))
    return bay.go("tighten", "cam-tight")


def all_done() -> Bay:
    """Everything is done and the job is closed."""
    bay = cam_bolt_waiting()
    bay.tell(e.StepReached(step=step("lower", "down"))).tell(e.ConditionChanged(condition="ride-height", holds=True))
    bay.go("tighten", "cam-tight")
    read = e.OutOfLimitsRead(fastener=CAM_BOLT, stage=0, achieved=TorqueValue(value=140, unit="N·m"))
    again = e.TighteningConfirmed(
        fastener=CAM_BOLT,
        stage=0,
        count=1,
        method="instrument read",
        achieved=TorqueValue(value=118, unit="N·m"),
    )
    bay.tell(read).tell(again).go("tighten", "height")
    bay.tell(e.MeasurementRecorded(measurement="arch", side="right", value=381, unit="mm")).go("finish", "brake")
    bay.tell(e.GatePassed(gate="pedal")).tell(e.StepDone(step=step("finish", "brake")))
    return bay.tell(e.JobClosed())
