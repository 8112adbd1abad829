"""A question is answered from what the logs add up as it would be from every time, and nothing is fitted twice."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from labour.examples import job, link_jobs, make_quote, procedure
from sparehand.labour.fitting.belief import Belief, QuoteInputs, believe_shop
from sparehand.labour.forecasting.quote import quote_from_belief
from sparehand.labour.forecasting.quote_records import Quote, QuoteRequest
from sparehand.log.sqlite import SqliteEventStore
from sparehand.procedures.library import installed_folder
from sparehand.procedures.model import Procedure
from sparehand.procedures.write import procedure_text
from sparehand.shop import shop_belief
from sparehand.shop.shop_belief import FILE, believe_ahead, has_times, quote_inputs

NAME = "front-end"
REQUEST = QuoteRequest(procedure=NAME, operations=("renew-link",), sides=("left",), technician="ana")


@pytest.fixture
def store(tmp_path: Path) -> Iterator[SqliteEventStore]:
    store = SqliteEventStore(tmp_path / "log.sqlite")
    for times in [*link_jobs(50), job(60, {"access": 20, "link/left": 5}, unfinished=("link/left",))]:
        store.times.keep(times)
    for number in range(12):
        store.times.keep(job(100 + number, {"strip": 30 + number}, procedure="another-job", operations=("strip",)))
    yield store
    store.close()


@pytest.fixture
def fits(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """Grows by one each time the shop is fitted."""
    done: list[int] = []

    def counting(*given: object) -> Belief:
        done.append(1)
        return believe_shop(*given)  # type: ignore[arg-type]

    monkeypatch.setattr(shop_belief, "believe_shop", counting)
    return done


def quoted(inputs: QuoteInputs, of: Procedure | None = None) -> Quote:
    return quote_from_belief(REQUEST, of or procedure(), inputs.own, inputs.belief, inputs.plans)


def test_the_quote_is_that_of_all_the_times(store: SqliteEventStore, tmp_path: Path) -> None:
    told = quoted(quote_inputs(store, procedure(), NAME, tmp_path))
    rows = make_quote(REQUEST, procedure(), store.times.of_this_bench())
    assert told.jobs_used == rows.jobs_used == 51
    assert told.flat_rate_hours == rows.flat_rate_hours
    assert told.percentiles == pytest.approx(rows.percentiles, rel=2e-3)
    assert told.notes == rows.notes


def test_nothing_is_fitted_again_while_nothing_changed(
    store: SqliteEventStore, tmp_path: Path, fits: list[int]
) -> None:
    first = quoted(quote_inputs(store, procedure(), NAME, tmp_path))
    again = quoted(quote_inputs(store, procedure(), NAME, tmp_path))
    other = quote_inputs(store, None, "another-job", tmp_path)
    assert again == first
    assert other.own.all_jobs == 12
    assert len(fits) == 2, "once with the plan of one procedure, once without it"
    quote_inputs(store, None, "another-job", tmp_path)
    assert len(fits) == 2


def test_questions_about_installed_procedures_share_one_fit(
    store: SqliteEventStore, tmp_path: Path, fits: list[int]
) -> None:
    installed_folder(tmp_path).mkdir()
    (installed_folder(tmp_path) / f"{NAME}.yaml").write_text(procedure_text(procedure()), encoding="utf-8")
    quote_inputs(store, procedure(), NAME, tmp_path)
    quote_inputs(store, None, "another-job", tmp_path)
    quote_inputs(store, None, "never-timed", tmp_path)
    quote_inputs(store, procedure(), NAME, tmp_path)
    assert len(fits) == 1
    quote_inputs(store, procedure({"access": 25.0, "link": 30.0, "joint": 45.0, "refit": 25.0}), NAME, tmp_path)
    assert len(fits) == 2, "a file that is not the installed one has a plan of its own"


def test_what_is_fitted_ahead_answers_the_next_question(
    store: SqliteEventStore, tmp_path: Path, fits: list[int]
) -> None:
    believe_ahead(store, tmp_path)
    quote_inputs(store, None, NAME, tmp_path)
    assert len(fits) == 1


def test_nothing_is_fitted_ahead_of_an_empty_log(tmp_path: Path, fits: list[int]) -> None:
    believe_ahead(SqliteEventStore(tmp_path / "log.sqlite"), tmp_path)
    assert not fits


def test_a_new_job_a_changed_plan_or_a_damaged_file_is_fitted_anew(
    store: SqliteEventStore, tmp_path: Path, fits: list[int]
) -> None:
    quote_inputs(store, procedure(), NAME, tmp_path)
    store.times.keep(job(200, {"access": 20, "link/left": 30, "refit": 25}))
    assert quote_inputs(store, procedure(), NAME, tmp_path).belief.jobs == 64
    quote_inputs(store, procedure({"access": 25.0, "link": 30.0, "joint": 45.0, "refit": 25.0}), NAME, tmp_path)
    (tmp_path / FILE).write_bytes(b"PK no archive")
    quote_inputs(store, procedure(), NAME, tmp_path)
    assert len(fits) == 4


def test_no_name_stands_in_the_kept_belief(store: SqliteEventStore, tmp_path: Path) -> None:
    quote_inputs(store, procedure(), NAME, tmp_path)
    assert b"ana" not in (tmp_path / FILE).read_bytes()
    store.forget_person("ana")
    inputs = quote_inputs(store, procedure(), NAME, tmp_path)
    assert "ana" not in inputs.belief.technicians
    assert "ana" not in inputs.own.people


def test_phases_that_were_renamed_are_known_by_their_present_names(store: SqliteEventStore, tmp_path: Path) -> None:
    now = procedure({"strip-down": 20.0, "link": 30.0, "joint": 45.0, "refit": 25.0})
    renamed = now.model_copy(
        update={
            "phases": (now.phases[0].model_copy(update={"was": ("access",)}), *now.phases[1:]),
            "operations": tuple(
                each.model_copy(update={"phases": ("strip-down", *each.phases[1:])}) for each in now.operations
            ),
        }
    )
    phases = quoted(quote_inputs(store, renamed, NAME, tmp_path), renamed).phases
    assert [(phase.phase, phase.jobs) for phase in phases] == [("strip-down", 51), ("link", 50), ("refit", 50)]


def test_times_are_known_without_reading_them(store: SqliteEventStore, tmp_path: Path) -> None:
    assert has_times(store, "another-job", tmp_path)
    assert not has_times(store, "a-third", tmp_path)


def test_an_empty_log_repeats_the_plan(tmp_path: Path) -> None:
    store = SqliteEventStore(tmp_path / "none.sqlite", read_only=True)
    assert quoted(quote_inputs(store, procedure(), NAME, tmp_path)).basis == "plan"
