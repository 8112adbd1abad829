"""Which jobs count is shown at the desk, and decided by a person; each decision can be taken back and is recorded."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from cli.test_command_line import run
from labour.examples import job, link_jobs, procedure
from sparehand.ground.places import LOG_FILE
from sparehand.log.sqlite import SqliteEventStore
from sparehand.log.times_csv import export_times
from sparehand.log.visit_records import TIMES_DECIDED, VisitRecords
from sparehand.procedures.library import installed_folder
from sparehand.procedures.write import procedure_text
from sparehand.times.sample import Plans
from sparehand.times.what_counts import CLICKED_THROUGH, left_out_reason

ASKED = ("quote", "front-end", "--json")
CLICKED = job(50, {"access": 0.05, "link/left": 0.1, "refit": 0.05})


@pytest.fixture
def shop(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Path:
    """A data folder with twelve ordinary jobs and one that was clicked through."""
    export_times([*link_jobs(12), CLICKED], tmp_path / "times.csv")
    assert run("times", "import", tmp_path / "times.csv", "--data", tmp_path, capsys=capsys)[0] == 0
    return tmp_path


def quoted(shop: Path, capsys: pytest.CaptureFixture[str]) -> str:
    code, out, _ = run(*ASKED, "--data", shop, capsys=capsys)
    assert code == 0
    return out


def test_one_clicked_through_job_leaves_every_quote_the_same_to_the_byte(
    shop: Path, tmp_path_factory: pytest.TempPathFactory, capsys: pytest.CaptureFixture[str]
) -> None:
    clean = tmp_path_factory.mktemp("clean")
    export_times(link_jobs(12), clean / "times.csv")
    run("times", "import", clean / "times.csv", "--data", clean, capsys=capsys)
    assert quoted(shop, capsys) == quoted(clean, capsys)
    for more in (("--technician", "ana"), ("--corrosion", "heavy"), ("--hours", "2")):
        asked = (*ASKED, *more, "--data")
        assert run(*asked, shop, capsys=capsys) == run(*asked, clean, capsys=capsys)


def test_review_lists_what_does_not_count_with_its_reason(shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out = run("times", "review", "--data", shop, capsys=capsys)[1]
    assert f"job-50  2024-04-20  front-end: left out, {CLICKED_THROUGH}" in out
    assert "1 of 13 jobs do not count" in out


def test_an_imported_job_is_judged_by_its_plan_as_one_timed_here_is(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    quick = job(60, {"access": 0.7, "link/left": 0.7, "refit": 0.7})
    kept = left_out_reason(quick, Plans.of([procedure()]).of_procedure("front-end"))
    assert kept == CLICKED_THROUGH
    for installed in (False, True):
        folder = tmp_path / str(installed)
        installed_folder(folder).mkdir(parents=True)
        if installed:
            (installed_folder(folder) / "front-end.yaml").write_text(procedure_text(procedure()), encoding="utf-8")
        export_times([quick, job(61, {"access": 20})], folder / "times.csv")
        run("times", "import", folder / "times.csv", "--data", folder, capsys=capsys)
        out = run("times", "review", "--data", folder, capsys=capsys)[1]
        assert (f"job-60  2024-04-30  front-end: left out, {kept}" in out) is installed
        assert f"{int(installed)} of 2 jobs do not count" in out
    export_times([quick, job(60, {"joint/left": 90, "joint/right": 90, "link/right": 30})], folder / "times.csv")
    run("times", "import", folder / "times.csv", "--data", folder, capsys=capsys)
    assert "0 of 2 jobs do not count" in run("times", "review", "--data", folder, capsys=capsys)[1]


def test_a_decision_changes_the_quote_and_taking_it_back_restores_it(
    shop: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    before = quoted(shop, capsys)
    said = run("times", "leave-out", "job-3", "--why", "the lift stood still", "--data", shop, capsys=capsys)[1]
    assert "left out, the lift stood still" in said
    assert "2 of 13 jobs do not count" in run("times", "review", "--data", shop, capsys=capsys)[1]
    assert json.loads(quoted(shop, capsys))["jobs_used"] == 11
    assert "job-3: counts" in run("times", "let-in", "job-3", "--data", shop, capsys=capsys)[1]
    assert quoted(shop, capsys) == before
    run("times", "let-in", "job-50", "--data", shop, capsys=capsys)
    assert json.loads(quoted(shop, capsys))["jobs_used"] == 13
    store = SqliteEventStore(shop / LOG_FILE)
    decided = VisitRecords(store.engine, store.path).of_kind(TIMES_DECIDED)
    assert [(one.subject, json.loads(one.body)["left out"]) for one in decided] == [
        ("job-3", "the lift stood still"),
        ("job-3", ""),
        ("job-50", ""),
    ]
    store.close()


def test_a_job_that_has_no_times_or_several_that_are_meant_are_one_line(
    shop: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    for name, says in (("nothing", "names 0 jobs"), ("job-", "names 13 jobs")):
        code, _, err = run("times", "leave-out", name, "--why", "x", "--data", shop, capsys=capsys)
        assert code == 2
        assert says in err
        assert err.count("\n") == 1


def test_a_job_done_again_after_it_was_clicked_through_counts(tmp_path: Path) -> None:
    store = SqliteEventStore(tmp_path / "log.sqlite")
    store.times.keep(CLICKED.model_copy(update={"left_out": CLICKED_THROUGH}))
    store.times.keep(job(50, {"access": 20, "link/left": 30, "refit": 25}))
    kept = store.times.of_job("job-50")
    assert kept is not None
    assert not kept.left_out
    store.times.decide("job-50", "trainee")
    store.times.keep(job(50, {"access": 21, "link/left": 30, "refit": 25}))
    kept = store.times.of_job("job-50")
    assert kept is not None
    assert kept.left_out == "trainee", "what a person decided stays"
    store.close()


def installed(folder: Path, planned_minutes: float) -> None:
    """The procedure of these jobs, each of its phases planned alike, in place of the one that was installed before."""
    file = procedure()
    phases = tuple(phase.model_copy(update={"planned_minutes": planned_minutes}) for phase in file.phases)
    installed_folder(folder).mkdir(parents=True, exist_ok=True)
    text = procedure_text(file.model_copy(update={"phases": phases}))
    (installed_folder(folder) / "front-end.yaml").write_text(text, encoding="utf-8")


def test_imported_jobs_are_judged_anew_when_a_procedure_is_installed_or_changed(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    quick = [job(number, {"access": 0.7, "link/left": 0.7, "refit": 0.7}) for number in (60, 61)]
    export_times([*link_jobs(12), *quick], tmp_path / "times.csv")
    run("times", "import", tmp_path / "times.csv", "--data", tmp_path, capsys=capsys)
    run("times", "let-in", "job-61", "--data", tmp_path, capsys=capsys)

    def used() -> int:
        return int(json.loads(quoted(tmp_path, capsys))["jobs_used"])

    def review() -> str:
        return run("times", "review", "--data", tmp_path, capsys=capsys)[1]

    assert "0 of 14 jobs do not count" in review()
    installed(tmp_path, 20)
    assert used() == 13, "a question judges first, and what a person decided stays"
    assert f"job-60  2024-04-30  front-end: left out, {CLICKED_THROUGH}" in review()
    installed(tmp_path, 10)
    assert "0 of 14 jobs do not count" in review(), "so does the list"
    assert used() == 14


def test_an_import_judges_what_was_imported_before_by_the_plan_of_today(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    for place, each in enumerate((job(60, {"access": 0.7, "refit": 0.7}), job(61, {"access": 20, "refit": 20}))):
        export_times([each], tmp_path / "times.csv")
        run("times", "import", tmp_path / "times.csv", "--data", tmp_path, capsys=capsys)
        store = SqliteEventStore(tmp_path / LOG_FILE)
        kept = {times.job: times.left_out for times in store.times.imported()}
        store.close()
        assert kept["job-60"] == (CLICKED_THROUGH if place else None)
        installed(tmp_path, 20)
