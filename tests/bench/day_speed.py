"""What a busy day costs: 40 jobs, 8 technicians and 10 bays, from the plan file to the forecast.

From the repository root: `python tests/bench/day_speed.py`. The plan is invented.
"""

from __future__ import annotations

import argparse
import tempfile
import time
from datetime import UTC, datetime, timedelta
from pathlib import Path

import numpy as np

from sparehand.desk.day_planning import day_of
from sparehand.ground.clock import LiveClock
from sparehand.procedures.library import list_procedures

MORNING = datetime(2026, 11, 30, 8, 0, tzinfo=UTC)


def made_plan(jobs: int, technicians: int, named_share: float, part_time: int, seed: int) -> str:
    """A plan of mixed work, some of it for a named technician, most of it promised within the day.

    The first `part_time` technicians have hours of their own, the last one of them half a day off.
    """
    rng = np.random.default_rng(seed)
    works = [
        f"{each.procedure.id}:{operation.id}"
        for each in list_procedures(Path(tempfile.gettempdir()) / "none")
        for operation in each.procedure.operations
    ]
    names, bays = [f"Demo {number}" for number in range(technicians)], [f"bay {number}" for number in range(10)]
    lines = ["format = 1", f"at = {MORNING.isoformat()}", f"technicians = {names}", f"bays = {bays}"]
    for begins, ends in ((0, 4), (5, 9)):
        spans = (MORNING + timedelta(hours=each) for each in (begins, ends))
        lines += [
            "[[open]]",
            *(f"{key} = {moment.isoformat()}" for key, moment in zip(("from", "until"), spans, strict=True)),
        ]
    for number in range(part_time):
        own = (MORNING + timedelta(hours=number % 3), MORNING + timedelta(hours=5 + number % 3))
        kinds = ("hours", "off") if number == part_time - 1 else ("hours",)
        for kind, until in zip(kinds, (own[1], own[0] + timedelta(hours=2)), strict=False):
            lines += [f"[[{kind}]]", f'technician = "{names[number]}"', f"from = {own[0].isoformat()}"]
            lines.append(f"until = {until.isoformat()}")
    for number in range(jobs):
        lines += ["[[job]]", f'name = "vehicle {number}"', f'work = "{works[rng.integers(len(works))]}"']
        if rng.random() < named_share:
            lines.append(f'technician = "{names[rng.integers(technicians)]}"')
        if rng.random() < 0.8:
            lines.append(f"promised = {(MORNING + timedelta(minutes=int(rng.integers(6, 37)) * 15)).isoformat()}")
        if rng.random() < 0.2:
            lines.append(f"parts_at = {(MORNING + timedelta(minutes=int(rng.integers(1, 13)) * 15)).isoformat()}")
    return "\n".join(lines)


def main() -> None:
    """Print seconds, and what the order keeps beside the order of the file."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--jobs", type=int, default=40)
    parser.add_argument("--technicians", type=int, default=8)
    given = parser.parse_args()
    for named_share, part_time in ((0.0, 0), (0.3, 0), (1.0, 0), (0.0, 4), (0.3, 4), (1.0, 4)):
        with tempfile.TemporaryDirectory() as folder:
            file = Path(folder) / "plan.toml"
            file.write_text(made_plan(given.jobs, given.technicians, named_share, part_time, 7), encoding="utf-8")
            started = time.perf_counter()
            _, day = day_of(file, Path(folder), LiveClock("bench").now())
            seconds = time.perf_counter() - started
        kept = f"keeps {day.kept:.1f} of {day.promises} (as listed {day.as_listed:.1f}), proven: {day.proven}"
        staff = f"{given.technicians} technicians, {part_time} part-time"
        print(f"{given.jobs} jobs, {staff}, {named_share:.0%} named: {seconds:.1f} s, {kept}")


if __name__ == "__main__":
    main()
