"""What a quote says, and what it must never say."""

from __future__ import annotations

import json
import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings, strategies as st

from labour.examples import PLAN, job, link_jobs, make_quote, procedure, quote_from_evidence
from sparehand.ground.errors import InputError
from sparehand.labour.evidence.shop_evidence import Evidence, gather_evidence
from sparehand.labour.fitting.belief import believe_shop
from sparehand.labour.fitting.priors import Priors
from sparehand.labour.forecasting.quote import flat_rate, quote_from_belief
from sparehand.labour.forecasting.quote_records import Quote, QuoteRequest
from sparehand.labour.forecasting.widening import Widening
from sparehand.times.job_times import JobTimes, PhaseTime
from sparehand.times.sample import Plans, clean_jobs

LINK = QuoteRequest(
    procedure="front-end", operations=("renew-link",), sides=("left",), corrosion="none", support="lift"
)
BOTH = LINK.model_copy(update={"operations": ("renew-link", "renew-joint")})


def quote(request: QuoteRequest, jobs: list[JobTimes], **more: Any) -> Quote:
    return make_quote(request, procedure(), jobs, **more)


def test_json_holds_exactly_the_promised_fields() -> None:
    answer = json.loads(quote(LINK, link_jobs(3)).model_dump_json())
    assert list(answer) == [
        "procedure",
        "operations",
        "sides",
        "technician",
        "conditions",
        "jobs_used",
        "basis",
        "median_hours",
        "percentiles",
        "flat_rate_hours",
        "chance_over",
        "phases",
        "snags",
        "shared_minutes",
        "also",
        "figure_hours",
        "mean_hours",
        "expected_loss_hours",
        "past_forecasts",
        "ways",
    ]
    assert list(answer["percentiles"]) == ["5", "10", "25", "50", "75", "80", "90", "95"]
    assert list(answer["phases"][0]) == ["phase", "side", "median_minutes", "p10_minutes", "p90_minutes", "jobs"]


def test_without_jobs_it_repeats_the_plan_with_the_stated_spread_and_says_so() -> None:
    answer = quote(LINK, [])
    assert (answer.basis, answer.jobs_used, answer.snags) == ("plan", 0, ())
    assert answer.median_hours == pytest.approx(75 / 60, rel=0.01)
    assert answer.percentiles["10"] / answer.median_hours == pytest.approx(0.73, rel=0.03)
    assert answer.percentiles["90"] / answer.median_hours == pytest.approx(2.27, rel=0.03)
    assert answer.notes[0].startswith("Nothing has been timed")


def test_jobs_move_it_from_the_plan_to_the_times_and_narrow_it() -> None:
    answers = [quote(LINK, link_jobs(count, factor=1.5)) for count in (1, 5, 40)]
    medians = [answer.median_hours for answer in answers]
    widths = [answer.percentiles["90"] / answer.percentiles["10"] for answer in answers]
    assert 75 / 60 < medians[0] < medians[1] < medians[2]
    assert medians[2] == pytest.approx(1.5 * 75 / 60, rel=0.05)
    assert widths[0] > widths[1] > widths[2]
    assert {answer.basis for answer in answers} == {"times"}


def test_other_procedures_teach_how_the_shops_plans_miss() -> None:
    other = procedure(id="rear-end")
    elsewhere = [
        each.model_copy(update={"procedure": "rear-end", "job": f"r{each.job}"}) for each in link_jobs(30, 1.6)
    ]
    answer = quote(LINK, elsewhere, others=[other])
    assert (answer.basis, answer.jobs_used) == ("plan", 0)
    assert answer.median_hours > 1.25 * 75 / 60


def test_phases_without_plans_are_believed_to_take_what_they_took() -> None:
    file = procedure(dict.fromkeys(PLAN))
    days = [job(n, {"access": 1300.0 + 90 * n, "link/left": 700.0, "refit": 600.0 - 40 * n}) for n in range(2)]
    answer = make_quote(LINK, file, days)
    assert 0.7 < answer.median_hours / 43.6 < 1.4
    assert answer.percentiles["10"] > 43.6 / 4
    assert answer.percentiles["90"] < 4 * 43.6


