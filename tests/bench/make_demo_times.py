"""Writes the demonstration's earlier jobs: invented people, vehicles' conditions and times, the same in every run.

Run with the procedure and the file to write, where the procedure changed:
`python tests/bench/make_demo_times.py procedures/engine-mounts.yaml procedures/engine-mounts.times.csv`
"""

from __future__ import annotations

import math
import random
import sys
from dataclasses import dataclass
from datetime import datetime, timedelta, timezone
from pathlib import Path

from sparehand.job.events import Corrosion, Support
from sparehand.log.times_csv import export_times
from sparehand.procedures.load import load_procedure
from sparehand.procedures.model import Side
from sparehand.procedures.plan import PlannedPhase, plan_run
from sparehand.times.job_times import JobTimes, PhaseTime, SnagTime

SEED = 20260303
WINTER_TIME = timezone(timedelta(hours=1))

PACE = {"Ida Quell": 0.94, "Matteo Brand": 1.06, "Sunniva Ash": 1.0, "Piet Lorrimer": 1.14}
"""Invented technicians, and the share of the common time each takes."""

SHORT_PLANNED = {"remove-mount": 1.25, "press-bush": 1.15, "tighten-wheel": 0.85}
"""Phases whose plan is off, by the share of it that they take."""

RUSTED = {"none": 1.0, "light": 1.12, "heavy": 1.35}
SEIZES = {"none": 0.02, "light": 0.12, "heavy": 0.3}
"""What corrosion costs a phase that takes things apart, and how often something in it seizes."""

BOTH: tuple[Side, ...] = ("left", "right")


@dataclass(frozen=True)
class Earlier:
    """One earlier job: days after the first, and what it was."""

    day: int
    technician: str
    operations: tuple[str, ...]
    sides: tuple[Side, ...]
    corrosion: Corrosion
    support: Support
    parked_at: str = ""


MOUNTS, ARM = ("mounts",), ("torque-arm",)
EARLIER = (
    Earlier(0, "Ida Quell", MOUNTS, ("right",), "light", "stands"),
    Earlier(3, "Matteo Brand", ARM, BOTH, "none", "stands"),
    Earlier(8, "Ida Quell", MOUNTS + ARM, BOTH, "light", "stands"),
    Earlier(17, "Sunniva Ash", MOUNTS, BOTH, "heavy", "lift"),
    Earlier(29, "Piet Lorrimer", ARM, BOTH, "light", "stands"),
    Earlier(36, "Matteo Brand", MOUNTS, ("right",), "none", "lift"),
    Earlier(52, "Ida Quell", ARM, BOTH, "none", "stands"),
    Earlier(66, "Sunniva Ash", MOUNTS + ARM, ("left",), "light", "lift"),
    Earlier(80, "Matteo Brand", MOUNTS, BOTH, "light", "stands"),
    Earlier(95, "Piet Lorrimer", MOUNTS, ("left",), "heavy", "stands"),
    Earlier(101, "Ida Quell", MOUNTS + ARM, ("right",), "none", "stands"),
    Earlier(120, "Sunniva Ash", ARM, BOTH, "heavy", "lift"),
    Earlier(133, "Matteo Brand", MOUNTS, ("left",), "light", "lift", parked_at="fit-mount"),
    Earlier(149, "Ida Quell", MOUNTS, BOTH, "light", "stands"),
)


def earlier_jobs(procedure_file: Path) -> tuple[JobTimes, ...]:
    """The times of all earlier jobs on a procedure."""
    draw = random.Random(SEED)
    procedure = load_procedure(procedure_file).procedure
    jobs = []
    for number, job in enumerate(EARLIER, start=1):
        day_factor = math.exp(draw.gauss(0, 0.1))
        phases = []
        for planned in plan_run(procedure, job.operations, job.sides).phases:
            parked = planned.key.phase == job.parked_at
            phases.append(_phase(draw, job, planned, day_factor, parked))
            if parked:
                break
        opened_at = datetime(2026, 3, 2, 8, draw.randrange(60), tzinfo=WINTER_TIME) + timedelta(days=job.day)
        jobs.append(
            JobTimes(
                job=f"demo-{number:02d}",
                opened_at=opened_at,
                procedure=procedure.id,
                operations=job.operations,
                corrosion=job.corrosion,
                support=job.support,
                phases=tuple(phases),
            )
        )
    return tuple(jobs)


def _phase(draw: random.Random, job: Earlier, planned: PlannedPhase, day_factor: float, parked: bool) -> PhaseTime:
    key, takes_apart = planned.key, planned.key.phase.startswith("remove")
    minutes = (planned.phase.planned_minutes or 5) * SHORT_PLANNED.get(key.phase, 1.0)
    minutes *= PACE[job.technician] * day_factor * math.exp(draw.gauss(0, 0.18))
    minutes *= RUSTED[job.corrosion] if takes_apart else 1.0
    minutes *= 1.08 if job.support == "stands" else 1.0
    minutes *= 0.9 if key.side and key.side != job.sides[0] else 1.0
    seized = takes_apart and draw.random() < SEIZES[job.corrosion] * 1.6
    snags = (SnagTime(kind="seized", seconds=round(draw.lognormvariate(math.log(480), 0.6))),) if seized else ()
    held = round(draw.lognormvariate(math.log(700), 0.8)) if draw.random() < 0.06 else 0
    worked = round(60 * minutes * (0.4 if parked else 1.0)) + sum(snag.seconds for snag in snags)
    return PhaseTime(
        phase=key.phase,
        side=key.side,
        technician=job.technician,
        work_seconds=worked,
        held_seconds=held,
        snags=snags,
        complete=not parked,
    )


def main() -> None:
    """Write the file."""
    procedure_file, target = (Path(argument) for argument in sys.argv[1:3])
    print(f"{export_times(earlier_jobs(procedure_file), target)} rows written to {target}")


if __name__ == "__main__":
    main()
