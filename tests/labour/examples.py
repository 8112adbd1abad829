"""An invented procedure and invented jobs, small enough to reason about."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import UTC, datetime, timedelta
from typing import Any

from sparehand.labour.evidence.shop_evidence import Evidence
from sparehand.labour.fitting.belief import believe_shop, inputs_of
from sparehand.labour.fitting.priors import Priors
from sparehand.labour.forecasting.expected import Expected, expect_from_belief
from sparehand.labour.forecasting.quote import quote_from_belief
from sparehand.labour.forecasting.quote_records import Quote, QuoteRequest
from sparehand.procedures.model import Operation, Phase, Procedure, Source, Step
from sparehand.times.job_times import JobTimes, PhaseTime, SnagTime
from sparehand.times.sample import Plans

PLAN = {"access": 20.0, "link": 30.0, "joint": 45.0, "refit": 25.0}
"""Planned minutes; access and refit are shared by both operations, link and joint repeat for each side."""


def procedure(planned: Mapping[str, float | None] = PLAN, id: str = "front-end") -> Procedure:
    """Two operations that share access; the inner phases repeat for each side."""
    return Procedure(
        format=1,
        id=id,
        title="Invented front end",
        demo=True,
        vehicle="an invented van",
        sides=("left", "right"),
        source=Source(title="invented", edition="1", answered_for_by="nobody"),
        operations=(
            Operation(id="renew-link", title="Renew the link", phases=("access", "link", "refit")),
            Operation(id="renew-joint", title="Renew the joint", phases=("access", "joint", "refit")),
        ),
        phases=tuple(
            Phase(
                id=phase,
                title=phase.capitalize(),
                planned_minutes=minutes,
                sided=phase in ("link", "joint"),
                steps=(Step(id="do", say="Do it."),),
            )
            for phase, minutes in planned.items()
        ),
    )


def job(
    number: int,
    minutes: Mapping[str, float],
    technician: str = "ana",
    unfinished: Sequence[str] = (),
    snags: Mapping[str, float] | None = None,
    **more: Any,
) -> JobTimes:
    """A job with these minutes by phase ("link/left" names a side); snag minutes are part of the phase's minutes."""
    phases = []
    for name, taken in minutes.items():
        phase, _, side = name.partition("/")
        lost = (snags or {}).get(name)
        phases.append(
            PhaseTime(
                phase=phase,
                side=side or None,  # type: ignore[arg-type]
                technician=technician,
                work_seconds=60 * taken,
                held_seconds=60 * more.pop(f"held_{phase}", 0.0),
                snags=(SnagTime(kind="seized", seconds=60 * lost),) if lost else (),
                complete=name not in unfinished,
            )
        )
    settings: dict[str, Any] = {"procedure": "front-end", "operations": ("renew-link",), "corrosion": "none"}
    settings |= {"support": "lift"} | more
    opened = datetime(2024, 3, 1, 8, tzinfo=UTC) + timedelta(days=number)
    return JobTimes(job=f"job-{number}", opened_at=opened, phases=tuple(phases), **settings)


def link_jobs(count: int, factor: float = 1.0) -> list[JobTimes]:
    """Jobs that renew the left link, each `factor` times the plan, give or take a fixed pattern of a tenth."""
    jobs = []
    for number in range(count):
        wave = 1 + 0.1 * ((number * 7) % 5 - 2) / 2
        minutes = {"access": 20 * factor * wave, "link/left": 30 * factor, "refit": 25 * factor / wave}
        jobs.append(job(number, minutes, technician=("ana", "ben")[number % 2]))
    return jobs


def make_quote(
    request: QuoteRequest,
    file: Procedure | None,
    jobs: Sequence[JobTimes],
    priors: Priors | None = None,
    others: Sequence[Procedure] = (),
) -> Quote:
    """A quote from all the shop's jobs, as the program makes it; `others` are the shop's other procedures."""
    known = inputs_of(request.procedure, jobs, [*([file] if file else []), *others], priors)
    return quote_from_belief(request, file, known.own, known.belief, known.plans, priors)


def quote_from_evidence(request: QuoteRequest, file: Procedure, evidence: Evidence, plans: Plans) -> Quote:
    """A quote from evidence that a test gathered in its own way."""
    belief = believe_shop(evidence, plans, Priors())
    return quote_from_belief(request, file, evidence.of(request.procedure), belief, plans)


def expect(request: QuoteRequest, file: Procedure, jobs: Sequence[JobTimes]) -> Expected:
    """What to expect of a run, from all the shop's jobs."""
    known = inputs_of(request.procedure, jobs, [file])
    return expect_from_belief(request, file, known.own, known.belief, known.plans)