def test_a_phase_neither_planned_nor_timed_is_a_wide_guess_at_twenty_minutes() -> None:
    answer = make_quote(BOTH, procedure(dict.fromkeys(PLAN)), link_jobs(3))
    joint = next(phase for phase in answer.phases if phase.phase == "joint")
    assert 15 < joint.median_minutes < 30
    assert joint.p10_minutes < 10
    assert 45 < joint.p90_minutes < 120


def test_access_that_operations_share_is_counted_once() -> None:
    jobs = link_jobs(10)
    link, both = quote(LINK, jobs), quote(BOTH, jobs)
    joint = quote(LINK.model_copy(update={"operations": ("renew-joint",)}), jobs)
    saved = (link.median_hours + joint.median_hours - both.median_hours) * 60
    assert both.shared_minutes == pytest.approx(saved, rel=0.15)
    assert link.shared_minutes == 0
    assert link.also[0].operation == "renew-joint"
    assert link.also[0].marginal_hours == pytest.approx(both.median_hours - link.median_hours, rel=0.1)


def test_flat_rate_is_in_tenths_and_the_smallest_within_the_risk() -> None:
    for risk in (0.05, 0.3, 0.6):
        answer = quote(LINK.model_copy(update={"risk": risk}), link_jobs(4))
        hours = np.array(answer.draws_hours)
        assert answer.flat_rate_hours * 10 == pytest.approx(round(answer.flat_rate_hours * 10))
        assert answer.chance_over == np.mean(hours > answer.flat_rate_hours) <= risk
        assert np.mean(hours > answer.flat_rate_hours - 0.1) > risk


def test_chance_over_is_that_of_the_hours_asked_about() -> None:
    answer = quote(LINK.model_copy(update={"hours": 1.0}), link_jobs(4))
    assert answer.chance_over == np.mean(np.array(answer.draws_hours) > 1.0)


def test_an_allowance_raises_the_figure_but_not_the_percentiles_and_lowers_its_chance() -> None:
    plain, allowed = quote(LINK, link_jobs(4)), quote(LINK.model_copy(update={"allowance_percent": 15}), link_jobs(4))
    assert allowed.percentiles == plain.percentiles
    assert plain.flat_rate_hours * 1.1 < allowed.flat_rate_hours < plain.flat_rate_hours * 1.25
    assert allowed.chance_over == np.mean(np.array(allowed.draws_hours) > allowed.flat_rate_hours)
    assert allowed.chance_over < plain.chance_over - 0.1
    asked = quote(LINK.model_copy(update={"hours": allowed.flat_rate_hours}), link_jobs(4))
    assert (allowed.chance_over, allowed.expected_loss_hours) == (asked.chance_over, asked.expected_loss_hours)


def test_mean_and_expected_loss_are_those_of_the_draws() -> None:
    answer = quote(LINK.model_copy(update={"hours": 1.0}), link_jobs(4))
    hours = np.array(answer.draws_hours)
    assert answer.mean_hours == pytest.approx(hours.mean())
    assert answer.expected_loss_hours == pytest.approx(np.where(hours > 1.0, hours - 1.0, 0.0).mean())
    assert answer.mean_hours > answer.median_hours


def test_a_widened_quote_keeps_its_median_says_why_and_charges_for_the_risk() -> None:
    plans = Plans.of([procedure()])
    evidence = gather_evidence(clean_jobs(link_jobs(8)), plans)
    belief = believe_shop(evidence, plans, Priors())
    plain, wide = (
        quote_from_belief(LINK, procedure(), evidence.of("front-end"), belief, plans, widening=widening)
        for widening in (None, Widening(1.5, "Of the last 40 jobs, few held."))
    )
    assert (plain.past_forecasts, wide.past_forecasts) == ("", "Of the last 40 jobs, few held.")
    assert wide.median_hours == pytest.approx(plain.median_hours, rel=1e-3)
    for share in ("5", "90"):
        grown = math.log(wide.percentiles[share] / wide.median_hours)
        assert grown == pytest.approx(1.5 * math.log(plain.percentiles[share] / plain.median_hours), rel=1e-2)
    assert wide.flat_rate_hours >= plain.flat_rate_hours
    assert wide.phases[0].p90_minutes > plain.phases[0].p90_minutes


