"""A quote before anybody chose a way past a phase: a mixture by how often the shop chose, with each way shown."""

from __future__ import annotations

import numpy as np
import pytest

from labour.examples import job, make_quote, procedure
from sparehand.labour.forecasting.quote_records import Quote, QuoteRequest
from sparehand.procedures.model import Operation, Phase, Procedure, Step
from sparehand.procedures.ways import Way
from sparehand.times.job_times import JobTimes

REQUEST = QuoteRequest(procedure="front-end", operations=("renew-link",))


def with_ways() -> Procedure:
    """The access offers two ways: ten minutes, or eighty."""
    plain = procedure()
    ways = (
        Way(id="quick", title="Quick", consequence="Aligned after it.", phases=("quick-way",)),
        Way(id="slow", title="Slow", consequence="Nothing to align.", phases=("slow-way",)),
    )
    access, *others = plain.phases
    own = tuple(
        Phase(id=id, title=id, planned_minutes=minutes, steps=(Step(id="do", say="Do it."),))
        for id, minutes in (("quick-way", 10), ("slow-way", 80))
    )
    return plain.model_copy(update={"phases": (access.model_copy(update={"ways": ways}), *own, *others)})


def done_by(way: str, count: int) -> list[JobTimes]:
    minutes = {
        "access": 20.0,
        "quick-way": 10.0,
        "slow-way": 80.0,
        "link/left": 30.0,
        "link/right": 30.0,
        "refit": 25.0,
    }
    left_out = {"quick-way", "slow-way"} - {way}
    return [job(number, {k: v for k, v in minutes.items() if k not in left_out}) for number in range(count)]


def quote(*jobs: JobTimes) -> Quote:
    return make_quote(REQUEST, with_ways(), jobs)


def test_without_jobs_all_ways_are_alike_and_the_plan_is_their_mean() -> None:
    given = quote()
    assert [(way.way, way.chance) for way in given.ways] == [("quick", 0.5), ("slow", 0.5)]
    assert given.planned_hours == pytest.approx((20 + 30 + 30 + 25 + (10 + 80) / 2) / 60)


def test_the_chance_of_a_way_is_the_shops_share_with_a_prior_of_one_job() -> None:
    given = quote(*done_by("quick-way", 3))
    assert [way.chance for way in given.ways] == pytest.approx([3.5 / 4, 0.5 / 4])


def test_the_mixture_lies_between_its_ways_by_their_chances() -> None:
    given = quote(*done_by("quick-way", 6))
    quick, slow = (way.median_hours for way in given.ways)
    assert quick < given.median_hours < slow
    over = np.mean(np.array(given.draws_hours) > (quick + slow) / 2)
    assert over == pytest.approx(given.ways[1].chance, abs=0.1)


def test_a_procedure_without_ways_is_quoted_as_before() -> None:
    plain = make_quote(REQUEST, procedure(), [])
    assert plain.ways == ()
    assert plain.planned_hours == pytest.approx((20 + 30 + 30 + 25) / 60)


def test_a_way_that_no_asked_operation_reaches_is_not_shown() -> None:
    both = with_ways()
    alone = Operation(id="refit-only", title="Refit", phases=("refit",))
    changed = both.model_copy(update={"operations": (*both.operations, alone)})
    given = make_quote(REQUEST.model_copy(update={"operations": ("refit-only",)}), changed, [])
    assert given.ways == ()
