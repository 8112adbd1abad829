"""Snags: rates follow phase and corrosion and are pooled where jobs are few; durations follow their kind."""

from __future__ import annotations

import numpy as np
import pytest

from labour.examples import job
from sparehand.labour.evidence.shop_evidence import LogSums, gather_evidence
from sparehand.labour.fitting.snags import (
    LEVELS,
    LONGEST_SECONDS,
    Durations,
    SnagBelief,
    believe_shop_snags,
    believe_snags,
)
from sparehand.labour.forecasting.predict import draw_snags
from sparehand.times.job_times import JobTimes
from sparehand.times.sample import Plans, clean_jobs

COUNT = 8000


def belief(jobs: list[JobTimes]) -> SnagBelief:
    evidence = gather_evidence(clean_jobs(jobs), Plans())
    return believe_snags(believe_shop_snags(evidence), evidence.of("front-end"))


def rate(known: SnagBelief, phase: str, corrosion: str = "none") -> float:
    rates, shares = known.draw_rates([phase], np.full(COUNT, LEVELS.index(corrosion)), np.random.default_rng(5))
    return float((rates[phase] * shares).mean())


def often(every: int, count: int = 60, corrosion: str = "none") -> list[JobTimes]:
    return [
        job(
            n,
            {"access": 20, "link/left": 40 if n % every == 0 else 30},
            snags={"link/left": 10} if n % every == 0 else {},
            corrosion=corrosion,
        )
        for n in range(count)
    ]


def test_before_any_job_snags_are_rare_and_worse_with_corrosion() -> None:
    known = belief([])
    assert 0.01 < rate(known, "link") < 0.1
    assert rate(known, "link", "heavy") > 1.5 * rate(known, "link")


def test_a_phase_that_often_snags_is_known_for_it_and_one_that_never_does_is_not() -> None:
    known = belief(often(4))
    assert rate(known, "link") == pytest.approx(0.25, rel=0.2)
    assert rate(known, "access") < 0.05


def test_few_jobs_are_pooled() -> None:
    one = belief([job(0, {"link/left": 40}, snags={"link/left": 10})])
    assert 0.05 < rate(one, "link") < 0.6
    assert rate(one, "access") < rate(one, "link")


def test_corrosion_is_learned_from_the_shop() -> None:
    tame, bad = often(30, corrosion="none"), often(3, corrosion="heavy")
    known = belief([*tame, *(each.model_copy(update={"job": f"h{each.job}"}) for each in bad)])
    assert rate(known, "link", "heavy") > 3 * rate(known, "link", "none")


def test_durations_move_from_ten_minutes_to_what_was_seen_and_are_capped() -> None:
    seen = sum((LogSums.of(3600.0) for _ in range(50)), LogSums())
    rng = np.random.default_rng(2)
    before, after = Durations().draw(COUNT, rng), Durations().after(seen).draw(COUNT, rng)
    assert np.median(before) == pytest.approx(600, rel=0.1)
    assert np.median(after) == pytest.approx(3600, rel=0.15)
    assert before.max() <= LONGEST_SECONDS


def test_draws_account_for_every_snag() -> None:
    known = belief(often(4))
    drawn = draw_snags(known, ["access", "link"], np.zeros(COUNT, dtype=np.int64), np.random.default_rng(1))
    assert drawn.seconds.sum() == pytest.approx(drawn.durations.sum())
    assert len(drawn.events) == len(drawn.durations)
    seized = known.kinds.index("seized")
    assert np.mean(drawn.events[:, 2] == seized) > 0.5


def test_kinds_never_heard_of_are_kept_by_their_name() -> None:
    odd = job(0, {"access": 40}, snags={"access": 10})
    part = odd.phases[0].model_copy(update={"snags": (odd.phases[0].snags[0].model_copy(update={"kind": "wasps"}),)})
    assert "wasps" in belief([odd.model_copy(update={"phases": (part,)})]).kinds
