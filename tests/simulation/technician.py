"""A technician who forgets, jumps about, claims what is not so and is interrupted, at work on a simulated vehicle.

What they say of the step in hand is true unless they claim wrongly; what the program then believes is held against the
vehicle. A lie that a person tells by name, against what the
program has just said, is the only one that may be believed.
"""

from __future__ import annotations

import random
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from job.table import EXPERIENCE, Table, open_job
from simulation.vehicle import Side, Vehicle, joined_raw, raw_procedure
from sparehand.ground.places import bundled
from sparehand.job import commands as c, events as e
from sparehand.job.deciding.decide_claims import told
from sparehand.job.experience import Offer
from sparehand.job.obligations import present_tightening
from sparehand.job.vehicle.drive import begun, drive_blockers
from sparehand.job.vehicle.gates import open_gates
from sparehand.procedures.load import load_procedure
from sparehand.procedures.phase_key import joined_id

HERE = Path(__file__).parents[1] / "job"
AXLE = HERE / "axle_job.yaml"
_FILES = (AXLE, HERE / "arm_job.yaml", *sorted(bundled("procedures").glob("*.yaml")))
WORK: dict[str, tuple[Path, Path | None]] = {
    **{file.stem: (file, None) for file in _FILES},
    "axle_job with hub_boot": (AXLE, HERE / "hub_boot.yaml"),
}
"""What is worked by: a procedure, and another that may join it."""

CLAIMS = (
    e.StepDone,
    e.StepReached,
    e.TighteningConfirmed,
    e.ConditionChanged,
    e.GatePassed,
    e.MarkMade,
    e.MarkFound,
    e.PiecesCounted,
)


@dataclass
class Outcome:
    """What became of the claims of one job. `believed` names each wrong claim, or wrong word of safety, that passed."""

    said: int = 0
    wrong: int = 0
    caught: int = 0
    lies: int = 0
    believed: list[str] = field(default_factory=list)
    words: list[int] = field(default_factory=list)
    """How many words each answer to a wrong claim took."""


