"""A claim never beats the record: what contradicts it is refused by name, with the way on."""

from __future__ import annotations

from pathlib import Path

import pytest

from job.table import Table, demo_procedure, open_job
from sparehand.job import commands as c, events as e
from sparehand.job.open_items import open_items, safe_to_drive
from sparehand.log.timesheet import timesheet
from sparehand.procedures.load import load_procedure
from sparehand.procedures.model import Side
from sparehand.procedures.plan import FastenerKey, StepKey
from sparehand.screens.card import job_card
from sparehand.screens.card_facts import card_facts

PROCEDURE = load_procedure(Path(__file__).with_name("axle_job.yaml")).procedure
LEFT_WHEEL = FastenerKey("wheel-bolts", "left")


def axle_job(until: str = "raise", sides: tuple[Side, ...] = ("left",)) -> Table:
    table = open_job(PROCEDURE, sides=sides)
    table.work_until(until)
    return table


def jump(table: Table, step: str, side: Side | None = "left") -> Table:
    """Be at a step, with nothing on the way done."""
    key = next(key for key in table.state.plan.steps if key.step == step and key.at.side in (side, None))
    table.record(e.StepReached(step=key))
    return table


def refused(table: Table, *commands: c.Command) -> str:
    told = table.do(*commands).shown
    assert table.refused(), told
    return told


def test_ride_height_with_a_wheel_off_is_refused_by_name() -> None:
    table = axle_job("mark-arm")
    assert refused(table, c.ConditionHolds()) == "The wheel, left, is off. Put it on first. Say go to fit wheel."


def test_ride_height_with_a_bolt_out_or_something_hanging_is_refused() -> None:
    table = axle_job("press-out")
    table.record(e.ToldWithoutStep(what="component on", about="wheel", side="left"))
    table.record(e.ToldWithoutStep(what="fastener in", about="wheel-bolts", side="left"))
    assert refused(table, c.ConditionHolds(), c.Understood(), c.ConditionHolds()).startswith(
        "The arm bolt, left, is out."
    )
    table.record(e.ToldWithoutStep(what="fastener in", about="arm-bolt", side="left"))
    assert "Still so: arm on the stand, left." in refused(table, c.ConditionHolds())


def test_ride_height_with_the_lowering_warning_unread_is_refused() -> None:
    table = axle_job("lower")
    jump(table, "settle")
    assert "warning before this is not understood" in refused(table, c.ConditionHolds())
    table.do(c.GoBack(), c.Understood(), c.Next(), c.ConditionHolds())
    assert not table.refused()


def test_a_stage_for_the_raised_vehicle_is_refused_until_it_was_raised() -> None:
    table = jump(open_job(demo_procedure("engine-mounts")), "wheel-in", "right")
    table.do(c.MarkDone(), c.Next())
    assert refused(table, c.MarkDone()) == (
        "The vehicle was not raised on this job. Raise it first. Say go to raise vehicle."
    )
    table.record(e.StanceChanged(end="front", stance="raised"))
    table.do(c.MarkDone())
    assert not table.refused()


def test_a_condition_of_the_file_s_own_is_refused_while_the_support_carries_the_load() -> None:
    table = open_job(demo_procedure("engine-mounts"))
    table.work_until("support-below")
    held = c.ConditionHolds("engine-on-mounts")
    assert refused(table, c.Understood(), held) == "Still so: engine on the support. Release it first."
    table.work_until("settled")
    table.do(held)
    assert not table.refused()


def test_lowering_with_a_wheel_off_is_refused() -> None:
    table = jump(axle_job("mark-arm"), "lower")
    assert refused(table, c.Understood(), c.MarkDone()).startswith("The wheel, left, is off.")


def test_tightening_what_is_out_or_was_never_put_in_is_refused() -> None:
    out = jump(axle_job("mark-arm"), "wheel-tight")
    assert refused(out, c.MarkDone()) == "Five wheel bolts, left, are out. Put them in first. Say go to fit wheel."
    untouched = jump(axle_job("wheel-out"), "wheel-tight")
    assert refused(untouched, c.MarkDone()).startswith("Five wheel bolts, left, were not put in on this job.")


def test_a_stage_waits_for_the_vehicle_to_be_lowered() -> None:
    table = jump(axle_job("lower"), "wheel-tight")
    assert refused(table, c.MarkDone()).endswith("and it is raised. Lower it first.")
    table = axle_job("wheel-tight")
    assert "Confirmed, all five." in table.do(c.MarkDone()).shown
    table = axle_job("wheel-tight")
    table.do(c.Lifted())
    assert "it is raised" in refused(table, c.MarkDone())


