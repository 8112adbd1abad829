"""What another procedure for the same vehicle may add: its hours before, and what its own quotes learn after."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest

from job.test_second_plan import AXLE, BOOT, HUB, HUB_FILE, worked
from sparehand.job.events import JobOpened
from sparehand.job.experience import Experience
from sparehand.job.state import JobState, fold
from sparehand.log.sqlite import SqliteEventStore
from sparehand.log.timesheet import job_times, timesheet
from sparehand.log.verify import verify
from sparehand.procedures.library import installed_folder, others_for_vehicle
from sparehand.procedures.plan import PhaseKey
from sparehand.shop.earlier_jobs import shop_experience, shop_times
from sparehand.shop.offers import experience_now, with_offers
from sparehand.shop.shop_belief import inputs_for_job, quote_inputs
from sparehand.times.job_times import JobTimes


@pytest.fixture
def store(tmp_path: Path) -> Iterator[SqliteEventStore]:
    """A bench that has the hub's procedure installed."""
    installed_folder(tmp_path).mkdir()
    shutil.copy(HUB_FILE, installed_folder(tmp_path) / "hub-boot.yaml")
    store = SqliteEventStore(tmp_path / "log.sqlite")
    yield store
    store.close()


def offered(opened: JobOpened, store: SqliteEventStore) -> Experience:
    return with_offers(shop_experience(opened), opened, store)


def test_only_a_procedure_for_the_same_vehicle_is_offered(store: SqliteEventStore) -> None:
    folder = store.path.parent
    assert [one.procedure.id for one in others_for_vehicle(AXLE, folder)] == ["hub-boot"]
    assert others_for_vehicle(AXLE.model_copy(update={"vehicle": "Quenby Lark van (invented)"}), folder) == ()
    (installed_folder(folder) / "hub-boot.yaml").write_text("vehicle: Quenby Lark estate (invented)\n")
    assert others_for_vehicle(AXLE, folder) == ()


def test_its_hours_stand_beside_those_of_the_job_by_the_ids_of_the_run(store: SqliteEventStore) -> None:
    state = worked().state
    experience = offered(state.opened, store)
    (hours,) = (one for one in experience.added if one.operation == BOOT)
    planned = sum(phase.planned_minutes or 0 for phase in HUB.phases) / 60
    assert hours.p10_hours < hours.median_hours < hours.p90_hours
    assert hours.median_hours == pytest.approx(planned, rel=0.25)
    assert experience.expected(PhaseKey("hub-boot.boot-work", "left")) is not None
    assert [one.sha256 != "" for one in experience.offers] == [True]


def test_a_running_job_expects_what_joined_it(store: SqliteEventStore) -> None:
    state = worked().state
    experience = experience_now(state, inputs_for_job(state.opened, store), store)
    assert experience.outlook is not None
    keys = {one.key for one in experience.outlook.phases}
    assert {planned.key for planned in state.plan.phases} <= keys


def closed(store: SqliteEventStore) -> JobTimes:
    """The job in the log, with its times kept."""
    table = worked()
    for number, one in enumerate(table.history):
        store.append(one.job, number, [one])
    times = job_times(table.state, timesheet(table.state))
    store.times.keep(times)
    return times


def test_its_own_quotes_learn_from_it(store: SqliteEventStore) -> None:
    times = closed(store)
    assert store.times.of_this_bench("hub-boot") == times.joined
    assert [one.job for one in store.times.of_this_bench()] == ["a-job", "a-job+hub-boot"]
    store.times.decide("a-job", "")  # clicked through in seconds, it counts only where a person says so
    assert quote_inputs(store, HUB, "hub-boot", store.path.parent).own.jobs == {("hub-boot", "Ada Brook"): 1}
    assert [one.job for one in shop_times(store, "hub-boot")] == ["a-job+hub-boot"]


def test_kept_times_go_and_come_with_those_of_their_job(store: SqliteEventStore) -> None:
    times = closed(store)
    store.times.keep(times)
    assert len(store.times.of_this_bench()) == 2
    store.times.decide("a-job", "practice only")
    assert {one.left_out for one in store.times.of_this_bench()} == {"practice only"}
    store.times.drop("a-job")
    assert store.times.of_this_bench() == ()


def test_the_log_with_a_second_plan_is_found_sound_and_folds_as_before(store: SqliteEventStore) -> None:
    closed(store)
    assert all(one.sound for one in verify(store, times_of=lambda history: _times(fold(history))))
    assert fold(store.events("a-job")).plan == worked().state.plan


def _times(state: JobState) -> JobTimes:
    return job_times(state, timesheet(state))
