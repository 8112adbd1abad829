"""From a question to hours a shop can quote: the whole distribution, the flat-rate figure and its risk."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

import numpy as np

from sparehand.ground.errors import InputError
from sparehand.labour.evidence.shop_evidence import Evidence
from sparehand.labour.fitting.arrays import Floats
from sparehand.labour.fitting.belief import Belief
from sparehand.labour.fitting.effect_layout import Setting
from sparehand.labour.fitting.priors import Priors
from sparehand.labour.forecasting.allowance import with_allowance
from sparehand.labour.forecasting.forecast import Forecast, Knowledge, forecast, forecast_plan, recall
from sparehand.labour.forecasting.quote_notes import notes
from sparehand.labour.forecasting.quote_records import (
    Conditions,
    OtherOperation,
    PhaseQuote,
    Quote,
    QuoteRequest,
    SnagQuote,
    WayQuote,
)
from sparehand.labour.forecasting.quoted_phases import Need, Run, run_from_procedure, run_from_times
from sparehand.labour.forecasting.way_choices import Choice, choices_of, phases_taken
from sparehand.labour.forecasting.widening import Widening
from sparehand.procedures.model import Procedure
from sparehand.times.sample import Plans

PERCENTILES = (5, 10, 25, 50, 75, 80, 90, 95)
WORTH_NAMING = 0.01
MOST_SNAGS = 20


def quote_from_belief(
    request: QuoteRequest,
    procedure: Procedure | None,
    own: Evidence,
    belief: Belief,
    plans: Plans,
    priors: Priors | None = None,
    widening: Widening | None = None,
) -> Quote:
    """Quote from what is believed of the shop and the procedure's `own` evidence.

    Its cost grows neither with the number of jobs nor with that of other procedures. `widening` is by how much past
    forecasts of the procedure were too sure (None: they were not). Raises InputError for an unknown operation or side,
    and for a procedure with neither a file nor times.
    """
    priors = priors or Priors()
    run = planned_run(request, procedure, own)
    setting = Setting(request.corrosion, request.support)
    extra = [need for _, added in run.others for need in added]
    if not belief.jobs:
        drawn = forecast_plan(run.needs, request.procedure, plans, setting, priors, extra)
        return _summary(request, run, drawn, choices_of(procedure, own), None, plans, own, belief.jobs)
    everything = (*run.needs, *extra)
    known = recall(belief, own, request.procedure, _phases(everything), plans, priors)
    known = replace(known, widening=widening or known.widening)
    drawn = forecast(known, everything, setting, request.technician)
    return _summary(request, run, drawn, choices_of(procedure, own), known, plans, own, belief.jobs)


def planned_run(request: QuoteRequest, procedure: Procedure | None, evidence: Evidence) -> Run:
    """The phases to do. Raises InputError for an unknown operation or side, or where nothing can tell the phases."""
    if procedure is not None:
        return run_from_procedure(procedure, request.operations, request.sides)
    run = run_from_times(request.procedure, request.operations, request.sides, evidence)
    if not run.needs:
        raise InputError(f"nothing to quote: the times of '{request.procedure}' share no phase with its operations")
    return run


def _phases(needs: Iterable[Need]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(need.key.phase for need in needs))


def _summary(
    request: QuoteRequest,
    run: Run,
    drawn: Forecast,
    choices: tuple[Choice, ...],
    known: Knowledge | None,
    plans: Plans,
    evidence: Evidence,
    all_jobs: int,
) -> Quote:
    count = len(run.needs)
    every_way = drawn.work + drawn.snags
    taken = phases_taken(choices, drawn.needs, len(every_way))
    seconds = every_way * taken
    widening = known.widening if known else Widening()
    hours = np.sort(widening.widen(seconds[:, :count].sum(axis=1) / 3600))
    by_phase = widening.widen(every_way)
    billed = with_allowance(hours, request.allowance_percent, request.allowance_convention)
    flat = flat_rate(billed, request.risk)
    figure = flat if request.hours is None else request.hours
    own = evidence.jobs_of(request.procedure)
    finished = {phase: evidence.finished(request.procedure, phase) for phase in _phases(run.needs)}
    planned = [plans.seconds.get((request.procedure, need.key.phase)) for need in run.needs]
    return Quote(
        procedure=request.procedure,
        operations=run.operations,
        sides=run.sides,
        technician=request.technician,
        conditions=Conditions(corrosion=request.corrosion, support=request.support),
        jobs_used=own,
        basis="times" if own else "plan",
        median_hours=float(np.median(hours)),
        percentiles={str(share): float(np.quantile(hours, share / 100)) for share in PERCENTILES},
        flat_rate_hours=flat,
        chance_over=float(np.mean(hours > figure)),
        phases=tuple(
            _phase(need, by_phase[:, place], finished[need.key.phase]) for place, need in enumerate(run.needs)
        ),
        snags=_snags(drawn, count, taken),
        shared_minutes=_shared_minutes(run.needs, seconds[:, :count]),
        also=_also(run, seconds),
        figure_hours=figure,
        mean_hours=float(np.mean(hours)),
        expected_loss_hours=float(np.mean(np.maximum(hours - figure, 0.0))),
        past_forecasts=widening.why,
        ways=tuple(_ways(request, choices, drawn.needs, every_way, count, widening)),
        planned_hours=_planned_hours(planned, taken[:, :count].mean(axis=0)),
        delay=known.delay if known else None,
        notes=notes(request.procedure, request.technician, finished, known, plans, evidence, all_jobs),
        draws_hours=tuple(hours.tolist()),
    )


def _planned_hours(seconds: Sequence[float | None], shares: Floats) -> float | None:
    """The plan of the run, each phase by how often it is gone through; None where one has no plan."""
    return None if None in seconds else float(shares @ np.array([each or 0.0 for each in seconds])) / 3600


def _ways(
    request: QuoteRequest,
    choices: tuple[Choice, ...],
    needs: Sequence[Need],
    seconds: Floats,
    count: int,
    widening: Widening,
) -> Iterator[WayQuote]:
    """Each way with the hours of the whole run by it; other choices stay the mixture that they are."""
    for number, choice in enumerate(choices):
        if not any(need.key.phase == choice.phase for need in needs[:count]):
            continue
        for place, way in enumerate(choice.ways):
            taken = phases_taken(choices, needs, len(seconds), {number: place})
            hours = widening.widen((seconds * taken)[:, :count].sum(axis=1) / 3600)
            billed = with_allowance(hours, request.allowance_percent, request.allowance_convention)
            yield WayQuote(
                phase=choice.phase,
                way=way.id,
                title=way.title,
                chance=choice.chances[place],
                median_hours=float(np.median(hours)),
                flat_rate_hours=flat_rate(billed, request.risk),
            )


def flat_rate(hours: Floats, risk: float) -> float:
    """The smallest number of tenths that the hours run over with a chance of at most `risk` (at least a tenth)."""
    ordered = np.sort(hours)
    tenths = max(1, math.ceil(round(float(np.quantile(ordered, 1 - risk, method="lower")) * 10, 9)))
    while np.mean(ordered > tenths / 10) > risk:
        tenths += 1
    return tenths / 10


def _phase(need: Need, seconds: Floats, jobs: int) -> PhaseQuote:
    low, middle, high = (float(each) for each in np.quantile(seconds / 60, (0.1, 0.5, 0.9)))
    return PhaseQuote(
        phase=need.key.phase, side=need.key.side, median_minutes=middle, p10_minutes=low, p90_minutes=high, jobs=jobs
    )


def _snags(drawn: Forecast, count: int, taken: Floats) -> tuple[SnagQuote, ...]:
    """The snags worth naming, the costliest first."""
    found: list[tuple[float, SnagQuote]] = []
    phases = [need.key.phase for need in drawn.needs[:count]]
    of_run = (drawn.events[:, 1] < count) & (taken[drawn.events[:, 0], drawn.events[:, 1]] > 0)
    events, minutes = drawn.events[of_run], drawn.durations[of_run] / 60
    first_place = np.array([phases.index(phase) for phase in phases], dtype=np.int64)
    named = first_place[events[:, 1]]
    for place, phase in enumerate(phases):
        for number, kind in enumerate(drawn.kinds):
            these = (named == place) & (events[:, 2] == number)
            chance = len(np.unique(events[these, 0])) / len(drawn.work)
            if chance >= WORTH_NAMING:
                typical = float(np.median(minutes[these]))
                found.append((-chance * typical, SnagQuote(kind=kind, phase=phase, chance=chance, minutes=typical)))
    found.sort(key=lambda pair: pair[0])
    return tuple(snag for _, snag in found[:MOST_SNAGS])


def _shared_minutes(needs: Sequence[Need], seconds: Floats) -> float:
    repeats = np.array([max(0, need.wanted_by - 1) for need in needs])
    return float(np.median(seconds @ repeats)) / 60


def _also(run: Run, seconds: Floats) -> tuple[OtherOperation, ...]:
    place, others = len(run.needs), []
    for operation, added in run.others:
        hours = seconds[:, place : place + len(added)].sum(axis=1) / 3600
        place += len(added)
        others.append(OtherOperation(operation=operation, marginal_hours=float(np.median(hours))))
    return tuple(others)