@pytest.mark.parametrize("said", [c.CheckPassed()])
def test_a_gate_reads_the_record_and_names_what_it_lacks(said: c.Command) -> None:
    fresh = jump(axle_job("wheel-out"), "checked")
    assert refused(fresh, said) == (
        "Five wheel bolts, left, are not final: not tightened on this job. Say go to tighten all."
    )
    hand_tight = jump(axle_job("wheel-snug"), "checked")
    assert "not final: hand tight" in refused(hand_tight, said)
    told = jump(axle_job("mark-arm"), "checked")
    told.record(e.ToldWithoutStep(what="component on", about="wheel", side="left"))
    told.record(e.ToldWithoutStep(what="fastener in", about="wheel-bolts", side="left"))
    assert "in, tightening unknown" in refused(told, said)
    whole = axle_job("checked")
    whole.do(said)
    assert whole.state.progress.gates == {"wheels-torqued"}


def test_a_passed_gate_is_open_again_once_its_matter_changes() -> None:
    table = axle_job("checked")
    table.do(c.CheckPassed())
    jump(table, "wheel-tight")
    table.do(c.StartTightening(), c.Confirm())
    assert any("Not checked" in words for words in open_items(table.state))


def test_out_of_limits_stays_open_until_it_is_slackened_and_done_again() -> None:
    table = axle_job("wheel-tight")
    table.do(c.Reading("70"), c.Confirm())
    assert refused(table, c.MarkDone()).startswith("Read out of limits: five wheel bolts, left.")
    table.do(c.StartTightening(), c.Confirm(), c.MarkDone())
    assert not table.refused()


def test_a_count_at_a_removal_step_counts() -> None:
    table = axle_job("wheel-out")
    assert table.do(c.MarkDone(3)).shown == "Three of five wheel bolts, left, are out."
    assert StepKey(table.state.progress.at.at, "wheel-out") not in table.state.progress.done
    assert table.state.loose[0].state == "2 of 5 in"
    assert refused(table, c.MarkDone(3)).startswith("Only 2 remain.")
    assert table.do(c.MarkDone(2)).shown.startswith("Done, all five.")
    assert table.state.loose[0].state == "out"


def test_a_count_at_a_tightening_is_told_from_all() -> None:
    table = axle_job("wheel-tight")
    assert table.do(c.MarkDone(4)).shown.startswith("Confirmed, four of five.")
    assert table.do(c.MarkDone()).shown.startswith("Confirmed, now all five.")
    card = job_card(table.state, timesheet(table.state), table.history)
    assert "4 × clicked at setting, counted" in card
    assert "1 × clicked at setting, said for all" in card


def test_nothing_comes_out_before_its_mark_and_no_mark_is_found_that_nobody_made() -> None:
    table = jump(axle_job("mark-arm"), "arm-out")
    assert refused(table, c.MarkDone()) == "Not marked: line across arm and bracket. Mark it first. Say go back."
    found = jump(axle_job("mark-arm"), "arm-in")
    assert refused(found, c.MarkIsFound()).startswith("Nobody made the mark")
    made = axle_job("press-out")
    made.record(e.Undone(batch=next(one.batch for one in made.history if isinstance(one.event, e.MarkMade))))
    jump(made, "mark-arm")
    made.do(c.MarkIsMade())
    assert not made.refused()


def test_what_was_done_without_its_step_is_asked_back_by_name_and_never_final() -> None:
    table = jump(axle_job("mark-arm", ("left", "right")), "wheel-tight")
    told = table.do(c.AlreadyOn("wheel")).shown
    assert told.startswith("The wheel, left: on already, without the step?")
    table.do(c.Confirm())
    assert table.do(c.AlreadyFitted("wheel-bolts")).shown.startswith("Five wheel bolts, left: in already")
    table.do(c.Confirm())
    assert table.state.loose[0].state == "in, tightening unknown"
    facts = card_facts(table.state, table.history)
    assert [one.claim for one in facts.contradictions] == ["wheel, left: on already", "wheel bolt, left: in already"]
    assert facts.contradictions[1].against == "Five wheel bolts, left, are out."
    assert facts.told_without_step[1].pieces == 5
    assert "told without its step" in job_card(table.state, timesheet(table.state), table.history)


def test_a_mark_that_was_there_can_be_found() -> None:
    table = jump(axle_job("mark-arm"), "arm-in")
    table.do(c.MarkWasMade(), c.Confirm(), c.MarkIsFound())
    assert table.state.progress.marks["arm-line", "left"] == "found"
    assert card_facts(table.state, table.history).contradictions[0].against.startswith("Nobody made the mark")


