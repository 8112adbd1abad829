"""Lessons on the command line: listed, let stand, retired; and heard in the next job of the procedure."""

from __future__ import annotations

from pathlib import Path
from uuid import UUID

import pytest
from typer.testing import CliRunner

from job.table import open_job
from sparehand.cli.app import app
from sparehand.conversation.session import JobSession
from sparehand.ground.places import LOG_FILE
from sparehand.job import commands as c
from sparehand.log.sqlite import SqliteEventStore
from sparehand.log.stored_notes import stored_lessons
from sparehand.shop.earlier_jobs import shop_experience, shop_lessons

JOB = "260302-k7qm"


@pytest.fixture
def data(tmp_path: Path) -> Path:
    """A log with one job, in which one lesson with a value was kept at the first step."""
    table = open_job()
    store = SqliteEventStore(tmp_path / LOG_FILE)
    session = JobSession.open(store, JOB, table.state.opened, table.clock.now(), "bench 1")
    session.respond(c.NoteTaken(UUID(int=0xABCDEF12), "lesson", words="lower it 20 mm first"), table.clock.now())
    store.close()
    return tmp_path


def run(data: Path, *arguments: str) -> str:
    result = CliRunner().invoke(app, ["lessons", *arguments, "--data", str(data)])
    assert result.exit_code == 0, result.output
    return result.output


def test_lessons_are_listed_with_what_is_to_be_done_about_them(data: Path) -> None:
    for arguments in ((), ("arm-joint",)):
        listed = run(data, *arguments)
        assert "lower it 20 mm first" in listed
        assert "to be reviewed" in listed
        assert "abcdef12" in listed
    assert "No lesson" in run(data, "wheel-bearing-press")


def test_a_lesson_is_let_stand_or_retired_by_an_event_that_says_who_did_so(data: Path) -> None:
    assert "reviewed by Cy Writer" in run(data, "review", "abcdef12", "--technician", "Cy Writer")
    store = SqliteEventStore(data / LOG_FILE)
    assert store.events(JOB)[-1].technician == "Cy Writer"
    assert [lesson.reviewed for lesson in stored_lessons(store)] == [True]
    opened = open_job().state.opened
    assert len(shop_experience(opened, None, shop_lessons(store)).lessons) == 1
    run(data, "retire", "abcdef12")
    assert shop_experience(opened, None, shop_lessons(store)).lessons == ()
    assert len(stored_lessons(store)) == 1, "it is kept, and heard no more"


def test_an_id_that_names_no_lesson_is_refused_in_one_line(data: Path) -> None:
    result = CliRunner().invoke(app, ["lessons", "retire", "zzz", "--data", str(data)])
    assert "names no lesson" in result.stderr
