"""Ids sort by time, can be said, and do not repeat."""

from __future__ import annotations

import re
from datetime import UTC, datetime

from sparehand.ground.clock import start_of_run
from sparehand.ground.ids import new_event_id, new_job_id, new_person_id, new_run_id

MOMENT = start_of_run(datetime(2026, 11, 25, 8, 30, tzinfo=UTC), "run").now()


def test_event_ids_are_version_seven_and_sort_as_they_were_made() -> None:
    ids = [new_event_id() for _ in range(1000)]
    assert ids == sorted(set(ids))
    assert {id.version for id in ids} == {7}


def test_a_job_is_named_by_its_day_and_four_characters_without_vowels() -> None:
    names = {new_job_id(MOMENT) for _ in range(200)}
    assert all(re.fullmatch(r"261125-[b-df-hj-np-tv-z2-9]{4}", name) for name in names)
    assert len(names) > 190


def test_runs_and_people_get_names_of_their_own() -> None:
    assert len({new_run_id() for _ in range(100)}) == 100
    assert len({new_person_id() for _ in range(100)}) == 100
