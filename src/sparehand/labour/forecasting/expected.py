"""The snapshot made before a job: what each phase may take, and what is needed to say how long is left."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from sparehand.job.experience import AddedHours, ExpectedPhase, Experience
from sparehand.labour.evidence.shop_evidence import Evidence
from sparehand.labour.fitting.arrays import Floats
from sparehand.labour.fitting.belief import Belief
from sparehand.labour.fitting.effect_layout import Setting
from sparehand.labour.fitting.priors import Priors
from sparehand.labour.forecasting.forecast import Forecast, forecast, forecast_plan, recall
from sparehand.labour.forecasting.quote import planned_run
from sparehand.labour.forecasting.quote_records import QuoteRequest
from sparehand.labour.forecasting.quoted_phases import Run
from sparehand.labour.forecasting.way_choices import Choice, choices_of, phases_taken
from sparehand.procedures.model import Procedure
from sparehand.procedures.phase_order import phases_of
from sparehand.times.sample import Plans
from sparehand.times.time_left import FOUR_IN_FIVE, Outlook, PhaseOutlook

SMALLEST_VARIANCE = 1e-4


@dataclass(frozen=True)
class Expected:
    """Both parts of the snapshot: ranges to say, and the outlook that "how long left" is computed from.

    `alone` are the hours of each operation of the run by itself.
    """

    experience: Experience
    outlook: Outlook
    alone: tuple[AddedHours, ...] = ()


def expect_from_belief(
    request: QuoteRequest,
    procedure: Procedure | None,
    own: Evidence,
    belief: Belief,
    plans: Plans,
    priors: Priors | None = None,
) -> Expected:
    """What to expect of a run, from what is believed of the shop and the procedure's `own` evidence.

    Raises InputError for an unknown operation or side, and for a procedure with neither a file nor times.
    """
    priors = priors or Priors()
    run = planned_run(request, procedure, own)
    needs, extra = run.needs, tuple(need for _, added in run.others for need in added)
    setting = Setting(request.corrosion, request.support)
    if not belief.jobs:
        drawn = forecast_plan(needs, request.procedure, plans, setting, priors)
        more = forecast_plan(extra, request.procedure, plans, setting, priors) if extra else None
    else:
        phases = [need.key.phase for need in (*needs, *extra)]
        known = recall(belief, own, request.procedure, phases, plans, priors)
        drawn = forecast(known, needs, setting, request.technician)
        more = forecast(known, extra, setting, request.technician) if extra else None
    choices = choices_of(procedure, own)
    experience = replace(_experience(drawn), added=_added(run, more, choices) if more else ())
    return Expected(experience, _outlook(drawn), _alone(procedure, run, drawn, choices) if procedure else ())


def _added(run: Run, drawn: Forecast, choices: tuple[Choice, ...]) -> tuple[AddedHours, ...]:
    """The hours of each operation that is not in the run, beside it."""
    hours, place, found = _hours(drawn, choices), 0, []
    for operation, added in run.others:
        found.append(_range(operation, hours[:, place : place + len(added)]))
        place += len(added)
    return tuple(found)


def _alone(procedure: Procedure, run: Run, drawn: Forecast, choices: tuple[Choice, ...]) -> tuple[AddedHours, ...]:
    """The hours of each operation of the run by itself."""
    hours, needed = _hours(drawn, choices), {one: phases_of(procedure, [one]) for one in run.operations}
    places = {
        one: [place for place, need in enumerate(drawn.needs) if need.key.phase in phases]
        for one, phases in needed.items()
    }
    return tuple(_range(one, hours[:, of_it]) for one, of_it in places.items())


def _hours(drawn: Forecast, choices: tuple[Choice, ...]) -> Floats:
    return (drawn.work + drawn.snags) * phases_taken(choices, drawn.needs, len(drawn.work)) / 3600


def _range(operation: str, hours: Floats) -> AddedHours:
    low, middle, high = (float(one) for one in np.quantile(hours.sum(axis=1), (0.1, 0.5, 0.9)))
    return AddedHours(operation, low, middle, high)


def _experience(drawn: Forecast) -> Experience:
    minutes = np.quantile((drawn.work + drawn.snags) / 60, (0.1, 0.5, 0.9), axis=0)
    return Experience(
        tuple(
            ExpectedPhase(need.key, *(float(each) for each in minutes[:, place]))
            for place, need in enumerate(drawn.needs)
        )
    )


def _outlook(drawn: Forecast) -> Outlook:
    """Each phase by its median and its four-in-five range; what phases share by the covariance of their work."""
    logs, work = np.log(drawn.work + drawn.snags), np.log(drawn.work)
    low, middle, high = np.quantile(logs, (0.1, 0.5, 0.9), axis=0)
    count = len(drawn.needs)
    covariance = np.atleast_2d(np.cov(work.T))
    shared = max(0.0, float(covariance[~np.eye(count, dtype=bool)].mean())) if count > 1 else 0.0
    variance = ((high - low) / (2 * FOUR_IN_FIVE)) ** 2
    phases = tuple(
        PhaseOutlook(need.key, float(middle[place]), max(SMALLEST_VARIANCE, float(variance[place]) - shared))
        for place, need in enumerate(drawn.needs)
    )
    return Outlook(phases, shared)
