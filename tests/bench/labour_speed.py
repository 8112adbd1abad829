"""What estimates cost, as ratios within one run, so that the machine's speed falls out.

From the repository root: `python tests/bench/labour_speed.py`. The comparison with a general mixed-model fit needs
statsmodels; without it that line is left out.
"""

from __future__ import annotations

import argparse
import importlib.util
import resource
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).parents[1]))

from bench.labour_growth import OPERATIONS, PHASES, TECHNICIANS, made_tallies
from labour.examples import make_quote
from labour.simulated_shops import PROCEDURE, WORLDS, open_shop
from sparehand.labour.evidence.shop_evidence import Evidence, gather_evidence
from sparehand.labour.evidence.tally_evidence import tallied_evidence
from sparehand.labour.fitting.priors import Priors
from sparehand.labour.forecasting.forecast import learn
from sparehand.labour.forecasting.quote_records import QuoteRequest
from sparehand.times.sample import Plans, clean_jobs


def timed(work: Callable[[], object], repeats: int = 3) -> float:
    """The shortest of some runs, in seconds."""
    times = []
    for _ in range(repeats):
        started = time.perf_counter()
        work()
        times.append(time.perf_counter() - started)
    return min(times)


def import_seconds() -> float:
    """Starting Python and importing what a quote needs, less starting Python."""

    def start(code: str) -> Callable[[], object]:
        return lambda: subprocess.run([sys.executable, "-c", code], check=True)

    return timed(start("import sparehand.labour.forecasting.quote")) - timed(start("pass"))


def big_evidence(phase_times: int) -> Evidence:
    """What a large shop adds up to, as a log would keep it: every technician has done every operation."""
    return tallied_evidence(made_tallies(phase_times), big_plans())


def big_plans() -> Plans:
    """Twenty minutes for every phase."""
    return Plans({(f"operation-{o}", f"phase-{p}"): 1200.0 for o in range(OPERATIONS) for p in range(PHASES)})


def mixed_model_seconds(rows: int) -> float:
    """A general mixed-model fit of the same shape: phases, technicians and jobs as components inside each operation.

    It can only nest, so its technicians differ from operation to operation.
    """
    import pandas  # type: ignore[import-untyped]
    from statsmodels.regression.mixed_linear_model import MixedLM

    rng = np.random.default_rng(11)
    jobs = max(2, rows // (OPERATIONS * PHASES))
    operation, job, phase = (axis.ravel() for axis in np.indices((OPERATIONS, jobs, PHASES)))
    technician = job % TECHNICIANS
    y = (0.35 * rng.standard_normal((OPERATIONS, PHASES)))[operation, phase]
    y = y + (0.14 * rng.standard_normal(TECHNICIANS))[technician]
    y = y + (0.14 * rng.standard_normal((OPERATIONS, jobs)))[operation, job] + 0.25 * rng.standard_normal(len(y))
    data = pandas.DataFrame({"y": y, "operation": operation, "phase": phase, "technician": technician, "job": job})
    parts = {name: f"0 + C({name})" for name in ("phase", "technician", "job")}
    model = MixedLM.from_formula("y ~ 1", groups="operation", vc_formula=parts, data=data)
    return timed(lambda: model.fit(reml=True), repeats=1)


def main() -> None:
    """Print each cost beside what it is compared with."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--mixed-model-rows", type=int, default=20_000)
    given = parser.parse_args()
    shop = open_shop(WORLDS[1], 1)
    jobs = [shop.job(number) for number in range(300)]
    request = QuoteRequest(procedure=PROCEDURE)
    importing, quoting = import_seconds(), timed(lambda: make_quote(request, None, jobs))
    print(f"importing what a quote needs      {importing:.2f} s")
    print(f"a quote from 300 jobs             {quoting:.2f} s, {quoting / importing:.2f} of the import")
    sample = clean_jobs(jobs)
    print(f"  of that, reading the jobs       {timed(lambda: gather_evidence(clean_jobs(jobs), Plans())):.2f} s")
    evidence = gather_evidence(sample, Plans())
    print(f"  of that, the fit                {timed(lambda: learn(evidence, PROCEDURE, (), Plans(), Priors())):.2f} s")
    costs = {}
    for count in (100_000, 10_000_000):
        big, plans = big_evidence(count), big_plans()
        costs[count] = timed(lambda: learn(big, "operation-0", (), plans, Priors()), repeats=1)  # noqa: B023
        print(f"joint fit, {OPERATIONS} x {TECHNICIANS}, 1e{len(str(count)) - 1} times  {costs[count]:.2f} s")
    print(f"  growth from 1e5 to 1e7          {costs[10_000_000] / costs[100_000]:.2f}")
    if importlib.util.find_spec("statsmodels"):
        rows = given.mixed_model_rows
        other = mixed_model_seconds(rows)
        print(f"statsmodels MixedLM, {rows} rows  {other:.1f} s, {other / costs[100_000]:.1f} times ours on 100000")
    print(f"peak memory                       {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024:.0f} MB")


if __name__ == "__main__":
    main()
