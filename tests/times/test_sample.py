"""What the estimates read of a job."""

from __future__ import annotations

from labour.examples import job, procedure
from sparehand.times.job_times import PhaseTime
from sparehand.times.sample import Plans, clean_jobs


def test_snags_are_taken_out_of_the_work_and_kept_apart() -> None:
    (cleaned,) = clean_jobs([job(0, {"access": 30}, snags={"access": 12})])
    assert cleaned.cells[0].seconds == 18 * 60
    assert [(snag.kind, snag.seconds) for snag in cleaned.snags] == [("seized", 720)]


def test_rework_is_left_out() -> None:
    assert clean_jobs([job(0, {"access": 30}, rework=True)]) == ()


def test_two_technicians_in_a_phase_add_up_and_the_busier_one_leads() -> None:
    alone = job(0, {"access": 10}, technician="ana")
    helped = alone.model_copy(update={"phases": (*alone.phases, *job(1, {"access": 25}, technician="ben").phases)})
    (cleaned,) = clean_jobs([helped])
    assert [(cell.seconds, cell.technician) for cell in cleaned.cells] == [(35 * 60, "ben")]


def test_the_second_side_is_known_as_such() -> None:
    (cleaned,) = clean_jobs([job(0, {"link/right": 30, "link/left": 25})])
    assert [cell.second for cell in cleaned.cells] == [False, True]


def test_repetitions_count_by_technician_and_procedure_in_half_doublings() -> None:
    cleaned = clean_jobs([job(number, {"access": 20}) for number in range(8)])
    assert [each.doublings for each in cleaned] == [0, 1, 1.5, 2, 2.5, 2.5, 3, 3]


def test_a_phase_wholly_lost_to_a_snag_leaves_no_time_but_leaves_the_snag() -> None:
    (cleaned,) = clean_jobs([job(0, {"access": 20, "refit": 10}, snags={"access": 20})])
    assert [cell.phase for cell in cleaned.cells] == ["refit"]
    assert len(cleaned.snags) == 1


def test_numbers_that_are_no_times_are_left_out() -> None:
    good = job(0, {"access": 20, "refit": 10})
    broken = [
        PhaseTime.model_construct(
            phase="access", side=None, technician="ana", work_seconds=bad, held_seconds=0.0, snags=(), complete=True
        )
        for bad in (float("nan"), float("inf"), -5.0)
    ]
    (cleaned,) = clean_jobs([good.model_copy(update={"phases": (*broken, good.phases[1])})])
    assert [cell.phase for cell in cleaned.cells] == ["refit"]


def test_phases_and_operations_are_known_by_their_present_names() -> None:
    now = procedure()
    renamed = now.model_copy(update={"phases": (now.phases[0].model_copy(update={"was": ("strip",)}), *now.phases[1:])})
    (cleaned,) = clean_jobs([job(0, {"strip": 20})], [renamed])
    assert cleaned.cells[0].phase == "access"


def test_plans_are_seconds_and_missing_ones_are_typical() -> None:
    plans = Plans.of([procedure({"access": 20, "link": None, "joint": 45, "refit": 25})])
    assert plans.reference("front-end", "access") == 1200
    assert plans.has("front-end", "access")
    assert not plans.has("front-end", "link")
    assert plans.reference("front-end", "link") == 1200
