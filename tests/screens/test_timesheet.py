"""The timesheet on the terminal: every second shown, and shown once."""

from __future__ import annotations

import io
from datetime import UTC, datetime

from hypothesis import given, settings, strategies as st
from rich.console import Console, RenderableType

from screens.bay import PROCEDURE, all_done, cam_bolt_waiting
from sparehand.log.store import JobHeader
from sparehand.log.timesheet import timesheet
from sparehand.screens.hours_tables import conserved, hours_minutes_seconds, jobs_table, timesheet_table


def drawn(renderable: RenderableType, width: int = 80) -> str:
    console = Console(file=io.StringIO(), width=width)
    console.print(renderable)
    assert isinstance(console.file, io.StringIO)
    return console.file.getvalue()


@settings(deadline=None)
@given(st.lists(st.integers(0, 10**8).map(lambda milliseconds: milliseconds / 1000), max_size=12))
def test_shown_seconds_add_up_and_none_is_off_by_a_second(parts: list[float]) -> None:
    shown = conserved(parts)
    assert sum(shown) == round(sum(parts))
    assert all(abs(whole - exact) < 1.001 for whole, exact in zip(shown, parts, strict=True))
    assert all(whole == 0 for whole, exact in zip(shown, parts, strict=True) if exact == 0)


def test_work_holds_and_snags_stand_by_phase_and_side() -> None:
    bay = all_done()
    shown = drawn(timesheet_table(timesheet(bay.state, bay.now), PROCEDURE))
    row = next(line for line in shown.splitlines() if "Remove the arm" in line)
    assert row.split() == ["Remove", "the", "arm", "right", "0:21:30", "0:40:00", "seized", "0:12:30", "yes"]
    assert "held for: parts 0:40:00" in shown
    assert "worked 0:41:30 + held 0:40:00 + gap 0:00:00 = elapsed 1:21:30" in shown
    assert "closed" in shown


def test_an_open_job_says_so_and_needs_no_procedure() -> None:
    bay = cam_bolt_waiting()
    shown = drawn(timesheet_table(timesheet(bay.state, bay.now)))
    assert "Job job-7, open" in shown
    assert "remove" in shown


def test_the_list_of_jobs_has_the_newest_first_and_shows_names_as_they_are() -> None:
    opened = datetime(2026, 3, 2, 8, 0, tzinfo=UTC)
    older = JobHeader("a-1", "demo-arm", opened, False, "Ada Brook", "invented estate")
    newer = JobHeader("b-2", "demo-arm", opened, True, "[bold]Ada", "van")
    shown = drawn(jobs_table((older, newer)), width=100)
    assert shown.index("b-2") < shown.index("a-1")
    assert "[bold]Ada" in shown
    assert "open" in shown
    assert "closed" in shown


def test_without_a_job_it_says_how_to_begin_one() -> None:
    assert "sparehand work" in drawn(jobs_table(()))


def test_hours_are_written_to_the_second() -> None:
    assert hours_minutes_seconds(0) == "0:00:00"
    assert hours_minutes_seconds(36_061) == "10:01:01"
