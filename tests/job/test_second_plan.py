"""Approved work of another procedure joins the job as a second plan, on the same vehicle."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from uuid import UUID

import pytest

from job.table import EXPERIENCE, Table, open_job
from sparehand.job import commands as c
from sparehand.job.experience import AddedHours, Offer
from sparehand.job.open_items import open_checks, open_items
from sparehand.job.state import fold
from sparehand.log.timesheet import job_times, timesheet
from sparehand.procedures.check import check_file
from sparehand.procedures.joining import Joined, called_alike, with_joined
from sparehand.procedures.load import load_procedure
from sparehand.procedures.model import Procedure
from sparehand.procedures.plan import FastenerKey, plan_run
from sparehand.screens.card import job_card
from sparehand.setup.hearing_trials import spoken_names
from sparehand.voice.phrases.phrase_file import load_phrases

HERE = Path(__file__).parent
AXLE = load_procedure(HERE / "axle_job.yaml").procedure
HUB_FILE = HERE / "hub_boot.yaml"
HUB = load_procedure(HUB_FILE).procedure
BOOT = "hub-boot.boot"
HOURS = AddedHours(BOOT, 0.6, 0.8, 1.2)
APPROVED = c.Approve("customer", "by phone")
FOUND = c.FoundFault("torn", "boot", "soon", "left")


def at_the_axle(other: Procedure = HUB) -> Table:
    """A job on the left that knows of the hub's procedure."""
    table = open_job(AXLE, sides=("left",))
    table.experience = replace(EXPERIENCE, offers=(Offer(other, "1" * 64),), added=(HOURS,))
    return table


def joined(same: bool = True, other: Procedure = HUB) -> Table:
    """The same with the boot approved; `same` says that its wheel is the wheel of the job."""
    table = at_the_axle(other)
    table.do(FOUND, APPROVED)
    if table.state.progress.question:
        table.do(c.Confirm() if same else c.Refuse())
    return table


def test_the_file_of_these_tests_is_sound() -> None:
    assert check_file(HUB_FILE) == ()


def test_two_phrases_lead_from_a_finding_to_approved_work_of_another_procedure() -> None:
    table = at_the_axle()
    told = table.do(FOUND).shown
    assert "Proposed: Renew the dust boot of the hub. About 0.8 h, four in five times 0.6 h to 1.2 h." in told
    table.do(APPROVED)
    assert BOOT in table.state.plan.operations
    assert "Approved. Rear hub has things of the same name: wheel and wheel bolt." in table.last.shown


def test_it_is_proposed_by_its_name_and_not_twice() -> None:
    table = at_the_axle()
    assert "Renew the dust boot of the hub" in table.do(c.AddOperation(BOOT)).shown
    table.do(c.AddOperation(BOOT))
    assert table.refused()
    table.do(c.AddOperation("hub-boot.no-such"))
    assert table.refused()


def test_its_ids_never_collide_and_its_phases_come_after_those_of_the_job() -> None:
    table = joined()
    own = plan_run(AXLE, (), ("left",)).phases
    keys = [planned.key for planned in table.state.plan.phases]
    assert keys[: len(own)] == [planned.key for planned in own]
    assert [str(key) for key in keys[len(own) :]] == [
        f"hub-boot.{planned.key}" for planned in plan_run(HUB, (), ("left",)).phases
    ]
    assert len(set(table.state.plan.steps)) == len(table.state.plan.steps)


def test_it_is_done_on_the_side_where_it_was_found() -> None:
    table = open_job(AXLE, sides=("left", "right"))
    table.experience = replace(EXPERIENCE, offers=(Offer(HUB, ""),))
    table.do(c.FoundFault("torn", "boot", "soon", "right"), APPROVED, c.Confirm())
    sides = {
        key.side for key in (planned.key for planned in table.state.plan.phases) if key.phase == "hub-boot.boot-work"
    }
    assert sides == {"right"}
    assert {planned.key.side for planned in table.state.plan.phases if planned.key.phase == "arm-off"} == {
        "left",
        "right",
    }