def test_the_same_question_gets_the_same_answer() -> None:
    assert quote(LINK, link_jobs(6)) == quote(LINK, list(reversed(link_jobs(6))))


def test_holds_are_not_labour_but_delay() -> None:
    held = [each.model_copy(update={"phases": tuple(_held(part) for part in each.phases)}) for each in link_jobs(8)]
    answer, plain = quote(LINK, held), quote(LINK, link_jobs(8))
    assert answer.median_hours == plain.median_hours
    assert answer.delay is not None
    assert answer.delay.median_hours == pytest.approx(1.5)
    assert answer.delay.chance > 0.9


def _held(part: Any) -> Any:
    return part.model_copy(update={"held_seconds": 1800.0})


def test_a_snag_is_neither_an_outlier_nor_thrown_away() -> None:
    jobs = link_jobs(12)
    snagged = job(20, {"access": 20, "link/left": 30 + 120, "refit": 25}, snags={"link/left": 120})
    with_snag, without = quote(LINK, [*jobs, snagged]), quote(LINK, jobs)
    assert with_snag.median_hours == pytest.approx(without.median_hours, rel=0.06)
    assert with_snag.percentiles["95"] > without.percentiles["95"]
    assert with_snag.snags[0].phase == "link"
    assert with_snag.snags[0].kind == "seized"


def test_corrosion_and_stands_take_longer() -> None:
    jobs = link_jobs(6)
    heavy = quote(LINK.model_copy(update={"corrosion": "heavy"}), jobs)
    stands = quote(LINK.model_copy(update={"support": "stands"}), jobs)
    plain = quote(LINK, jobs)
    assert heavy.median_hours > 1.1 * plain.median_hours
    assert stands.median_hours > plain.median_hours


@settings(max_examples=20, deadline=None)
@given(
    st.lists(
        st.tuples(
            st.floats(10, 60), st.sampled_from(["none", "light", "heavy", "unknown"]), st.booleans(), st.floats(0, 20)
        ),
        max_size=25,
    ),
    st.sampled_from([1.0, 1.3, 2.5]),
)
def test_more_corrosion_is_never_quoted_cheaper(drawn: list[tuple[float, str, bool, float]], factor: float) -> None:
    """Whatever the times say: they may be slow on clean vehicles, quick on rusty ones, with snags on either."""
    jobs = [
        job(
            n,
            {"access": 20, "link/left": taken + lost, "refit": 25},
            corrosion=corrosion,
            unfinished=("refit",) if cut else (),
            snags={"link/left": lost} if lost > 1 else {},
        )
        for n, (taken, corrosion, cut, lost) in enumerate(drawn)
    ]
    plans = Plans.of([procedure()])
    evidence = gather_evidence(clean_jobs(jobs), plans)
    belief, widening = believe_shop(evidence, plans, Priors()), Widening(factor, "" if factor == 1 else "few held")
    none, light, heavy = (
        quote_from_belief(asked, procedure(), evidence.of("front-end"), belief, plans, widening=widening)
        for asked in (LINK.model_copy(update={"corrosion": level}) for level in ("none", "light", "heavy"))
    )
    for less, more in ((none, light), (light, heavy)):
        assert less.flat_rate_hours <= more.flat_rate_hours
        assert less.median_hours <= more.median_hours
        assert less.mean_hours <= more.mean_hours
        assert all(less.percentiles[share] <= more.percentiles[share] for share in ("50", "75", "90", "95"))


def test_a_technicians_own_pace_shows_once_there_are_jobs_and_is_pooled_before() -> None:
    def pace(count: int) -> float:
        jobs = []
        for number in range(2 * count):
            who, factor = (("ana", 0.8), ("ben", 1.25))[number % 2]
            minutes = {"access": 20 * factor, "link/left": 30 * factor, "refit": 25 * factor}
            jobs.append(job(number, minutes, technician=who))
        medians = [quote(LINK.model_copy(update={"technician": who}), jobs).median_hours for who in ("ana", "ben")]
        return medians[1] / medians[0]

    assert 1.0 < pace(1) < pace(12)
    assert pace(12) == pytest.approx(1.25 / 0.8, rel=0.02)