def test_leaving_open_steps_behind_is_asked_by_count_and_first_name() -> None:
    table = axle_job("arm-out")
    told = table.do(c.GoTo("arm-on")).shown
    assert told.startswith("Three steps lie open on the way, a press warning among them. First: Support the arm")
    table.do(c.Refuse())
    assert table.state.progress.at.step == "arm-out"
    table.do(c.GoTo("arm-on"), c.Confirm())
    assert table.state.progress.at.step == "press-in"
    assert len(table.state.progress.skipped) == 3
    table = axle_job("mark-arm")
    table.do(c.MarkIsMade())
    assert table.do(c.NextPhase()).shown.startswith("Five steps lie open on the way")


def test_the_other_side_says_what_stays_open_and_that_its_wheel_is_on() -> None:
    table = axle_job("press-out", ("left", "right"))
    told = table.do(c.OtherSide()).shown
    assert "steps open on the left, six loose there." in told
    assert "The wheel, right, is still on." in told
    assert table.state.progress.question is None
    assert table.state.progress.skipped == ()


def test_each_side_has_its_own_timer() -> None:
    table = axle_job("soak", ("left", "right"))
    table.do(c.Next())
    jump(table, "soak", "right")
    table.do(c.StartTimer())
    assert [timer.name for timer in table.state.progress.timers] == ["arm bolt soak, left", "arm bolt soak, right"]


def test_closing_names_what_kind_of_step_is_not_done_and_wants_a_reason() -> None:
    table = axle_job("wheel-in")
    assert "The job cannot close." in refused(table, c.Close())
    told = table.do(c.Close("parts on order")).shown
    assert "Steps not done: one to refit, two to lower, three to tighten, one to check." in told
    assert "Not safe to drive." in told


def test_a_listed_part_that_nobody_answered_for_is_asked_before_closing() -> None:
    table = axle_job("checked")
    table.do(c.CheckPassed())
    assert refused(table, c.Close()) == (
        "The job cannot close. Nobody answered for this part: dust boot, left. "
        "Say dust boot is renewed, or dust boot stays the old one."
    )
    table.do(c.PartAnswer("boot", renewed=False), c.Close(), c.Confirm())
    assert table.state.progress.closed is not None
    assert "dust boot" in job_card(table.state, timesheet(table.state), table.history)
    assert [one.state for one in card_facts(table.state, table.history).parts] == ["renewed", "not renewed"]


def test_done_is_said_only_of_a_step_that_is_done() -> None:
    table = axle_job("look")
    assert "Done." not in table.do(c.Finding("good")).shown
    assert "Done." in table.do(c.MarkDone()).shown


def test_two_findings_at_one_point_are_both_kept_and_asked_about() -> None:
    table = axle_job("look")
    table.do(c.Finding("worn"))
    told = table.do(c.Finding("good")).shown
    assert told.startswith("You said worn before, and good now. Both are kept.")
    assert table.state.progress.findings["seat", "left"] == "worn"
    table.do(c.Confirm())
    (fact,) = card_facts(table.state, table.history).findings
    assert (fact.finding, fact.said) == ("good", ("worn", "good"))


@pytest.mark.parametrize(("answer", "unknown"), [(c.Confirm(), True), (c.Refuse(), False)])
def test_a_hold_before_an_angle_asks_whether_it_was_begun(answer: c.Command, unknown: bool) -> None:
    table = axle_job("arm-tight")
    table.do(c.MarkDone())
    assert "Had you begun to turn the arm bolt?" in table.do(c.Hold("phone")).shown
    assert table.state.progress.hold == "phone"
    table.do(answer, c.GoOn())
    assert table.state.progress.fastenings[FastenerKey("arm-bolt", "left")].angle_unknown is unknown


def test_a_whole_job_leaves_no_blocker_and_half_of_one_leaves_some() -> None:
    table = axle_job("checked")
    assert not safe_to_drive(table.state)
    table.do(c.CheckPassed())
    facts = card_facts(table.state, table.history)
    assert facts.drive_blockers == ()
    assert facts.open == ()
    assert facts.steps_not_done == ()
    assert card_facts(axle_job("lower").state, []).drive_blockers != ()


def test_nothing_is_loose_is_said_without_reserve_only_where_no_step_was_passed_over() -> None:
    table = axle_job("wheel-out")
    assert table.do(c.WhatIsLoose()).shown == "Nothing is loose."
    jump(table, "lower")
    assert "steps passed over are not done" in table.do(c.WhatIsLoose()).shown


def test_a_vehicle_lifted_again_is_lowered_again_its_warning_heard_before_it_stands() -> None:
    table = axle_job("wheel-tight")
    table.do(c.Lifted())
    jump(table, "settle")
    assert "The warning before this is not understood." in refused(table, c.ConditionHolds("ride-height"))
    jump(table, "lower").do(c.Understood())
    jump(table, "settle")
    assert "The vehicle is raised. Lower it first." in refused(table, c.ConditionHolds("ride-height"))
    jump(table, "lower").do(c.MarkDone(), c.Next(), c.ConditionHolds("ride-height"))
    assert not table.refused()
