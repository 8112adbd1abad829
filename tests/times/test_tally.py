"""What a log keeps of its jobs, job by job, says the same as the jobs themselves, in whatever order they come."""

from __future__ import annotations

from datetime import timedelta
from random import Random
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings, strategies as st

from labour.examples import job, link_jobs, make_quote, procedure, quote_from_evidence
from sparehand.labour.evidence.shop_evidence import Evidence, gather_evidence
from sparehand.labour.evidence.tally_evidence import tallied_evidence
from sparehand.labour.fitting.belief import layout_of
from sparehand.labour.fitting.equations import Patterns, equations
from sparehand.labour.fitting.priors import Priors
from sparehand.labour.fitting.snags import condition_shares
from sparehand.labour.fitting.time_blocks import time_blocks
from sparehand.labour.forecasting.quote_records import QuoteRequest
from sparehand.times.counting import tally_of
from sparehand.times.job_times import JobTimes, KeptJob, PhaseSpec
from sparehand.times.pattern_sums import PatternSums
from sparehand.times.sample import Plans, clean_jobs
from sparehand.times.tally import MOST_ROWS, Tally
from sparehand.times.usual import BINS_A_DOUBLING, bin_of

FRONT_END = "front-end"
PLANS = Plans.of([procedure()])


def counted(jobs: list[JobTimes]) -> Tally:
    """The tally of these jobs at once, as a log keeps them, in the order in which they were opened."""
    shared: dict[tuple[PhaseSpec, ...], tuple[PhaseSpec, ...]] = {}

    def kept(times: JobTimes) -> KeptJob:
        told = {name: getattr(times, name) for name in JobTimes.model_fields if name not in ("phases", "joined")}
        parts = times.phases
        specs = tuple(PhaseSpec(*(getattr(part, name) for name in PhaseSpec._fields)) for part in parts)
        seconds = [[part.work_seconds for part in parts], [part.held_seconds for part in parts]]
        return KeptJob(**told, specs=shared.setdefault(specs, specs), work_seconds=seconds[0], held_seconds=seconds[1])

    return tally_of(FRONT_END, lambda: map(kept, sorted(jobs, key=lambda each: each.opened_at)))


def kept_up(jobs: list[JobTimes]) -> Tally:
    """The tally of a log that these jobs reach in this order: counted anew only where it asks for it."""
    tally = Tally(FRONT_END)
    for place, times in enumerate(jobs):
        if not tally.add(times):
            tally = counted(jobs[: place + 1])
    return Tally.from_json(tally.to_json())


def summed(evidence: Evidence) -> Patterns:
    """All plain jobs as the solver sees them."""
    people = sorted({technician for _, technician in evidence.jobs})
    blocks, shares = time_blocks(evidence), condition_shares(evidence)
    phases = ("access", "link", "joint", "refit")
    return equations(layout_of(evidence, PLANS, Priors(), blocks, shares, FRONT_END, phases, people), evidence).patterns


def require_alike(tallied: Evidence, gathered: Evidence) -> None:
    assert tallied.jobs == gathered.jobs
    assert tallied.shapes == gathered.shapes
    assert tallied.worked == gathered.worked
    assert tallied.supports == gathered.supports
    assert tallied.snags == gathered.snags
    assert sorted(row.job for row in tallied.rows) == sorted(row.job for row in gathered.rows)
    assert sorted(tallied.slips, key=str) == sorted(gathered.slips, key=str)
    for kind, logs in gathered.snag_logs.items():
        assert vars(tallied.snag_logs[kind]) == pytest.approx(vars(logs))
    ours, theirs = summed(tallied), summed(gathered)
    for name, value in vars(theirs).items():
        np.testing.assert_allclose(getattr(ours, name), value, rtol=1e-9, atol=1e-6, err_msg=name)


minutes = st.one_of(st.floats(8, 60), st.floats(8, 60), st.floats(8, 60), st.floats(0.1, 2000))
jobs_drawn = st.lists(
    st.builds(
        lambda access, link, refit, who, corrosion, support, unfinished, snag: {
            "minutes": {"access": access, "link/left": link, "link/right": 0.8 * link, "refit": refit},
            "technician": who,
            "corrosion": corrosion,
            "support": support,
            "unfinished": ("refit",) if unfinished else (),
            "snags": {"access": access / 4} if snag else {},
        },
        minutes,
        minutes,
        minutes,
        st.sampled_from(("ana", "ben")),
        st.sampled_from(("none", "light", "heavy", "unknown")),
        st.sampled_from(("lift", "stands", "unknown")),
        st.booleans(),
        st.booleans(),
    ),
    min_size=1,
    max_size=40,
)


@settings(max_examples=60, deadline=None)
@given(jobs_drawn, st.randoms(use_true_random=False), st.booleans())
def test_kept_up_job_by_job_it_says_what_all_the_jobs_say(
    drawn: list[dict[str, Any]], order: Random, shuffled: bool
) -> None:
    jobs = [job(number, **each) for number, each in enumerate(drawn)]
    arriving = list(jobs)
    if shuffled:
        order.shuffle(arriving)
    expected = gather_evidence(clean_jobs(jobs), PLANS)
    require_alike(tallied_evidence([kept_up(arriving)], PLANS), expected)
    require_alike(tallied_evidence([counted(arriving)], PLANS), expected)