def test_a_procedure_without_a_file_is_quoted_from_imported_times() -> None:
    answer = make_quote(LINK.model_copy(update={"operations": ()}), None, link_jobs(10))
    assert [(row.phase, row.side) for row in answer.phases] == [("access", None), ("link", "left"), ("refit", None)]
    assert answer.median_hours == pytest.approx(75 / 60, rel=0.1)


def test_evidence_gathered_piece_by_piece_gives_the_same_quote() -> None:
    plans = Plans.of([procedure()])
    sample = clean_jobs([*link_jobs(9), job(20, {"access": 18, "link/left": 5}, unfinished=("link/left",))])
    whole = gather_evidence(sample, plans)
    pieces = sum((gather_evidence([each], plans) for each in sample), Evidence())
    together = quote_from_evidence(LINK, procedure(), pieces, plans)
    assert together.percentiles == pytest.approx(
        quote_from_evidence(LINK, procedure(), whole, plans).percentiles, rel=1e-6
    )


def part(phase: str, seconds: float) -> PhaseTime:
    """A phase time that no reader would let pass."""
    return PhaseTime.model_construct(
        phase=phase, side=None, technician="ana", work_seconds=seconds, held_seconds=seconds, snags=(), complete=True
    )


@pytest.mark.parametrize("seconds", [float("nan"), float("inf"), -float("inf"), -5.0, 0.0])
@pytest.mark.parametrize("count", [1, 12])
def test_seconds_that_are_none_still_get_a_sane_answer(seconds: float, count: int) -> None:
    jobs = link_jobs(count)
    broken = [each.model_copy(update={"phases": (part("access", seconds), *each.phases[1:])}) for each in jobs]
    assert_sane(make_quote(LINK, procedure(), broken))
    nothing = [each.model_copy(update={"phases": (part("access", seconds),)}) for each in broken]
    assert_sane(make_quote(LINK, procedure(), nothing))


def test_jobs_that_contradict_each_other_about_conditions_still_get_a_sane_answer() -> None:
    """Quick on a rusty vehicle, slow on a clean one: believed only as far as so few jobs can be."""
    odd = [job(n, {"access": 10, "refit": 12}, corrosion="heavy", support="stands") for n in range(4)]
    odd += [job(10 + n, {"access": 40, "refit": 50}) for n in range(4)]
    for corrosion in ("none", "light", "heavy"):
        assert_sane(make_quote(LINK.model_copy(update={"corrosion": corrosion}), procedure(), odd))


def test_a_technician_never_seen_is_said_to_be_new() -> None:
    answer = make_quote(LINK.model_copy(update={"technician": "a stranger"}), procedure(), link_jobs(8))
    assert_sane(answer)
    assert "a stranger has no times here: taken as someone new to the shop." in answer.notes


def test_a_misspelt_technician_is_asked_about() -> None:
    for name in ("Ana", "anna"):
        answer = make_quote(LINK.model_copy(update={"technician": name}), procedure(), link_jobs(8))
        assert f"{name} has no times here: taken as someone new to the shop. Is ana meant?" in answer.notes


def test_few_effective_points_are_said_to_make_the_range_rough() -> None:
    plans = Plans.of([procedure()])
    evidence = gather_evidence(clean_jobs(link_jobs(8)), plans)
    belief = replace(believe_shop(evidence, plans, Priors()), effective=1.2)
    answer = quote_from_belief(LINK, procedure(), evidence.of("front-end"), belief, plans)
    assert_sane(answer)
    assert "The times fit the model badly: take the range as rough." in answer.notes


