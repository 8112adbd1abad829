"""The wrench in hand is on the record; an extension changes what to set, never the joint's torque."""

from __future__ import annotations

import pytest

from job.table import Table, open_job
from sparehand.job import commands as c, events as e
from sparehand.job.events.ending_events import QuestionKind
from sparehand.log.timesheet import timesheet
from sparehand.screens.card import job_card

LONG, SHORT = c.UseWrench("long one"), c.UseWrench("short one")


def at_the_clamp_bolt() -> Table:
    table = open_job()
    table.work_until("clamp-tight")
    return table


def card(table: Table) -> str:
    return job_card(table.state, timesheet(table.state), table.history)


def test_a_wrench_says_its_range_and_until_when_it_is_calibrated() -> None:
    told = open_job().do(LONG).shown
    assert "Wrench long one, 40 N·m to 200 N·m" in told
    assert "Calibrated until 31 January 2027" in told


def test_an_overdue_calibration_is_said_first() -> None:
    told = open_job().do(SHORT).shown
    assert told.startswith("Its calibration ran out on 31 December 2025.")


def test_a_torque_outside_its_range_is_said() -> None:
    table = at_the_clamp_bolt()
    assert "Outside the range of wrench short one" in table.do(SHORT).shown
    assert "Outside the range" in table.do(c.RepeatTorque()).shown
    assert "Outside the range" not in table.do(LONG).shown


def test_the_card_tells_the_wrench_of_each_tightening_and_its_calibration() -> None:
    table = at_the_clamp_bolt()
    table.do(LONG, c.MarkDone())
    page = card(table)
    assert "clicked at setting, wrench long one" in page
    assert "until 2027-01-31" in page
    assert "± 4 % (ISO 6789" in page


def test_a_wrench_that_is_not_in_the_list_is_refused() -> None:
    table = open_job()
    table.do(c.UseWrench("borrowed one"))
    assert table.refused()


def test_an_extension_in_line_is_read_back_then_said_as_a_wrench_setting() -> None:
    table = at_the_clamp_bolt()
    asked = table.do(LONG, c.ExtensionInLine("150")).spoken
    assert "one five zero millimetres" in asked
    told = table.do(c.Confirm()).shown
    assert "Wrench setting for the extension, not the joint's torque: 60 N·m" in told


def test_the_setting_is_never_kept_as_the_joints_torque() -> None:
    table = at_the_clamp_bolt()
    table.do(LONG, c.ExtensionInLine("150"), c.Confirm(), c.MarkDone())
    (done,) = [one for one in table.state.progress.tightenings if one.fastener.fastener == "clamp-bolt"]
    assert done.achieved is None
    assert done.extension_mm == 150
    assert "60 N·m" not in card(table)
    assert "extension 150 mm in line" in card(table)


def test_a_reading_through_an_extension_is_not_taken_for_the_joints() -> None:
    table = at_the_clamp_bolt()
    table.do(LONG, c.ExtensionInLine("150"), c.Confirm(), c.Reading("80"))
    assert table.refused()


@pytest.mark.parametrize("command", [c.ExtensionAtRightAngle(), c.ExtensionOff()])
def test_without_an_extension_in_line_the_torque_is_what_the_file_says(command: c.Command) -> None:
    table = at_the_clamp_bolt()
    told = table.do(LONG, c.ExtensionInLine("150"), c.Confirm(), command).shown
    assert "setting" not in told
    assert "80 N·m" in told


@pytest.mark.parametrize("wrench", [SHORT, c.RepeatStep()])
def test_a_setting_needs_a_wrench_whose_length_is_known(wrench: c.Command) -> None:
    table = at_the_clamp_bolt()
    table.do(wrench, c.ExtensionInLine("150"))
    assert table.refused()


def test_a_second_person_may_check_what_is_finally_tight() -> None:
    table = at_the_clamp_bolt()
    table.do(c.SecondCheck("Cem Dale"))
    assert table.refused()
    table.do(c.MarkDone(), c.SecondCheck("Cem Dale"))
    assert "final, checked by Cem Dale" in card(table)


def test_nobody_checks_their_own_work() -> None:
    table = at_the_clamp_bolt()
    table.do(c.MarkDone(), c.SecondCheck("Ada Brook"))
    assert table.refused()


def test_a_check_does_not_outlive_a_new_tightening() -> None:
    table = at_the_clamp_bolt()
    table.do(c.MarkDone(), c.SecondCheck("Cem Dale"), c.StartTightening(), c.Confirm(), c.MarkDone())
    assert "checked by Cem Dale" not in card(table)


@pytest.mark.parametrize(
    ("kind", "about"), [("press size", "press-cup"), ("extension", "long one"), ("measurement", "hub-to-arch")]
)
def test_a_question_that_lacks_its_number_is_never_taken_for_nought(kind: QuestionKind, about: str) -> None:
    table = open_job()
    table.record(e.QuestionAsked(question=e.Question(kind=kind, about=about)))
    before = len(table.history)
    table.do(c.Confirm())
    assert table.refused()
    assert len(table.history) == before
    table.do(c.Refuse())
    assert table.state.progress.question is None
