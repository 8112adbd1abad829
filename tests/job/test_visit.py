"""The visit around the job: lines of work, who pays, and follow-ups, said at the bench."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

from job.table import open_job
from sparehand.job import commands as c
from sparehand.job.experience import Experience
from sparehand.job.open_follow_ups import numbered_follow_ups
from sparehand.job.visit_lines import FollowUpNote, all_follow_ups
from sparehand.log.timesheet import job_times, timesheet

MINUTE = 60_000


def test_a_diagnosis_counts_apart_from_the_phase_and_estimates_do_not_learn_from_it() -> None:
    table = open_job()
    table.do(c.StartLine("diagnosis"), after_ms=5 * MINUTE)
    table.do(c.EndLine("diagnosis"), after_ms=30 * MINUTE)
    table.do(c.WhereAmI(), c.Hold("phone"), after_ms=10 * MINUTE)
    sheet = timesheet(table.state)
    worked = {row.phase: row.work_seconds / 60 for row in sheet.phases}
    assert worked == {table.state.progress.at.at.phase: 25, "diagnosis 1": 30}
    assert [row.phase for row in job_times(table.state, sheet).phases] == [table.state.progress.at.at.phase]


def test_a_wait_is_held_time_and_work_elsewhere_takes_none_of_the_technician() -> None:
    table = open_job()
    table.do(c.StartLine("work elsewhere"), after_ms=5 * MINUTE)
    table.do(c.StartLine("waiting"), after_ms=10 * MINUTE)
    table.do(c.EndLine("waiting"), after_ms=15 * MINUTE)
    table.do(c.EndLine("work elsewhere"), after_ms=20 * MINUTE)
    sheet = timesheet(table.state)
    assert sheet.work_seconds == 35 * 60
    assert sheet.held_seconds == 15 * 60
    assert [line.runs for line in table.state.progress.visit.lines] == [False, False]


def test_the_procedure_waits_while_a_road_test_runs_and_its_result_is_written_down() -> None:
    table = open_job()
    table.do(c.StartLine("road test"), c.Next())
    assert table.refused()
    table.do(c.EndLine("road test", "not good"), c.RoadTestDistance("12.5", "km"))
    assert "12.5" in " ".join(line.shown for line in table.last.lines)
    assert table.state.progress.visit.lines[0].distance is None
    table.do(c.Confirm())
    assert table.state.progress.question is None
    (line,) = table.state.progress.visit.lines
    assert (line.result, line.distance, line.distance_unit) == ("not good", 12.5, "km")


def test_undo_takes_a_line_back_with_its_label() -> None:
    table = open_job()
    table.do(c.StartLine("diagnosis"), after_ms=MINUTE)
    table.do(c.Undo(), after_ms=MINUTE)
    assert table.state.progress.visit.lines == ()
    assert [row.work_seconds for row in timesheet(table.state).phases] == [120]


def test_who_pays_is_said_for_an_operation_and_for_the_latest_line() -> None:
    table = open_job()
    first, second, *_ = table.state.plan.operations
    table.do(c.ChooseOperationPayer(first, "warranty"), c.StartLine("diagnosis"), c.ChoosePayer("goodwill"))
    visit = table.state.progress.visit
    assert (visit.payer_of(first), visit.payer_of(second), visit.lines[0].payer) == ("warranty", "customer", "goodwill")


def test_a_follow_up_gets_a_date_and_is_ticked_in_a_later_job_of_the_vehicle() -> None:
    table = open_job()
    table.do(c.FollowUpsDue(2, "months"))
    notes = all_follow_ups(table.state.progress.visit, table.state.follow_ups)
    assert notes
    assert {note.due_on for note in notes} == {date(2026, 5, 2)}
    earlier = Experience(follow_ups=(("earlier-job", FollowUpNote("re-check", "Re-check the wheel bolts")),))
    first, *own = numbered_follow_ups(table.state, earlier)
    assert first[0] == "earlier-job"
    table.do(c.FollowUpIs(1, "good"))
    done = [note.id for note in table.state.progress.visit.follow_ups if note.done_on]
    assert done == [own[0][1].id]


def test_follow_ups_get_a_reading_that_is_read_back_first() -> None:
    table = open_job()
    table.do(c.FollowUpsDueAt("85000", "km"))
    assert "85000" in " ".join(line.shown for line in table.last.lines).replace(" ", "").replace(",", "")
    assert not table.state.progress.visit.follow_ups
    table.do(c.Confirm(), c.FollowUpsDueAt("1200", "hours"), c.Confirm())
    assert table.state.progress.question is None
    notes = table.state.progress.visit.follow_ups
    assert {(note.due_distance, note.distance_unit, note.due_hours) for note in notes} == {(85000, "km", 1200)}
    table.do(c.FollowUpsDueAt("90000", "mi"), c.Refuse())
    assert {note.due_distance for note in table.state.progress.visit.follow_ups} == {85000}


def test_closing_ends_a_line_that_still_runs() -> None:
    table = open_job()
    table.do(c.StartLine("work elsewhere"), c.Close("parts on order"), c.Confirm())
    assert table.state.progress.closed
    assert not table.state.progress.visit.lines[0].runs


def test_the_odometer_is_read_back_and_recorded_in_the_unit_that_the_job_was_opened_with() -> None:
    for unit, word in (("mi", "miles"), ("km", "kilometres"), (None, "")):
        table = open_job()
        opened = table.state.opened
        vehicle = opened.vehicle.model_copy(update={"odometer_unit": unit})
        table.state = replace(table.state, opened=opened.model_copy(update={"vehicle": vehicle}))
        asked = table.do(c.SayOdometer("84210"))
        assert f"84210 {word}".strip() + "." in " ".join(line.shown for line in asked.lines)
        assert f"odometer 84210 {word}".strip() in " ".join(line.shown for line in table.do(c.Confirm()).lines)
        assert (table.state.vehicle.odometer, table.state.vehicle.odometer_unit) == (84_210, unit)