@pytest.mark.parametrize(
    ("request_", "file", "says"),
    [
        (LINK.model_copy(update={"operations": ("paint",)}), True, "no operation 'paint'"),
        (LINK.model_copy(update={"sides": ("front",)}), True, "no side 'front'"),
        (LINK.model_copy(update={"procedure": "unheard-of"}), False, "neither a procedure file nor times"),
        (LINK.model_copy(update={"operations": ("paint",)}), False, "no times of 'front-end' name operation 'paint'"),
    ],
)
def test_wrong_input_is_one_clear_line(request_: QuoteRequest, file: bool, says: str) -> None:
    with pytest.raises(InputError, match=says) as caught:
        make_quote(request_, procedure() if file else None, link_jobs(2))
    assert "\n" not in str(caught.value)


def assert_sane(answer: Quote) -> None:
    """Finite, ordered, non-negative, and it says what it leans on."""
    hours = list(answer.percentiles.values())
    assert all(math.isfinite(each) and each >= 0 for each in (*hours, answer.median_hours, answer.flat_rate_hours))
    assert hours == sorted(hours)
    assert 0 <= answer.chance_over <= 1
    for row in answer.phases:
        assert 0 <= row.p10_minutes <= row.median_minutes <= row.p90_minutes < math.inf
    assert all(math.isfinite(snag.minutes) and 0 <= snag.chance <= 1 for snag in answer.snags)
    assert answer.notes


@pytest.mark.parametrize(
    "jobs",
    [
        [job(0, {"access": 20})],
        [job(0, {"access": 20, "link/left": 30}, unfinished=("access", "link/left"))],
        [job(n, {"access": 5}, unfinished=("access",)) for n in range(6)],
        [job(0, {"access": 0, "link/left": 0, "refit": 0})],
        [job(0, {"access": 1e6 / 60, "link/left": 1e6 / 60, "refit": 1e6 / 60})],
        [*link_jobs(10), job(30, {"access": 1e6 / 60})],
        [job(0, {"access": 20, "link/left": 1e6 / 60, "refit": 1 / 60})],
        [job(0, {"access": 20}, snags={"access": 20})],
        [job(0, {"access": 2000}, snags={"access": 1900})],
        [job(n, {"link/left": 30.0}) for n in range(30)],
        [job(0, {"something-else": 20})],
        [job(0, {"access": 20}, rework=True)],
    ],
    ids=[
        "one phase once",
        "all unfinished",
        "always left early",
        "nothing but zeros",
        "a million seconds",
        "one outlier",
        "both extremes",
        "all snag",
        "nearly all snag",
        "no spread at all",
        "other phases",
        "only rework",
    ],
)
def test_bad_input_still_gets_a_sane_answer(jobs: list[JobTimes]) -> None:
    assert_sane(quote(LINK.model_copy(update={"technician": "a stranger"}), jobs))


minutes = st.one_of(st.floats(0, 1e5), st.floats(5, 60), st.just(0.0))


@settings(max_examples=25, deadline=None)
@given(
    st.lists(
        st.tuples(
            st.dictionaries(st.sampled_from(["access", "link/left", "link/right", "refit", "joint/left"]), minutes),
            st.sampled_from(["ana", "ben"]),
            st.sampled_from(["none", "light", "heavy"]),
            st.booleans(),
        ),
        max_size=6,
    )
)
def test_any_jobs_give_a_sane_answer(drawn: list[tuple[dict[str, float], str, str, bool]]) -> None:
    jobs = [
        job(n, taken, technician=who, corrosion=corrosion, unfinished=tuple(taken) if cut else ())
        for n, (taken, who, corrosion, cut) in enumerate(drawn)
    ]
    assert_sane(quote(BOTH, jobs))


@given(st.lists(st.floats(0, 50), min_size=1, max_size=200), st.floats(0.01, 0.99))
def test_flat_rate_holds_for_any_hours(hours: list[float], risk: float) -> None:
    figure = flat_rate(np.array(hours), risk)
    assert np.mean(np.array(hours) > figure) <= risk
    assert figure == pytest.approx(round(figure, 1))
    assert figure <= 0.1 or np.mean(np.array(hours) > figure - 0.1 - 1e-9) > risk or figure - 0.1 < min(hours)
