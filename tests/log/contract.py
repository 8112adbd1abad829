"""What every event store must do; each adapter's tests run all of it."""

from __future__ import annotations

import pytest
from hypothesis import HealthCheck, given, settings

from log.demo import closing, opening, recorded
from log.generated import histories
from sparehand.ground.errors import FailureError, InputError
from sparehand.job.events import HoldEnded, HoldStarted, Recorded, Undone
from sparehand.log.store import EventStore, OutOfStepError

JOB, OTHER = "261125-k7qm", "261126-b2xz"
PARTS = HoldStarted(reason="parts")


class EventStoreContract:
    """Subclasses give a fresh `store`."""

    @pytest.fixture
    def store(self) -> EventStore:
        raise NotImplementedError

    def new_store(self) -> EventStore:
        """A fresh store apart from the fixture, for each generated example."""
        raise NotImplementedError

    @given(history=histories())
    @settings(max_examples=30, deadline=None, suppress_health_check=[HealthCheck.differing_executors])
    def test_what_was_appended_comes_back_equal_in_order(self, history: tuple[Recorded, ...]) -> None:
        store = self.new_store()
        for place, one in enumerate(history):
            store.append(one.job, place, [one])
        assert store.events(history[0].job) == history
        store.close()

    def test_a_decision_with_several_events_is_one_append(self, store: EventStore) -> None:
        told = recorded(JOB, 0, opening(), PARTS, HoldEnded())
        store.append(JOB, 0, told)
        assert store.events(JOB) == told

    def test_events_can_be_had_up_to_one_of_them(self, store: EventStore) -> None:
        told = recorded(JOB, 0, opening(), PARTS, HoldEnded())
        store.append(JOB, 0, told)
        assert store.events(JOB, upto=1) == told[:2]

    def test_a_job_that_is_not_there_has_no_events(self, store: EventStore) -> None:
        assert store.events(JOB) == ()
        assert store.jobs() == ()

    @pytest.mark.parametrize("expected", [0, 2])
    def test_an_append_that_does_not_follow_is_refused_and_leaves_nothing(
        self, store: EventStore, expected: int
    ) -> None:
        store.append(JOB, 0, recorded(JOB, 0, opening()))
        with pytest.raises(OutOfStepError, match="stands at event 1"):
            store.append(JOB, expected, recorded(JOB, expected, PARTS if expected else opening()))
        assert len(store.events(JOB)) == 1

    def test_events_of_another_job_or_out_of_order_are_a_mistake_of_the_program(self, store: EventStore) -> None:
        with pytest.raises(ValueError, match="are not those of job"):
            store.append(JOB, 0, recorded(OTHER, 0, opening()))
        with pytest.raises(ValueError, match="are not those of job"):
            store.append(JOB, 0, [])

    def test_a_job_begins_with_its_opening_and_has_no_other(self, store: EventStore) -> None:
        with pytest.raises(ValueError, match="cannot have 'hold started' as event 0"):
            store.append(JOB, 0, recorded(JOB, 0, PARTS))
        with pytest.raises(ValueError, match="cannot have 'job opened' as event 1"):
            store.append(JOB, 0, recorded(JOB, 0, opening(), opening()))
        assert store.jobs() == ()

    def test_jobs_keep_to_themselves_and_are_listed_oldest_first(self, store: EventStore) -> None:
        store.append(OTHER, 0, recorded(OTHER, 0, opening(vehicle="Demo van 7")))
        store.append(JOB, 0, recorded(JOB, 0, opening(technician="Ole Demo")))
        first, second = store.jobs()
        assert (first.id, first.technician, first.vehicle) == (JOB, "Ole Demo", "Demo van 12")
        assert (second.id, second.technician, second.vehicle) == (OTHER, "Ida Demo", "Demo van 7")
        assert first.opened_at == store.events(JOB)[0].at.wall
        assert first.procedure == "demo-bracket"

    def test_a_job_is_open_until_it_is_closed_and_again_when_that_is_undone(self, store: EventStore) -> None:
        store.append(JOB, 0, recorded(JOB, 0, opening()))
        assert store.jobs()[0].open
        store.append(JOB, 1, recorded(JOB, 1, closing()))
        assert not store.jobs()[0].open
        store.append(JOB, 2, recorded(JOB, 2, Undone(batch=1)))
        assert store.jobs()[0].open

    def test_a_job_is_found_by_its_whole_name_or_a_beginning_that_no_other_has(self, store: EventStore) -> None:
        for job in (JOB, OTHER):
            store.append(job, 0, recorded(job, 0, opening()))
        assert store.find_job(JOB) == JOB
        assert store.find_job("261126") == OTHER

    def test_a_name_that_fits_none_or_several_is_refused_naming_what_there_is(self, store: EventStore) -> None:
        with pytest.raises(InputError, match="sparehand work"):
            store.find_job("26")
        for job in (JOB, OTHER):
            store.append(job, 0, recorded(job, 0, opening()))
        with pytest.raises(InputError, match=f"'2611' names 2 jobs: {OTHER}, {JOB}"):
            store.find_job("2611")
        with pytest.raises(InputError, match=f"no job 'x'; there are: {OTHER}, {JOB}"):
            store.find_job("x")
        with pytest.raises(InputError, match="no job ''"):
            store.find_job("")

    def test_a_claimed_job_is_refused_until_it_is_let_go(self, store: EventStore) -> None:
        with store.claim(JOB):
            with pytest.raises(FailureError, match=f"job {JOB} is open in another window"), store.claim(JOB):
                pass
            with store.claim(OTHER):
                pass
        with store.claim(JOB):
            pass

    def test_a_forgotten_name_is_shown_nowhere_and_the_events_stay(self, store: EventStore) -> None:
        store.append(JOB, 0, recorded(JOB, 0, opening(technician="Ida Demo"), PARTS))
        store.append(OTHER, 0, recorded(OTHER, 0, opening(technician="Ole Demo"), technician="Ole Demo"))
        assert store.forget_person("Ida Demo") == 1
        assert store.forget_person("Ida Demo") == 0
        assert "Ida" not in repr((store.events(JOB), store.jobs()))
        assert len(store.events(JOB)) == 2
        assert {header.technician for header in store.jobs()} > {"Ole Demo"}
