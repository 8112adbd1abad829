"""Questions by name, asked anywhere: each answer is that of the file or of the log, and none changes anything.

What is expected is read from the file's own text, not from the model that the answers are made of.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from random import Random
from typing import Any, cast

import pytest

from job.table import Table, open_job
from sparehand.ground.places import bundled
from sparehand.job import commands as c, events as e
from sparehand.job.answering import answer_asking
from sparehand.job.commands import Command
from sparehand.job.state import fold
from sparehand.log.timesheet import timesheet
from sparehand.procedures.load import load_procedure
from sparehand.procedures.yaml_text import read_yaml

FILES = sorted(bundled("procedures").glob("*.yaml"))
STATES, QUESTIONS = 20, 40
NEWTON_METRES = {"N·m": 1.0, "lbf·ft": 1.355818, "lbf·in": 0.1129848, "kgf·m": 9.80665}
"""How many newton metres each unit is: NIST SP 811:2008, appendix B.8."""
ON_THREAD = {"dry": "", "oiled": "thread oiled", "locker": "locker on the thread"}
MOST_ROUNDING = 0.005
"""The most that rounding may change a converted torque; a bound of the program, held here from outside."""
ACTIONS: list[Command] = [
    c.Next(), c.MarkDone(), c.Understood(), c.Renewed(), c.MarkIsMade(), c.MarkIsFound(), c.Finding("worn"), c.Next(),
    c.Confirm(), c.Refuse(), c.Reading("90"), c.CheckPassed(), c.Hold("phone"), c.GoOn(), c.Snag("seized"),
    c.SnagOver(), c.SkipStep(), c.GoBack(), c.NextPhase(), c.Undo(), c.Close(), c.Depart("cannot tighten"), c.Lifted(),
]  # fmt: skip


@dataclass(frozen=True)
class Asked:
    """A question, and whether what was shown is right in the state it was asked in."""

    command: Command
    right: Callable[[str, Table], bool]


def questions(file: dict[str, Any]) -> list[Asked]:
    """Every question by name that a file allows."""
    return [
        *(asked for fastener in file["fasteners"] for asked in about_fastener(fastener)),
        *(Asked(c.PartOf(part["id"]), tells_part(part)) for part in file.get("parts", [])),
        *(asked for phase in file["phases"] for asked in about_phase(phase, file)),
        Asked(c.TightenedHere(), tells_what_was_tightened),
        Asked(c.LeftOnThisSide(), tells_what_is_left),
    ]


def about_fastener(fastener: dict[str, Any]) -> Iterator[Asked]:
    stages, hold = fastener.get("tightening", []), fastener.get("counter_hold")
    for unit in NEWTON_METRES:
        yield Asked(c.TorqueOf(fastener["id"], unit), tells_torque(fastener, stages, unit))  # type: ignore[arg-type]
    size = f"{fastener['drive_mm']:g} mm" if "drive_mm" in fastener else str(fastener.get("drive", ""))
    held = f"{hold['size_mm']:g} mm" if hold else "nothing has to be held"
    yield Asked(c.SizeOf(fastener["id"]), lambda shown, _: size in shown)
    yield Asked(c.HeldBy(fastener["id"]), lambda shown, _: held in shown)


def tells_torque(fastener: dict[str, Any], stages: list[dict[str, Any]], unit: str) -> Callable[[str, Table], bool]:
    def right(shown: str, table: Table) -> bool:
        if "withheld" in shown:
            return departed(fastener["id"], table)
        told = [float(number) for number in re.findall(rf"([\d.]+) {unit}", shown)]
        turns = [f"{stage['angle_degrees']:g} °" for stage in stages if "torque" not in stage]
        torques = [str(stage["torque"]).split() for stage in stages if "torque" in stage]
        exact = [float(value) * NEWTON_METRES[of] / NEWTON_METRES[unit] for value, of in torques]
        near = len(told) == len(exact) and all(
            abs(a / b - 1) <= MOST_ROUNDING for a, b in zip(told, exact, strict=True)
        )
        marked = ("converted" in shown) == any(of != unit for _, of in torques)
        on_thread = ON_THREAD[fastener.get("thread_state", "dry")] in shown or not stages
        return (
            near
            and marked
            and on_thread
            and all(turn in shown for turn in turns)
            and (bool(stages) or "no torque" in shown)
        )

    return right


def departed(id: str, table: Table) -> bool:
    """Whether the log says that the procedure was left for a fastener; the file's torque is said no more then."""
    left = (one.event for one in table.history if isinstance(one.event, e.DepartureRecorded))
    return any(event.fastener.fastener == id for event in left)


