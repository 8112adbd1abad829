"""Which phases a quote needs."""

from __future__ import annotations

import pytest

from labour.examples import job, procedure
from sparehand.ground.errors import InputError
from sparehand.labour.evidence.shop_evidence import Evidence, gather_evidence
from sparehand.labour.forecasting.quoted_phases import run_from_procedure, run_from_times
from sparehand.times.sample import Plans, clean_jobs


def evidence() -> Evidence:
    link = [job(n, {"access": 20, "link/left": 30, "refit": 25}) for n in range(4)]
    link.append(job(4, {"access": 20, "link/right": 30, "refit": 25, "paint": 5}))
    joint = [job(9, {"access": 20, "joint/left": 45, "refit": 25}, operations=("renew-joint",))]
    return gather_evidence(clean_jobs([*link, *joint]), Plans())


def test_each_phase_once_with_how_many_operations_want_it() -> None:
    run = run_from_procedure(procedure(), ["renew-link", "renew-joint"], ["left"])
    assert [(str(need.key), need.wanted_by) for need in run.needs] == [
        ("access", 2),
        ("link/left", 1),
        ("joint/left", 1),
        ("refit", 2),
    ]


def test_the_second_side_is_marked() -> None:
    run = run_from_procedure(procedure(), ["renew-link"], ["right", "left"])
    assert [(str(need.key), need.second) for need in run.needs if need.key.phase == "link"] == [
        ("link/right", False),
        ("link/left", True),
    ]


def test_what_another_operation_adds() -> None:
    run = run_from_procedure(procedure(), ["renew-link"], ["left"])
    assert [(name, [str(need.key) for need in added]) for name, added in run.others] == [
        ("renew-joint", ["joint/left"])
    ]


def test_without_a_file_the_usual_phases_of_the_operation_are_needed() -> None:
    run = run_from_times("front-end", ["renew-link"], ["left"], evidence())
    assert [str(need.key) for need in run.needs] == ["access", "link/left", "refit"]
    assert run.others[0][0] == "renew-joint"


def test_without_a_file_all_known_operations_and_sides_are_the_default() -> None:
    run = run_from_times("front-end", [], [], evidence())
    assert run.operations == ("renew-link", "renew-joint")
    assert run.sides == ("left", "right")
    assert {str(need.key) for need in run.needs} == {
        "access",
        "link/left",
        "link/right",
        "joint/left",
        "joint/right",
        "refit",
    }


def test_a_side_never_timed_is_refused() -> None:
    with pytest.raises(InputError, match="name side 'front'"):
        run_from_times("front-end", [], ["front"], evidence())
