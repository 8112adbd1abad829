"""Practice and clicked-through jobs never count; a person may let them count, or leave others out."""

from __future__ import annotations

from labour.examples import job, link_jobs, make_quote, procedure
from sparehand.labour.forecasting.quote_records import QuoteRequest
from sparehand.times.sample import clean_jobs
from sparehand.times.what_counts import CLICKED_THROUGH, PRACTICE, left_out_reason

REQUEST = QuoteRequest(procedure="front-end", operations=("renew-link",), sides=("left",))
CLICKED = job(50, {"access": 0.05, "link/left": 0.1, "refit": 0.05})
PLANNED = {"access": 1200.0, "link": 1800.0, "refit": 1500.0}


def test_a_job_clicked_through_leaves_every_quote_the_same_to_the_byte() -> None:
    without = make_quote(REQUEST, procedure(), link_jobs(12)).model_dump_json()
    assert make_quote(REQUEST, procedure(), [*link_jobs(12), CLICKED]).model_dump_json() == without


def test_its_reason_is_said_and_a_person_decides_otherwise() -> None:
    assert left_out_reason(CLICKED, PLANNED) == CLICKED_THROUGH
    assert left_out_reason(CLICKED.model_copy(update={"left_out": ""}), PLANNED) == ""
    assert len(clean_jobs([CLICKED.model_copy(update={"left_out": ""})], [procedure()])) == 1


def test_practice_and_what_a_person_leaves_out_do_not_count() -> None:
    assert clean_jobs([each.model_copy(update={"left_out": PRACTICE}) for each in link_jobs(3)], [procedure()]) == ()


def test_quick_work_and_one_clicked_phase_do_not_leave_a_job_out() -> None:
    assert left_out_reason(job(1, {"access": 2, "link/left": 3, "refit": 2}), PLANNED) == ""
    assert left_out_reason(job(1, {"access": 0.05, "link/left": 30, "refit": 25}), PLANNED) == ""
