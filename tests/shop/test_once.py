"""Whatever is imported again, in parts, in any order, after a person was forgotten or a phase renamed counts once."""

from __future__ import annotations

import csv
from pathlib import Path
from random import Random

import pytest
from hypothesis import given, settings, strategies as st

from labour.examples import job, link_jobs, procedure
from sparehand.labour.forecasting.quote import quote_from_belief
from sparehand.labour.forecasting.quote_records import Quote, QuoteRequest
from sparehand.log.phase_renames import remember_rename
from sparehand.log.sqlite import SqliteEventStore
from sparehand.log.times_csv import ImportReport, export_times, import_times
from sparehand.procedures.library import find_procedure, installed_folder
from sparehand.procedures.write import procedure_text
from sparehand.shop.shop_belief import quote_inputs
from sparehand.times.job_times import JobTimes

NAME = "front-end"
LINK = QuoteRequest(procedure=NAME, operations=("renew-link",), sides=("left",))


class Shop:
    """A data folder with the invented procedure installed."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        installed_folder(folder).mkdir(parents=True)
        (installed_folder(folder) / f"{NAME}.yaml").write_text(procedure_text(procedure()), encoding="utf-8")
        self.store = SqliteEventStore(folder / "log.sqlite")

    def import_lines(self, lines: list[list[str]]) -> ImportReport:
        path = self.folder / "times.csv"
        with path.open("w", encoding="utf-8", newline="") as file:
            csv.writer(file).writerows(lines)
        return import_times(path, self.store)

    def rows(self) -> list[tuple[object, ...]]:
        """Every row kept but its technician, in an order of its own."""
        return sorted(
            (times.job, times.corrosion, part.phase, part.side or "", part.work_seconds, part.complete)
            for times in self.store.times.imported()
            for part in times.phases
        )

    def people(self) -> int:
        return len({part.technician for times in self.store.times.imported() for part in times.phases})

    def quote(self) -> Quote:
        file = find_procedure(NAME, self.folder).procedure
        inputs = quote_inputs(self.store, file, NAME, self.folder)
        return quote_from_belief(LINK, file, inputs.own, inputs.belief, inputs.plans)


def lines_of(jobs: list[JobTimes], folder: Path) -> list[list[str]]:
    export_times(jobs, folder / "all.csv")
    with (folder / "all.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.reader(file))


def require_alike(shop: Shop, other: Shop) -> None:
    assert shop.rows() == other.rows()
    assert shop.people() == other.people()
    ours, theirs = shop.quote(), other.quote()
    assert ours.flat_rate_hours == theirs.flat_rate_hours
    assert ours.percentiles == pytest.approx(theirs.percentiles, rel=1e-6)
    assert ours.jobs_used == theirs.jobs_used


def settle(shop: Shop, steps: list[str]) -> None:
    """Forget and rename, if those are among the steps."""
    if "forget" in steps:
        shop.store.forget_person("ana")
    if "rename" in steps:
        remember_rename(shop.folder, procedure(), "undo", "access")


steps = st.lists(st.sampled_from(("again", "first half", "second half", "shuffled", "forget", "rename")), max_size=5)


@settings(max_examples=25, deadline=None)
@given(steps, st.randoms(use_true_random=False), st.booleans())
def test_the_same_times_are_the_same_rows_and_the_same_quote_whatever_happens_to_them(
    tmp_path_factory: pytest.TempPathFactory, taken: list[str], order: Random, with_old_name: bool
) -> None:
    jobs = [*link_jobs(14), job(40, {"access": 20, "link/left": 5}, unfinished=("link/left",))]
    jobs += [job(50 + n, {"access": 20 + n, "link/left": 30, "refit": 25}, technician="cleo") for n in range(3)]
    shop, plain = Shop(tmp_path_factory.mktemp("shop")), Shop(tmp_path_factory.mktemp("plain"))
    header, *lines = lines_of(jobs, shop.folder)
    if with_old_name:
        lines = [[("undo" if cell == "access" else cell) for cell in line] for line in lines]
    shop.import_lines([header, *lines])
    plain.import_lines([header, *lines])
    settle(plain, taken)
    for step in taken:
        if step in ("forget", "rename"):
            shop.quote()
            settle(shop, [step])
            continue
        half = len(lines) // 2
        some = {"first half": lines[:half], "second half": lines[half:]}.get(step, list(lines))
        if step == "shuffled":
            order.shuffle(some)
        report = shop.import_lines([header, *some])
        assert (report.taken, report.known, report.bad) == (0, len(some), 0)
    require_alike(shop, plain)


@settings(max_examples=15, deadline=None)
@given(st.randoms(use_true_random=False), st.integers(1, 60), st.booleans())
def test_halves_in_any_order_are_the_whole(
    tmp_path_factory: pytest.TempPathFactory, order: Random, cut: int, overlapping: bool
) -> None:
    shop, plain = Shop(tmp_path_factory.mktemp("shop")), Shop(tmp_path_factory.mktemp("plain"))
    header, *lines = lines_of(link_jobs(20), shop.folder)
    plain.import_lines([header, *lines])
    mixed = list(lines)
    order.shuffle(mixed)
    first, second = mixed[:cut], mixed[cut - 1 if overlapping else cut :]
    for some in (second, first):
        shop.import_lines([header, *some])
    require_alike(shop, plain)


def test_a_file_that_was_left_half_taken_brings_no_forgotten_name_back(tmp_path: Path) -> None:
    shop = Shop(tmp_path)
    header, *lines = lines_of(link_jobs(6), tmp_path)
    shop.import_lines([header, *lines[:9]])
    shop.store.forget_person("ana")
    assert shop.import_lines([header, *lines]).taken == len(lines) - 9
    assert "ana" not in {part.technician for times in shop.store.times.imported() for part in times.phases}
    assert shop.people() == 2


def test_a_person_forgotten_and_then_recorded_again_counts_once_in_the_same_file(tmp_path: Path) -> None:
    shop = Shop(tmp_path)
    header, *lines = lines_of(link_jobs(6), tmp_path)
    shop.import_lines([header, *lines])
    shop.store.forget_person("ana")
    shop.store.times.keep(job(90, {"access": 20}, technician="ana"))
    report = shop.import_lines([header, *lines])
    assert (report.taken, report.known, report.bad) == (0, len(lines), 0)


def test_a_person_whom_an_older_version_forgot_is_known_by_the_rows(tmp_path: Path) -> None:
    shop = Shop(tmp_path)
    header, *lines = lines_of(link_jobs(6), tmp_path)
    shop.import_lines([header, *lines[:9]])
    shop.store.forget_person("ana")
    with shop.store.engine.begin() as connection:
        connection.exec_driver_sql("UPDATE people SET forgotten = NULL")
    report = shop.import_lines([header, *lines])
    assert (report.taken, report.known) == (len(lines) - 9, 9)
    assert shop.people() == 2
    assert "ana" not in {part.technician for times in shop.store.times.imported() for part in times.phases}


def test_a_changed_row_of_a_forgotten_person_is_refused_as_anyone_s_would_be(tmp_path: Path) -> None:
    shop = Shop(tmp_path)
    header, *lines = lines_of(link_jobs(6), tmp_path)
    shop.import_lines([header, *lines])
    shop.store.forget_person("ana")
    place = header.index("work_seconds")
    changed = [list(line) for line in lines]
    changed[0][place] = "1199"
    report = shop.import_lines([header, *changed])
    assert (report.taken, report.bad) == (0, 1)
    assert "'1199' differs from" in report.errors[0].says
