"""Work as it really goes: what the file tells beside the step, and another way in."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path
from uuid import UUID

import pytest

from job.table import Table, open_job
from sparehand.conversation.active_phrases import situations
from sparehand.job import commands as c
from sparehand.job.events import LessonKept
from sparehand.job.open_items import open_items
from sparehand.job.state import fold
from sparehand.log.timesheet import timesheet
from sparehand.procedures.check import check_file
from sparehand.procedures.load import load_procedure
from sparehand.procedures.plan import plan_run
from sparehand.screens.card import job_card
from sparehand.setup.hearing_trials import spoken_names
from sparehand.visit.sold import payer_hours
from sparehand.voice.phrases.phrase_file import load_phrases

FILE = Path(__file__).with_name("arm_job.yaml")
ARM = load_procedure(FILE).procedure


def at_the_arm(*operations: str) -> Table:
    return open_job(ARM, operations, sides=("left", "right"))


def test_the_file_of_these_tests_is_sound() -> None:
    assert check_file(FILE) == ()


@pytest.mark.parametrize(
    ("what", "said"),
    [
        ("why", "The guard hides the bush."),
        ("where", "The guard sits behind the wheel, low on the arm."),
        ("compare", "The gap of the guard is the same on both sides."),
    ],
)
def test_a_step_says_why_and_where_and_what_to_compare(what: str, said: str) -> None:
    table = at_the_arm()
    assert "explained" in situations(table.state)
    assert table.do(c.Explain(what)).spoken == said  # type: ignore[arg-type]


def test_a_step_that_says_none_of_it_tells_so_and_is_not_asked_by_voice() -> None:
    table = at_the_arm()
    table.do(c.Next())
    assert table.do(c.Explain("why")).spoken == "The file does not say why this is done."
    assert "explained" not in situations(table.state)


def at_the_choice() -> Table:
    table = at_the_arm("bush")
    table.do(c.Next(), c.Next(), c.Finding("good"))
    return table


def phases(table: Table) -> list[str]:
    return [str(planned.key) for planned in table.state.plan.phases if planned.key.side == "left"]


def test_a_choice_is_asked_when_it_is_reached_and_next_does_not_pass_it() -> None:
    table = at_the_choice()
    assert "Lower the cross beam: quicker, but the wheels are aligned after it" in table.last.spoken
    assert "choosing" in situations(table.state)
    assert "take the way lower the beam" in table.do(c.Next()).spoken.lower()
    assert table.refused()


def test_a_way_decides_which_phases_are_done_and_what_follows() -> None:
    table = at_the_choice()
    assert "aligned" in table.do(c.ChooseWay("lower")).spoken
    assert phases(table) == [
        "open/left",
        "access/left",
        "beam-down/left",
        "bush-out/left",
        "beam-up/left",
        "close-up/left",
    ]
    assert [one.id for one in table.state.follow_ups] == ["alignment"]
    table.do(c.ChooseWay("short-key"))
    assert phases(table) == ["open/left", "access/left", "key-work/left", "bush-out/left", "close-up/left"]
    assert table.state.follow_ups == ()
    assert "done this way: Past the beam with the short key" in job_card(
        table.state, timesheet(table.state), table.history
    )


def test_each_side_has_its_own_choice() -> None:
    table = at_the_choice()
    table.do(c.ChooseWay("short-key"))
    assert "key-work/right" not in {str(planned.key) for planned in table.state.plan.phases}


def test_who_changes_the_way_puts_back_what_is_apart() -> None:
    table = at_the_choice()
    table.do(c.ChooseWay("lower"), c.Next(), c.Next(), c.GoBack(), c.ChooseWay("short-key"))
    kept = [key.step for key in table.state.plan.steps if key.at.side == "left" and key.at.phase.startswith("beam")]
    assert kept == ["beam-bolts-out", "beam-bolts-in", "beam-tight"]
    assert fold(table.history) == table.state
    table.do(c.Undo())
    assert "beam-down/left" in phases(table)


def test_the_time_of_a_way_is_its_own() -> None:
    table = at_the_choice()
    table.do(c.ChooseWay("short-key"), c.Next())
    table.do(c.Understood(), c.Next(), after_ms=30_000)
    (row,) = [row for row in timesheet(table.state).phases if row.phase == "key-work"]
    assert row.work_seconds == 60


TORN = c.FoundFault("torn", "boot", "soon", "left")
APPROVED = c.Approve("customer", "by phone")


def test_a_finding_proposes_the_operation_that_renews_it_and_one_more_phrase_approves_it() -> None:
    table = at_the_arm("bush")
    told = table.do(TORN).shown
    assert "torn hub boot, left" in told
    assert "Proposed: Renew the hub boot. It adds two phases" in told
    table.do(APPROVED)
    assert table.state.plan.operations == ("bush", "boot")


def test_from_worn_to_an_approved_operation_it_takes_two_phrases() -> None:
    table = at_the_arm("bush")
    table.do(c.Next(), c.Next(), c.ChooseWay("short-key"))
    assert "Proposed: Renew the hub boot" in table.do(c.Finding("worn")).shown
    table.do(APPROVED)
    assert table.state.plan.operations == ("bush", "boot")


def test_what_no_operation_renews_becomes_a_line_of_its_own_that_is_timed_and_sold() -> None:
    table = at_the_arm("bush")
    told = table.do(c.FoundFault("cracked", "beam-bolts", "now")).shown
    assert "Proposed: cracked beam bolt, left." in told
    assert "No times tell its hours." in told
    table.do(APPROVED, c.StartLine("found work"))
    table.do(c.EndLine("found work"), after_ms=11 * 60_000)
    (line,) = table.state.progress.visit.lines
    assert (line.work, line.reference) == ("found work", "cracked beam bolt, left")
    assert payer_hours(table.state, timesheet(table.state))[0].sold == Decimal("0.2")
    assert "cracked beam bolt, left" in job_card(table.state, timesheet(table.state), table.history)
    assert fold(table.history) == table.state


def test_found_work_does_not_begin_before_somebody_approved_it() -> None:
    table = at_the_arm("bush")
    table.do(c.FoundFault("cracked", "beam-bolts", "now"), c.StartLine("found work"))
    assert table.refused()


def test_what_wants_watching_alone_proposes_nothing() -> None:
    table = at_the_arm("bush")
    table.do(c.FoundFault("worn", "boot", "watch"))
    assert table.state.progress.extra_work == ()


def test_a_second_finding_at_the_same_place_stands_beside_the_first() -> None:
    table = at_the_arm("bush")
    table.do(TORN, c.FoundFault("leaking", "boot", "now", "left"))
    assert table.do(c.WhatWasFound()).shown == "Torn hub boot, left: soon. Leaking hub boot, left: now."


def test_a_measured_value_is_read_back_before_it_stands_by_its_finding() -> None:
    table = at_the_arm("bush")
    assert "two decimal five millimetres" in table.do(TORN, c.FindingMeasures("2.5")).spoken
    table.do(c.Confirm())
    (fault,) = table.state.progress.faults
    assert fault.measured is not None
    assert (fault.measured.value, fault.measured.unit) == (2.5, "mm")
    assert "soon; 2.5 mm measured" in job_card(table.state, timesheet(table.state), table.history)


def test_what_the_file_has_no_name_for_is_told_in_a_memo_of_the_finding() -> None:
    table = at_the_arm("bush")
    table.do(c.FoundSomething("soon", "right"), c.NoteTaken(UUID(int=9), "memo", words="oil on the inner wall"))
    card = job_card(table.state, timesheet(table.state), table.history)
    assert "soon; oil on the inner wall" in card


def test_a_side_or_a_thing_that_the_file_has_not_is_refused_with_the_way_on() -> None:
    table = at_the_arm("bush")
    for command in (c.FoundFault("torn", "boot", "soon", "rear"), c.FoundFault("torn", "no-such", "soon")):
        assert table.do(command).spoken
        assert table.refused()
    assert table.state.progress.faults == ()


def test_a_finding_is_said_in_one_phrase_with_the_names_of_the_file() -> None:
    table = load_phrases(spoken_names(ARM))
    assert table.command_for("found a torn hub boot left soon", ["working"]) == TORN
    assert table.command_for("found cracked beam bolts now", ["hold"]) == c.FoundFault("cracked", "beam-bolts", "now")


def soaking(*operations: str) -> Table:
    """The left pin soaks; the work stands at the choice of the way there."""
    table = at_the_arm(*(operations or ("bush",)))
    table.do(c.Next())
    return table


def test_what_can_be_done_while_something_soaks_is_offered() -> None:
    table = soaking()
    told = table.do(c.Next()).spoken
    assert "Bush pin, left: eight minutes. Open the corner, right, meanwhile? Say to the other side." in told


def test_each_side_keeps_its_place_its_timer_its_loose_list_and_its_time() -> None:
    table = soaking()
    table.do(c.Next(), c.OtherSide())
    assert str(table.state.progress.at) == "open/right:guard-off"
    table.do(c.Next(), after_ms=4 * 60_000)
    table.do(c.Next(), c.OtherSide())
    assert str(table.state.progress.at) == "access/left:look"
    assert [timer.name for timer in table.state.progress.timers] == ["bush pin, left", "bush pin, right"]
    assert {entry.key.side for entry in table.state.loose} == {"left", "right"}
    rows = {(row.phase, row.side): row.work_seconds for row in timesheet(table.state).phases}
    assert rows["open", "right"] == 4 * 60 + 1
    assert sum(rows.values()) == timesheet(table.state).elapsed_seconds


def finish(table: Table, side: str) -> None:
    """Work through the rest of a side."""
    for _ in range(60):
        left = [key for key in table.state.plan.steps if key.at.side == side and key not in table.state.progress.done]
        if table.state.side != side or not left:
            return
        table.do(
            c.ChooseWay("short-key"),
            c.Understood(),
            c.Finding("good"),
            c.Renewed(),
            c.MarkDone(),
            c.ToolsBack(),
            c.Next(),
        )
    raise AssertionError(f"never left the {side}")


def test_where_one_side_ends_the_work_goes_on_at_the_place_of_the_other() -> None:
    table = soaking()
    table.do(c.Next(), c.OtherSide())
    finish(table, "right")
    assert str(table.state.progress.at) == "access/left:look"


def test_a_side_that_is_done_is_not_gone_through_again() -> None:
    table = soaking()
    table.do(c.Next(), c.OtherSide())
    finish(table, "right")
    finish(table, "left")
    assert table.do(c.Next()).spoken.startswith("That was the last step.")
    assert set(table.state.plan.steps) == table.state.progress.done


def test_a_phase_that_comes_after_another_is_not_gone_to_before_it() -> None:
    table = soaking("bush", "boot")
    assert "Close the corner comes after Open the corner" in table.do(c.GoTo("close-up")).spoken
    assert table.refused()


def test_after_puts_a_phase_behind_another_whatever_the_order_in_the_file() -> None:
    phases = {phase.id: phase for phase in ARM.phases}
    early = ARM.model_copy(update={"phases": (phases["close-up"], *(p for p in ARM.phases if p.id != "close-up"))})
    assert plan_run(early, ["bush"], ["left"]).steps == plan_run(ARM, ["bush"], ["left"]).steps


def at_the_key() -> Table:
    table = at_the_choice()
    table.do(c.ChooseWay("short-key"), c.Next(), c.Understood())
    return table


def test_a_helpers_minutes_are_worked_and_not_sold_apart_and_take_no_time_of_the_technician() -> None:
    table = at_the_key()
    elapsed = timesheet(table.state).elapsed_seconds
    table.do(c.HelperFor(2))
    sheet = timesheet(table.state)
    assert sheet.elapsed_seconds == elapsed + 1
    (hours,) = payer_hours(table.state, sheet)
    assert hours.sold == 0
    assert hours.worked >= Decimal("0.03")
    assert "Work past the beam" in job_card(table.state, sheet, table.history)


def test_the_tools_are_counted_where_the_file_asks_and_a_borrowed_one_is_named() -> None:
    table = at_the_key()
    table.do(c.Next())
    assert "counting" in situations(table.state)
    assert "Nobody said that it is back: pin press." in open_items(table.state)
    finish_up_to(table, "tools-counted")
    assert "Count the tools: two tools of this job, pin press borrowed." in table.do(c.RepeatStep()).spoken
    table.do(c.Next())
    assert table.refused()
    table.do(c.ToolsBack())
    assert not [item for item in open_items(table.state) if "pin press" in item]


def finish_up_to(table: Table, step: str) -> None:
    for _ in range(60):
        if table.state.progress.at.step == step:
            return
        table.do(c.ChooseWay("short-key"), c.Understood(), c.Finding("good"), c.Renewed(), c.MarkDone(), c.Next())
    raise AssertionError(f"never came to {step}")


def test_a_press_size_that_fitted_is_read_back_and_kept_for_this_step() -> None:
    table = at_the_key()
    assert "six two millimetres" in table.do(c.PressSizeFits("62")).spoken
    table.do(c.Confirm())
    assert table.state.progress.question is None
    (kept,) = [one.event for one in table.history if isinstance(one.event, LessonKept)]
    assert (kept.words, kept.at.step) == ("Press size 62 mm fitted.", "key-in")