@settings(max_examples=15, deadline=None)
@given(st.lists(st.tuples(st.floats(12, 40), st.sampled_from(("ana", "ben")), st.integers(0, 400)), max_size=60))
def test_jobs_counted_many_at_once_add_up_as_one_by_one(drawn: list[tuple[float, str, int]]) -> None:
    jobs = [*link_jobs(20)]
    for number, (taken, who, day) in enumerate(drawn):
        corrosion, support = ("none", "light", "unknown")[day % 3], ("lift", "stands")[day % 2]
        minutes = {"access": taken, "link/left": 30, "link/right": taken, "refit": 25}
        each = job(
            100 + number, minutes, technician=who, held_access=float(day % 2), corrosion=corrosion, support=support
        )
        jobs.append(each.model_copy(update={"opened_at": each.opened_at + timedelta(days=day)}))
    jobs.sort(key=lambda each: (each.opened_at, each.job))
    one_by_one = Tally(FRONT_END)
    for times in jobs:
        assert one_by_one.add(times)
    at_once = counted(jobs)
    for name in ("jobs", "last", "shapes", "supports", "worked", "bins", "anchors", "rows", "unsummed"):
        assert getattr(at_once, name) == getattr(one_by_one, name), name
    assert at_once.held == one_by_one.held
    for pattern, sums in one_by_one.sums.items():
        assert_alike(at_once.sums[pattern], sums)


def assert_alike(ours: PatternSums, theirs: PatternSums) -> None:
    assert sorted(ours.names) == sorted(theirs.names)
    for place, name in enumerate(theirs.names):
        at = ours.names.index(name)
        assert ours.crossed[at] == pytest.approx(theirs.crossed[place])
        for other in range(place + 1):
            low, high = sorted((at, ours.names.index(theirs.names[other])))
            assert ours.regressors[high][low] == pytest.approx(theirs.regressors[place][other])
    assert ours.logs == [pytest.approx(row) for row in theirs.logs]


def test_a_time_on_the_edge_of_a_bin_falls_into_the_same_one_by_numpy() -> None:
    edges = [2.0**power for power in range(5, 20)]
    assert [int(place) for place in np.floor(BINS_A_DOUBLING * np.log2(edges))] == [bin_of(edge) for edge in edges]


def test_ordinary_jobs_become_sums_and_never_rows() -> None:
    tally = kept_up(link_jobs(300))
    assert len(tally.rows) < 12
    assert sum(sums.jobs for sums in tally.sums.values()) + len(tally.rows) == 300


def test_of_very_many_doubtful_jobs_some_stand_for_all() -> None:
    jobs = [job(number, {"access": 20, "refit": 9}, unfinished=("refit",)) for number in range(200)]
    tally = kept_up(jobs)
    evidence = tallied_evidence([tally], PLANS)
    assert len(evidence.rows) == MOST_ROWS
    assert sum(row.copies for row in evidence.rows) == pytest.approx(200)
    whole = quote_from_evidence(
        QuoteRequest(procedure=FRONT_END), procedure(), gather_evidence(clean_jobs(jobs), PLANS), PLANS
    )
    some = quote_from_evidence(QuoteRequest(procedure=FRONT_END), procedure(), evidence, PLANS)
    assert some.median_hours == pytest.approx(whole.median_hours, rel=0.02)
    assert some.percentiles["90"] == pytest.approx(whole.percentiles["90"], rel=0.12)


def test_the_quote_from_a_tally_is_the_quote_from_the_jobs() -> None:
    jobs = [*link_jobs(60), job(70, {"access": 50, "link/left": 0.1, "refit": 25}, snags={"access": 20})]
    request = QuoteRequest(procedure=FRONT_END, operations=("renew-link",), sides=("left",), technician="ana")
    rows = make_quote(request, procedure(), jobs)
    tallied = quote_from_evidence(request, procedure(), tallied_evidence([kept_up(jobs)], PLANS), PLANS)
    assert tallied.jobs_used == rows.jobs_used == 61
    assert tallied.flat_rate_hours == rows.flat_rate_hours
    assert tallied.percentiles == pytest.approx(rows.percentiles, rel=1e-3)


def test_what_two_logs_kept_adds_up() -> None:
    jobs = link_jobs(60)
    both = tallied_evidence([kept_up(jobs[0::2]), kept_up(jobs[1::2])], PLANS)
    assert both.all_jobs == 60
    assert sum(sums.jobs for logs in both.sums.values() for sums in logs) == 60
    request = QuoteRequest(procedure=FRONT_END, operations=("renew-link",), sides=("left",), technician="ana")
    apart, together = quote_from_evidence(request, procedure(), both, PLANS), make_quote(request, procedure(), jobs)
    assert apart.percentiles == pytest.approx(together.percentiles, rel=1e-3)


def test_names_are_put_in_place_of_what_the_log_calls_people() -> None:
    tally = kept_up(link_jobs(40))
    evidence = tallied_evidence([tally], PLANS, {"ana": "Ana One", "ben": "Ben Two"}.__getitem__)
    assert {technician for _, technician in evidence.jobs} == {"Ana One", "Ben Two"}
    assert evidence.people == {"Ana One", "Ben Two"}


def test_a_tally_of_other_text_is_refused() -> None:
    with pytest.raises(ValueError, match="procedure"):
        Tally.from_json(b"{}")