@pytest.mark.parametrize("same", [True, False])
def test_the_wheel_is_one_where_somebody_says_so_and_two_where_nobody_does(same: bool) -> None:
    table = joined(same=same)
    table.work_until("arm-out")
    known = {key.fastener for key in table.state.progress.fastenings}
    assert known == {"wheel-bolts"}
    table.do(c.GoTo("hub-boot.wheel-off"), c.Confirm())
    assert table.state.step.takes_off == (("wheel",) if same else ("hub-boot.wheel",))
    assert table.state.progress.off == (("wheel", "left"),)


def test_raised_and_lowered_hold_for_both() -> None:
    table = joined(same=False)
    table.work_until("arm-out")
    assert table.state.progress.stance_at("left") == "raised"
    assert table.state.plan.step(table.state.plan.steps[-3]).say
    assert [one.id for one in table.state.plan.procedure.conditions] == ["ride-height"]


def test_values_that_two_files_give_differently_for_one_bolt_are_withheld() -> None:
    bolts = HUB.fastener("wheel-bolts")
    tighter = bolts.model_copy(update={"tightening": bolts.tightening[:1]})
    other = HUB.model_copy(update={"fasteners": (tighter, *HUB.fasteners[1:])})
    table = joined(other=other)
    assert table.state.plan.procedure.fastener("wheel-bolts").unconfirmed == ("tightening",)
    table.work_until("wheel-snug")
    assert "withheld" in table.do(c.RepeatTorque()).shown


def test_torques_of_a_procedure_that_is_not_released_stay_withheld() -> None:
    table = joined(other=HUB.model_copy(update={"released": False}))
    assert "tightening" in table.state.plan.procedure.fastener("hub-boot.retainer-screw").unconfirmed
    assert "tightening" in table.state.plan.procedure.fastener("wheel-bolts").unconfirmed


def worked() -> Table:
    """Everything done of both plans."""
    table = joined()
    table.work_until("checked")
    table.do(c.CheckPassed())
    table.work_until("hub-checked")
    return table


def test_the_job_closes_when_the_gates_and_loose_lists_of_both_are_in_order() -> None:
    table = worked()
    assert open_checks(table.state) == ("Is every wheel bolt at its final torque, and does the boot sit?",)
    table.do(c.Close())
    assert table.refused()
    table.do(c.CheckPassed(), c.MarkDone(), c.PartAnswer("boot", renewed=False))
    assert open_items(table.state) == ()
    table.do(c.Close(), c.Confirm())
    assert table.state.progress.closed is not None


def test_the_first_gate_opens_again_where_the_second_plan_takes_the_wheel_off() -> None:
    table = joined()
    table.work_until("checked")
    table.do(c.CheckPassed(), c.MarkDone())
    assert table.state.progress.gates == {"wheels-torqued"}
    table.work_until("ring-off")
    assert "Is every wheel bolt at its final torque?" in open_checks(table.state)


def test_times_count_for_the_procedure_that_they_belong_to() -> None:
    table = worked()
    sheet = timesheet(table.state)
    times = job_times(table.state, sheet)
    (second,) = times.joined
    assert (times.procedure, times.operations) == ("axle-job", ("arm-bush",))
    assert (second.job, second.procedure, second.operations) == ("a-job+hub-boot", "hub-boot", ("boot",))
    assert {row.phase for row in second.phases} <= {phase.id for phase in HUB.phases}
    parts = (*times.phases, *second.phases)
    assert round(1000 * sum(row.work_seconds for row in parts)) == round(1000 * sheet.work_seconds)


def test_the_card_tells_both_with_their_sources() -> None:
    table = worked()
    card = job_card(table.state, timesheet(table.state), table.history)
    assert "Renew the dust boot of the hub" in card
    assert "approved by the customer by phone" in card
    assert "Quenby workshop notes" in card
    assert "1" * 64 in card
    assert "Look at the new boot again after 1,000 km." in card


def test_a_declined_work_of_another_procedure_stands_on_the_card_by_its_title() -> None:
    table = at_the_axle()
    table.do(c.AddOperation(BOOT), c.Decline("customer"))
    assert "Renew the dust boot of the hub" in job_card(table.state, timesheet(table.state), table.history)


def test_a_power_cut_keeps_both_plans() -> None:
    table = worked()
    table.restart(60_000)
    assert fold(table.history) == table.state
    assert BOOT in table.state.plan.operations


