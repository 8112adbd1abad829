"""How long is left: follows the day, and agrees with the forecast it was made from."""

from __future__ import annotations

import numpy as np
import pytest

from labour.examples import expect, link_jobs, make_quote, procedure
from sparehand.labour.evidence.shop_evidence import gather_evidence
from sparehand.labour.forecasting.quote_records import QuoteRequest
from sparehand.procedures.plan import PhaseKey
from sparehand.times.sample import Plans, clean_jobs
from sparehand.times.time_left import Outlook, PhaseOutlook

LINK = QuoteRequest(procedure="front-end", operations=("renew-link",), sides=("left",))
ACCESS, LEFT_LINK, REFIT = PhaseKey("access"), PhaseKey("link", "left"), PhaseKey("refit")


def outlook(shared: float = 0.04) -> Outlook:
    phases = tuple(PhaseOutlook(key, np.log(60.0 * m), 0.06) for key, m in ((ACCESS, 20), (LEFT_LINK, 30), (REFIT, 25)))
    return Outlook(phases, shared)


def test_before_the_first_phase_it_is_the_quote() -> None:
    jobs = link_jobs(20)
    expected, answer = expect(LINK, procedure(), jobs), make_quote(LINK, procedure(), jobs)
    left = expected.outlook.left({}, (ACCESS, LEFT_LINK, REFIT), None, 0.0)
    assert left is not None
    assert left.median_minutes / 60 == pytest.approx(answer.median_hours, rel=0.05)
    assert left.p10_minutes / 60 == pytest.approx(answer.percentiles["10"], rel=0.1)
    assert left.p90_minutes / 60 == pytest.approx(answer.percentiles["90"], rel=0.1)


def test_a_slow_morning_lengthens_the_rest_and_a_quick_one_shortens_it() -> None:
    usual = outlook().left({ACCESS: 1200.0}, (LEFT_LINK, REFIT), None, 0.0)
    slow = outlook().left({ACCESS: 2400.0}, (LEFT_LINK, REFIT), None, 0.0)
    quick = outlook().left({ACCESS: 600.0}, (LEFT_LINK, REFIT), None, 0.0)
    assert usual is not None
    assert slow is not None
    assert quick is not None
    assert quick.median_minutes < usual.median_minutes < slow.median_minutes
    assert slow.median_minutes < 2 * usual.median_minutes


def test_the_present_phase_counts_what_it_still_needs() -> None:
    begun = outlook().left({}, (REFIT,), LEFT_LINK, 0.0)
    later = outlook().left({}, (REFIT,), LEFT_LINK, 900.0)
    overdue = outlook().left({}, (REFIT,), LEFT_LINK, 36_000.0)
    assert begun is not None
    assert later is not None
    assert overdue is not None
    assert later.median_minutes < begun.median_minutes
    assert 0 < overdue.p10_minutes <= overdue.median_minutes <= overdue.p90_minutes < 10_000


def test_a_forgotten_word_teaches_nothing_about_the_day_and_is_asked_about() -> None:
    assert outlook().too_short(ACCESS, 30.0)
    assert not outlook().too_short(ACCESS, 400.0)
    assert outlook().left({ACCESS: 30.0}, (REFIT,), None, 0.0) == outlook().left({}, (REFIT,), None, 0.0)


def test_what_was_not_foreseen_is_not_invented() -> None:
    assert outlook().left({}, (PhaseKey("paint"),), None, 0.0) is None
    assert outlook().of(PhaseKey("paint")) is None


def test_truncated_moments_agree_with_draws() -> None:
    rng = np.random.default_rng(3)
    draws = np.exp(np.log(1800.0) + np.sqrt(0.1) * rng.standard_normal(400_000))
    beyond = draws[draws > 1500.0] - 1500.0
    left = outlook().left({}, (), LEFT_LINK, 1500.0)
    assert left is not None
    low, middle, high = np.quantile(beyond / 60, (0.1, 0.5, 0.9))
    assert left.median_minutes == pytest.approx(middle, rel=0.15)
    assert left.p90_minutes == pytest.approx(high, rel=0.15)
    assert left.p10_minutes == pytest.approx(low, abs=2.5)


def test_ranges_of_phases_are_those_of_the_quote_and_exist_without_jobs() -> None:
    jobs = link_jobs(6)
    expected, answer = expect(LINK, procedure(), jobs), make_quote(LINK, procedure(), jobs)
    for row, phase in zip(answer.phases, expected.experience.phases, strict=True):
        assert (phase.key.phase, phase.key.side) == (row.phase, row.side)
        assert phase.median_minutes == pytest.approx(row.median_minutes, rel=0.03)
    planned = expect(LINK, procedure(), [])
    assert [round(phase.median_minutes) for phase in planned.experience.phases] == pytest.approx([20, 30, 25], abs=2)
    assert planned.outlook.left({}, (ACCESS, LEFT_LINK, REFIT), None, 0.0) is not None


def test_evidence_counts_finished_phases() -> None:
    evidence = gather_evidence(clean_jobs(link_jobs(4)), Plans())
    assert evidence.finished("front-end", "link") == 4
    assert evidence.finished("front-end", "joint") == 0