class Technician:
    """One person on one job; the same seed does the same."""

    def __init__(self, file: Path, other: Path | None, seed: int) -> None:
        """`other` is a procedure that may join the job; what both call alike is one on the vehicle."""
        self._random = random.Random(seed)
        procedure, raw = load_procedure(file).procedure, raw_procedure(file)
        sides = procedure.sides
        self.table: Table = open_job(procedure, sides=tuple(self._random.sample(sides, len(sides))) or ())
        if other is not None:
            joining = load_procedure(other).procedure
            raw = joined_raw(raw, raw_procedure(other), ("wheel", "wheel-bolts", "ride-height"))
            self.table.experience = replace(EXPERIENCE, offers=(Offer(joining, ""),))
        self.vehicle = Vehicle(raw)
        self.outcome = Outcome()
        self._raw_steps: dict[tuple[str, str], Mapping[str, Any]] = {
            (phase["id"], step["id"]): step for phase in raw["phases"] for step in phase["steps"]
        }
        self._ways = {phase["id"]: [way["id"] for way in phase.get("ways", ())] for phase in raw["phases"]}

    def work(self, turns: int) -> Outcome:
        """So many turns of work, then an attempt to close."""
        for _ in range(turns):
            self._turn()
            self._judge()
        self._say(c.Close())
        self._judge()
        return self.outcome

    def _turn(self) -> None:
        if self.table.state.progress.question is not None:
            self._answer()
            return
        acts = (self._honest, self._claim_wrongly, self._jump, self._interrupt, self._tell, self._find)
        (act,) = self._random.choices(acts, (70, 12, 8, 5, 5, 3))
        act()

    def _answer(self) -> None:
        """A yes or a no. What is one on the vehicle is told truly, and so is an angle: nothing was turned by half."""
        asked = self.table.state.progress.question
        yes = asked is not None and asked.question.kind != "angle begun" and self._random.random() < 0.7
        yes = yes or (asked is not None and asked.question.kind == "same things")
        self._say(c.Confirm() if yes else c.Refuse())

    @property
    def _step(self) -> Mapping[str, Any]:
        at = self.table.state.progress.at
        return self._raw_steps[at.at.phase, at.step]

    @property
    def _side(self) -> Side:
        return self.table.state.progress.at.at.side

    def _honest(self) -> None:
        """Do the step in hand, as far as hands can, and say so."""
        step = self._step
        self._say(c.Understood())
        self._marks(step)
        ways = self._ways.get(self.table.state.progress.at.at.phase)
        if ways:
            self._say(c.ChooseWay(self._random.choice(ways)))
        for command in (c.Renewed(), c.Finding(self._random.choice(("good", "worn", "replace")))):
            self._say(command)
        if "measure" in step:
            value = step["measure"].get("high", step["measure"].get("low", 1))
            self._say(c.Reading(f"{value:g}"), c.Confirm())
        self._tighten()
        condition = step.get("establishes")
        if condition and self.vehicle.can_establish(condition) and self._accepted(c.ConditionHolds(condition)):
            self.vehicle.conditions.add(condition)
        if self.vehicle.can_do(step, self._side) and self.table.state.progress.question is None:
            self._finish(step)

    def _finish(self, step: Mapping[str, Any]) -> None:
        """Do it with the hands and move on; what the program does not take is undone again."""
        before, at = self.vehicle.copy(), self.table.state.progress.at
        if at in self.table.state.progress.done:
            self._say(c.Next())
            return
        self.vehicle.do(step, self._side)
        gate = step.get("passes_gate")
        if gate and not any(self.vehicle.gate(gate)):
            self._say(c.CheckPassed())
        if at not in self.table.state.progress.done:
            self._say(self._random.choice((c.Next(), c.MarkDone())))
        if at not in self.table.state.progress.done:
            self.vehicle.restore(before)

    def _marks(self, step: Mapping[str, Any]) -> None:
        mark, side = step.get("makes_mark"), self._side
        if mark and self._accepted(c.MarkIsMade()):
            self.vehicle.made.add((mark, side))
        found = step.get("finds_mark")
        if found and {(found, side), (found, None)} & self.vehicle.made:
            self._say(c.MarkIsFound())

    def _tighten(self) -> None:
        for _ in range(40):
            present = present_tightening(self.table.state)
            if present is None or self.table.state.progress.question is not None:
                return
            id, side, stage = present.key.fastener, present.key.side, present.stage
            if present.angle_unknown or not self.vehicle.can_tighten(id, side, stage):
                if self._accepted(c.StartTightening(), c.Confirm()):
                    self.vehicle.pieces[id, side] = [
                        0 if p is not None else None for p in self.vehicle.state_of(id, side)
                    ]
                return
            count = self._random.randint(1, present.remaining) if self._random.random() < 0.3 else present.remaining
            before = self.vehicle.copy()
            self.vehicle.tighten(id, side, stage, count)
            if not self._accepted(c.MarkDone(count) if count < present.remaining else c.MarkDone()):
                self.vehicle.restore(before)
                return

    def _claim_wrongly(self) -> None:
        """Say that the step in hand is done, true, marked or checked, where it cannot be."""
        step, side = self._step, self._side
        present = present_tightening(self.table.state)
        wrong: list[c.Command] = []
        if not self.vehicle.can_do(step, side):
            wrong += [c.MarkDone(), c.Next()]
        elif present and not self.vehicle.can_tighten(present.key.fastener, present.key.side, present.stage):
            wrong.append(c.MarkDone())
        after = self.vehicle.after_its_own(step, side)
        if step.get("establishes") and not after.can_establish(step["establishes"]):
            wrong.append(c.ConditionHolds(step["establishes"]))
        if step.get("passes_gate") and any(after.gate(step["passes_gate"])):
            wrong.append(c.CheckPassed())
        if step.get("finds_mark") and not {(step["finds_mark"], side), (step["finds_mark"], None)} & self.vehicle.made:
            wrong.append(c.MarkIsFound())
        if not wrong:
            return
        self._say(c.Understood())
        command = self._random.choice(wrong)
        self.outcome.wrong += 1
        taken = self._took_a_claim(command)
        if taken and not self.outcome.lies:
            self.outcome.believed.append(f"{command} at {self.table.state.progress.at}: {taken}")
        self.outcome.caught += not taken
        self.outcome.words.append(len(self.table.last.spoken.split()))

    def _jump(self) -> None:
        state = self.table.state
        phase = self._random.choice(state.plan.phases).key.phase
        jumps = (c.GoTo(phase), c.NextPhase(), c.SkipStep(), c.OtherSide(), c.GoBack(), c.GoToSkipped())
        self._say(self._random.choice(jumps))

    def _find(self) -> None:
        """Find a fault somewhere, or want more work; somebody allows it or does not."""
        state = self.table.state
        procedure, offers = state.plan.procedure, self.table.experience.offers
        things = [*(one.id for one in procedure.parts), *(one.id for one in procedure.fasteners)]
        works = [one.id for one in procedure.operations]
        works += [joined_id(each.procedure.id, one.id) for each in offers for one in each.procedure.operations]
        urgency, side = self._random.choice(("now", "soon", "watch")), self._random.choice((*state.plan.sides, None))
        found: tuple[c.Command, ...] = (
            c.FoundFault("worn", self._random.choice(things), urgency, side),  # type: ignore[arg-type]  # one of its words
            c.AddOperation(self._random.choice(works)),
        )
        self._say(self._random.choice(found))
        self._say(c.Approve("customer", "by phone") if self._random.random() < 0.8 else c.Decline("customer"))

    def _interrupt(self) -> None:
        """A hold, a power cut, or the vehicle lifted again."""
        how = self._random.randrange(3)
        if how == 0:
            self._say(c.Hold("phone"))
            while self.table.state.progress.question is not None:
                self._answer()
            self._say(c.GoOn())
        elif how == 1:
            self.table.restart(60_000)
            self._say(c.WasHold())
        elif self.vehicle.conditions and self._accepted(c.Lifted()):
            self.vehicle.raise_again()

    def _tell(self) -> None:
        """Say by name that something is in or on: mostly after doing it unsaid, now and then without."""
        progress = self.table.state.progress
        out = [key for key, one in progress.fastenings.items() if not one.fitted and key.side in (self._side, None)]
        off = [thing for thing in progress.off if thing[1] in (self._side, None)]
        commands: list[c.Command] = [
            *(c.AlreadyFitted(key.fastener) for key in out),
            *(c.AlreadyOn(id) for id, _ in off),
        ]
        if commands:
            self._tell_by_name(self._random.choice(commands), lie=self._random.random() < 0.2)

    def _tell_by_name(self, command: c.Command, *, lie: bool) -> None:
        """Say it, and confirm it as it is read back: by name, number and side."""
        self._say(command)
        asked = self.table.state.progress.question
        if asked is None or asked.question.kind != "already so":
            return
        named = [(one.what, one.about, one.side) for one in told(self.table.state, asked.question)]
        if not lie:
            self.vehicle.put_in(named)
        false = not all(self.vehicle.is_there(*one) for one in named)
        before = len(self.table.state.progress.told)
        self._say(c.Confirm())
        self.outcome.lies += false and len(self.table.state.progress.told) > before

    def _judge(self) -> None:
        """Hold against the vehicle what the program says of it now."""
        if self.outcome.lies:
            return
        state = self.table.state
        last = self.table.do(c.WhatIsLoose(), after_ms=10).shown
        if last == "Nothing is loose.":
            self.outcome.believed += [f"nothing is loose, but {fact}" for fact in self.vehicle.loose()]
        if begun(state) and not drive_blockers(state):
            self.outcome.believed += [f"no drive blocker, but {fact}" for fact in self.vehicle.whole()]
        for gate in state.progress.gates:
            if gate not in open_gates(state):
                self.outcome.believed += [f"gate {gate}, but {fact}" for fact in self.vehicle.gate(gate)]

    def _say(self, *commands: c.Command) -> None:
        for command in commands:
            self.table.do(command)
            self.outcome.said += 1

    def _accepted(self, *commands: c.Command) -> bool:
        self._say(*commands)
        return not self.table.refused()

    def _took_a_claim(self, command: c.Command) -> str:
        """What a command recorded as claimed; moving on without doing the step is no claim of it."""
        self._say(command)
        decision = self.table.decision
        events = decision.events if decision is not None else ()
        return ", ".join(type(event).__name__ for event in _claims(events))


def _claims(events: tuple[e.Event, ...]) -> Iterator[e.Event]:
    for event in events:
        moved_on = isinstance(event, e.StepReached) and event.finished is None
        if isinstance(event, CLAIMS) and not moved_on:
            yield event
