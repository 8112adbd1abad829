"""A quick test of a procedure's latest forecasts, for the quote itself: a few fits, however many jobs there are."""

from __future__ import annotations

from collections.abc import Sequence

from sparehand.labour.evidence.shop_evidence import gather_evidence
from sparehand.labour.fitting.priors import Priors
from sparehand.labour.forecasting.forecast import learn
from sparehand.labour.forecasting.widening import Widening
from sparehand.labour.judging.backtest import judge
from sparehand.labour.judging.verdict import ENOUGH_JOBS, widening_of
from sparehand.labour.judging.whole_jobs import finished_jobs, whole_job
from sparehand.times.sample import Plans, SampleJob

MOST_JOBS = 100
"""So many of the latest jobs are looked at."""
FIRST_TESTED, MOST_TESTED, FITS = 8, 40, 5


def recent_widening(jobs: Sequence[SampleJob], plans: Plans, priors: Priors) -> Widening:
    """How far a quote has to widen, by the latest of these `jobs` of one procedure, the oldest first.

    Each was forecast from jobs before it alone. The shop's other procedures stay out, which matters little once the
    procedure has jobs of its own.
    """
    some = jobs[-MOST_JOBS:]
    start = max(FIRST_TESTED, len(some) - MOST_TESTED)
    if len(some) - start < ENOUGH_JOBS:
        return Widening()
    phases = tuple(dict.fromkeys(cell.phase for job in some for cell in job.cells))
    step = -(-(len(some) - start) // FITS)
    judged = []
    for first in range(start, len(some), step):
        before = some[:first]
        known = learn(gather_evidence(before, plans), before[0].procedure, phases, plans, priors)
        for place in range(first, min(first + step, len(some))):
            outcome = whole_job(some[place], plans)
            if outcome is not None:
                earlier = finished_jobs(some[:place], plans)
                judged.append(judge(some[place], outcome, known, earlier, plans, priors))
    return widening_of(judged) if judged else Widening()
