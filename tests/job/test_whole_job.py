"""The demo's job, word by word: what is refused, what is asked, what is kept apart, and that it closes clean."""

from __future__ import annotations

import pytest

from job.table import Table, demo_procedure, open_job
from sparehand.demo.script import JOB, PROCEDURE
from sparehand.job import commands as c
from sparehand.job.fasteners import is_final
from sparehand.job.open_items import open_items
from sparehand.job.situation import SITUATIONS
from sparehand.log.timesheet import timesheet
from sparehand.setup.hearing_trials import spoken_names
from sparehand.voice.phrases.phrase_file import load_phrases


@pytest.fixture(scope="module")
def played() -> tuple[Table, list[tuple[str, str]]]:
    """The job played from the script, with every line and its answer."""
    table = open_job(demo_procedure(PROCEDURE))
    phrases = load_phrases(spoken_names(table.state.plan.procedure))
    dialogue = []
    for line in JOB:
        command = phrases.command_for(line.say, SITUATIONS)
        assert command is not None, f"nobody understands '{line.say}'"
        dialogue.append((line.say, table.do(command, after_ms=round(line.after_minutes * 60_000) + 4_000).shown))
    return table, dialogue


def say_until(table: Table, say: str, more: int) -> str:
    """Say the script up to `more` lines past a line; gives the last answer."""
    phrases = load_phrases(spoken_names(table.state.plan.procedure))
    for line in JOB[: [line.say for line in JOB].index(say) + more]:
        command = phrases.command_for(line.say, SITUATIONS)
        assert command is not None
        shown = table.do(command).shown
    return shown


def answers(played: tuple[Table, list[tuple[str, str]]], say: str) -> list[str]:
    return [answer for said, answer in played[1] if said == say]


def test_it_closes_with_nothing_open(played: tuple[Table, list[tuple[str, str]]]) -> None:
    table = played[0]
    assert table.state.progress.closed is not None
    assert table.state.progress.closed.left_open == ()
    assert open_items(table.state) == ()
    procedure = table.state.plan.procedure
    for key, fastening in table.state.progress.fastenings.items():
        assert is_final(procedure.fastener(key.fastener), fastening)


def test_the_warning_is_read_before_the_step_it_guards() -> None:
    table = open_job(demo_procedure(PROCEDURE))
    assert "battery" not in table.do(c.RepeatStep()).shown
    assert "disconnect the battery" in table.do(c.Understood()).shown


def test_a_final_tightening_waits_for_the_engine_s_weight(played: tuple[Table, list[tuple[str, str]]]) -> None:
    refused = answers(played, "mark done")
    assert any("waits for the engine's weight on its mounts" in answer for answer in refused)
    assert any("only with the engine's weight on its mounts: 60" in answer for _, answer in played[1])


def test_a_gate_is_refused_while_a_wheel_bolt_is_not_final_then_passed(
    played: tuple[Table, list[tuple[str, str]]],
) -> None:
    support, refused, passed = answers(played, "check passed")
    assert "Checked." in support
    assert "Five wheel bolts, right, are not final" in refused
    assert "go to tighten wheel" in refused
    assert "Checked." in passed
    assert answers(played, "close the job") == ["Close the job? Yes confirm, or no cancel."]


def test_a_reading_is_read_back_before_it_counts(played: tuple[Table, list[tuple[str, str]]]) -> None:
    assert answers(played, "torque reading two, two") == ["I heard 22 N·m for hanger nut. Yes confirm, or no cancel."]
    achieved = [one.achieved for one in played[0].state.progress.tightenings if one.achieved]
    assert [value.value for value in achieved] == [22.0]


def test_a_unit_asked_for_once_is_told_to_be_converted(played: tuple[Table, list[tuple[str, str]]]) -> None:
    (answer,) = answers(played, "in foot pounds")
    assert "converted, 25.8 lbf·ft" in answer


def test_the_snag_and_the_hold_are_kept_apart(played: tuple[Table, list[tuple[str, str]]]) -> None:
    sheet = timesheet(played[0].state)
    snagged = [row for row in sheet.phases if row.snags]
    assert [(row.phase, [snag.kind for snag in row.snags]) for row in snagged] == [("remove-mount", ["seized"])]
    assert [hold.reason for hold in sheet.holds] == ["wrong part"]
    assert sheet.work_seconds + sheet.held_seconds + sheet.gap_seconds == pytest.approx(sheet.elapsed_seconds)


def test_an_undone_count_is_counted_again_from_what_it_was(played: tuple[Table, list[tuple[str, str]]]) -> None:
    (taken_back,) = answers(played, "undo that")
    assert "5 wheel bolts" in taken_back


def test_going_down_says_what_hangs_loose() -> None:
    table = open_job(demo_procedure(PROCEDURE))
    shown = say_until(table, "skip this step", -1)
    assert "stand clear" in shown
    assert "5 wheel bolts at stage 1 of 2" in shown


def test_the_engine_coming_down_is_not_taken_for_the_vehicle() -> None:
    table = open_job(demo_procedure(PROCEDURE))
    table.work_until("support-below")
    told = table.do(c.Understood()).shown
    assert "Lower the support slowly" in told
    assert "wheels on" not in told


def test_an_interrupted_angle_is_never_turned_on() -> None:
    table = open_job(demo_procedure(PROCEDURE))
    say_until(table, "in foot pounds", 2)
    assert "turn six zero degrees" in table.last.spoken
    table.restart(60_000)
    said = table.do(c.RepeatTorque()).spoken
    assert "turn six" not in said
    assert "unknown" in said
    assert "stage one" in said
    assert table.do(c.MarkDone()).tone == "refused"
    table.do(c.StartTightening(), c.Confirm())
    assert table.do(c.MarkDone()).tone == "refused"
    assert "new" in table.last.shown
    table.do(c.Renewed(), c.MarkDone())
    assert "turn six zero degrees" in table.last.spoken