def tells_part(part: dict[str, Any]) -> Callable[[str, Table], bool]:
    def right(shown: str, table: Table) -> bool:
        sides = max(1, len(table.state.plan.sides)) if part.get("per_side") else 1
        return shown.startswith(f"{part.get('quantity', 1) * sides} ") and part.get("number", "no number") in shown

    return right


def about_phase(phase: dict[str, Any], file: dict[str, Any]) -> Iterator[Asked]:
    names = {tool["id"]: tool["name"] for tool in file.get("tools", [])}
    used = [names[id] for step in phase["steps"] for id in step.get("tools", [])]

    def tools(shown: str, table: Table) -> bool:
        return all(name in shown.lower() for name in used) if in_job(table) else "No tool is listed" in shown

    def time(shown: str, table: Table) -> bool:
        if not in_job(table):
            return "not part of this job" in shown
        rows = timesheet(fold(table.history), table.clock.now()).phases
        worked = sum(row.work_seconds for row in rows if row.phase == phase["id"])
        return worked >= 60 or sum(map(int, re.findall(r"(\d+) s\b", shown))) in (int(worked), int(worked) - 1)

    def in_job(table: Table) -> bool:
        return any(one.key.phase == phase["id"] for one in table.state.plan.phases)

    yield Asked(c.WhichTools(phase["id"]), tools)
    yield Asked(c.PhaseTime(phase["id"]), time)


def tells_what_was_tightened(shown: str, table: Table) -> bool:
    """Nothing is told to be tightened that no entry of the log confirms."""
    confirmed = {one.event.fastener.fastener for one in table.history if isinstance(one.event, e.TighteningConfirmed)}
    here = {id for step in table.state.phase.phase.steps for id in step.tightens}
    return bool(confirmed & here) or "Nothing is tightened here yet." in shown


def tells_what_is_left(shown: str, table: Table) -> bool:
    state = fold(table.history)
    side = state.side
    keys = [key for key in state.plan.steps if side is None or key.at.side == side]
    left = sum(key not in state.progress.done for key in keys)
    return shown.startswith(f"{left} step") if left else "Nothing is left" in shown


def somewhere(file: Path, rng: Random) -> Table:
    """A job after commands drawn at random; a question or a hold may stand."""
    procedure = load_procedure(file).procedure
    table = open_job(procedure, sides=procedure.sides[:2] or ("right",))
    for _ in range(rng.randrange(80)):
        table.do(rng.choice(ACTIONS))
    return table


@pytest.mark.parametrize("file", FILES, ids=lambda file: file.stem)
def test_forty_questions_in_twenty_states_are_answered_by_file_and_log(file: Path) -> None:
    rng = Random(file.stem)
    every = questions(cast(dict[str, Any], read_yaml(file.read_text(encoding="utf-8")).data))
    assert len(every) >= QUESTIONS
    for _ in range(STATES):
        table = somewhere(file, rng)
        for asked in rng.sample(every, QUESTIONS):
            before, state = len(table.history), table.state
            shown = table.do(asked.command).shown
            assert not table.refused()
            assert (len(table.history), table.state) == (before, state), "a question changes nothing"
            again = " ".join(line.shown for line in answer_asking.question(state))
            assert shown.endswith(again), "the open question is asked again"
            assert asked.right(shown.removesuffix(again), table), (asked.command, shown)