def test_undo_takes_the_second_plan_out_again() -> None:
    table = at_the_axle()
    before = table.state.plan
    table.do(FOUND, APPROVED, c.Confirm(), c.Undo(), c.Undo())
    assert table.state.plan == before


def test_a_file_that_is_gone_at_the_approval_is_told_in_one_line() -> None:
    table = at_the_axle()
    table.do(FOUND)
    table.experience = EXPERIENCE
    assert "not installed any more" in table.do(APPROVED).shown
    assert table.refused()


def test_a_second_operation_of_a_joined_procedure_brings_no_second_copy() -> None:
    again = HUB.operations[0].model_copy(update={"id": "again", "title": "Look again"})
    table = joined(other=HUB.model_copy(update={"operations": (*HUB.operations, again)}))
    table.do(c.AddOperation("hub-boot.again"), APPROVED)
    assert len(table.state.progress.joined) == 1
    assert "hub-boot.again" in table.state.plan.operations


def test_an_inspection_may_propose_work_of_another_file() -> None:
    proposing = AXLE.model_dump(mode="json", exclude_defaults=True)
    for phase in proposing["phases"]:
        for step in phase["steps"]:
            if "inspect" in step:
                step["inspect"]["proposes"] = BOOT
    table = open_job(Procedure.model_validate(proposing), sides=("left",))
    table.experience = replace(EXPERIENCE, offers=(Offer(HUB, ""),))
    table.work_until("look")
    assert "Renew the dust boot of the hub" in table.do(c.Finding("worn")).shown


def test_a_fastener_of_the_second_plan_has_a_state_of_its_own() -> None:
    table = joined()
    table.do(c.GoTo("hub-boot.boot-work"), c.Confirm(), c.MarkDone())
    assert FastenerKey("hub-boot.retainer-screw", "left") in table.state.progress.fastenings
    assert "retainer screw out" in table.do(c.WhatIsLoose()).shown


def test_three_procedures_may_stand_side_by_side() -> None:
    third = HUB.model_copy(update={"id": "hub-boot-b", "title": "Rear hub, other kind"})
    run = with_joined(AXLE, ("left",), (Joined(HUB, ("left",)), Joined(third, ("left",))))
    for kind in ("phases", "fasteners", "components", "gates", "operations"):
        ids = [one.id for one in getattr(run, kind)]
        assert len(set(ids)) == len(ids)


def test_its_names_are_said_before_it_joins_and_its_places_after() -> None:
    before = load_phrases(spoken_names(AXLE, others=(HUB,)))
    assert before.command_for("add operation hub boot", {"working"}) == c.AddOperation(BOOT)
    assert before.command_for("do hub boot", {"opening"}) is None
    assert before.command_for("go to boot work", {"working"}) is None
    after = load_phrases(spoken_names(joined().state.plan.procedure))
    assert after.command_for("go to boot work", {"working"}) == c.GoTo("hub-boot.boot-work")
    assert after.command_for("go to remove wheel", {"working"}) == c.GoTo("wheel-off")
    assert after.command_for("go to remove wheel again", {"working"}) == c.GoTo("hub-boot.wheel-off")


def test_wheels_at_other_axles_are_never_asked_to_be_one() -> None:
    front = AXLE.model_copy(update={"axle": "front"})
    assert called_alike(front, HUB.model_copy(update={"axle": "front"})) == ("wheel", "wheel bolt")
    assert called_alike(front, HUB.model_copy(update={"axle": "rear"})) == ()


def test_a_step_of_the_second_plan_shows_its_own_picture() -> None:
    phases = tuple(
        one.model_copy(update={"steps": (one.steps[0].model_copy(update={"picture": "hub/ring.png"}), *one.steps[1:])})
        for one in HUB.phases
    )
    table, shown = at_the_axle(), UUID(int=7)
    offer = Offer(HUB.model_copy(update={"phases": phases}), "", {"hub/ring.png": shown})
    table.experience = replace(EXPERIENCE, offers=(offer,))
    table.do(FOUND, APPROVED, c.Confirm(), c.GoTo("hub-boot.boot-work"), c.Confirm())
    assert table.state.pictures[table.state.step.picture or ""] == shown
