"""Hours are put right at the desk, and everything that is told of them follows."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest

from job.table import opening
from sparehand.conversation.session import JobSession
from sparehand.desk.hours_correction import correct_hours
from sparehand.desk.logbook import verify_log
from sparehand.ground.clock import start_of_run
from sparehand.ground.errors import FailureError, InputError
from sparehand.ground.places import LOG_FILE
from sparehand.job import commands as c
from sparehand.job.state import fold
from sparehand.log.sqlite import SqliteEventStore
from sparehand.log.time_store import TimeStore
from sparehand.log.timesheet import job_times, timesheet
from sparehand.log.verify import verify

MINUTE = 60_000


@pytest.fixture
def data(tmp_path: Path) -> Path:
    """A data folder with a job of one hour, closed."""
    clock = start_of_run(datetime(2026, 3, 2, 8, 0, tzinfo=UTC), "run 0")
    store = SqliteEventStore(tmp_path / LOG_FILE)
    opened = opening(sides=("right",))
    session = JobSession.open(store, "a-job", opened, clock.now(), "bench 1")
    for command in (c.Understood(), c.NextPhase(), c.Close("towed away"), c.Confirm()):
        clock.advance(15 * MINUTE)
        session.respond(command, clock.now())
    store.times.keep(job_times(session.state, timesheet(session.state)))
    store.close()
    return tmp_path


def answering(monkeypatch: pytest.MonkeyPatch, *answers: str) -> None:
    """Somebody at the desk who types these, and then nothing more."""
    typed: Iterator[str] = iter((*answers, ""))
    monkeypatch.setattr("rich.console.Console.input", lambda _console, *_: next(typed))


def test_time_goes_to_another_phase_and_every_figure_follows(
    data: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    answering(monkeypatch, "1", "2", "10", "next phase was said too late")
    correct_hours("a-job", data)
    shown = " ".join(capsys.readouterr().out.split())
    assert "put right: 0:10:00 of Ada Brook" in shown
    assert "next phase was said too late" in shown
    store = SqliteEventStore(data / LOG_FILE)
    first, second, *_ = timesheet(fold(store.events("a-job"))).phases
    assert (first.work_seconds, second.work_seconds) == (20 * 60, 40 * 60)
    (kept,) = store.times.of_this_bench()
    assert [row.work_seconds for row in kept.phases] == [20 * 60, 40 * 60]
    assert verify_log("a-job", data) == 0


def test_work_becomes_a_hold(data: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    answering(monkeypatch, "2", "hold phone", "5", "")
    correct_hours("a-job", data)
    sheet = timesheet(fold(SqliteEventStore(data / LOG_FILE).events("a-job")))
    assert [(hold.reason, hold.seconds) for hold in sheet.holds] == [("phone", 300)]
    assert sheet.elapsed_seconds == 3600


@pytest.mark.parametrize(
    ("answers", "says"),
    [
        (("9",), "'9' is no row of 1 to 2"),
        (("1", "2", "soon"), "'soon' is no number of minutes"),
        (("1", "2", "90"), "90 min were not worked there, only 30.0 min"),
        (("1", "hold sleep", "5", ""), "the reason 'sleep' is not known"),
    ],
)
def test_what_cannot_be_is_refused_and_changes_nothing(
    data: Path, monkeypatch: pytest.MonkeyPatch, answers: list[str], says: str
) -> None:
    before = SqliteEventStore(data / LOG_FILE).events("a-job")
    answering(monkeypatch, *answers)
    with pytest.raises(InputError, match=says):
        correct_hours("a-job", data)
    assert SqliteEventStore(data / LOG_FILE).events("a-job") == before


def test_a_job_that_is_open_at_a_bench_is_not_corrected_meanwhile(data: Path) -> None:
    with SqliteEventStore(data / LOG_FILE).claim("a-job"), pytest.raises(FailureError, match="open in another window"):
        correct_hours("a-job", data)


def test_a_kill_between_event_and_kept_times_leaves_a_log_that_verifies(
    data: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def killed(*_: object) -> None:
        raise KeyboardInterrupt

    answering(monkeypatch, "1", "2", "10", "")
    monkeypatch.setattr(TimeStore, "keep", killed)
    with pytest.raises(KeyboardInterrupt):
        correct_hours("a-job", data)
    store = SqliteEventStore(data / LOG_FILE)
    assert store.times.closed_without_times() == ("a-job",)
    assert all(verdict.sound for verdict in verify(store))
