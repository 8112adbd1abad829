"""The job card tells what was done, found and left, stands alone, and prints."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from pathlib import Path

import pytest

from screens.bay import CAM_BOLT, JOINT_BOLTS, OPENING, PROCEDURE, Bay, all_done, arm_removed, cam_bolt_waiting, step
from screens.browser import print_page
from screens.markup import Page
from sparehand.job import events as e
from sparehand.log.timesheet import timesheet
from sparehand.procedures.model import Side
from sparehand.screens.card import job_card
from sparehand.screens.card_open import by_side
from sparehand.screens.vehicle_plan import LooseAt, loose_at, loose_words, vehicle_plan

SIDES: tuple[Side, ...] = ("left", "right")
HOSTILE = "</dd><script>alert(1)</script><img src=x onerror=alert(2)>{{ 7*7 }}&amp;"


def card(bay: Bay) -> str:
    return job_card(bay.state, timesheet(bay.state, bay.now), bay.history)


def text(bay: Bay) -> str:
    return Page(card(bay)).text


def test_it_says_who_did_what_on_which_vehicle() -> None:
    shown = text(all_done())
    for words in ("Ada Brook", "invented estate", "DEMO 12", "84210", "knocks over bumps", "Renew the arm done"):
        assert words in shown


def test_it_shows_what_each_tightening_achieved_by_which_method() -> None:
    shown = text(all_done())
    assert "1. 35 N·m ± 5 %, crosswise 3 × clicked at setting" in shown
    assert "2. 90 ° 3 × angle turned" in shown
    assert "120 N·m ± 10 %, at ride height 1 × instrument read 118 N·m" in shown
    assert "140 N·m read: out of limits, does not count" in shown


def test_confirmations_before_a_restart_do_not_count() -> None:
    bay = cam_bolt_waiting().tell(e.TighteningRestarted(fastener=JOINT_BOLTS))
    shown = text(bay)
    assert "clicked at setting" not in shown
    assert "joint bolts, right 3 yes not said to be new" in shown.replace("none given ", "")


def test_it_shows_findings_measurements_and_use_once_parts() -> None:
    shown = text(all_done())
    assert "How is the joint? (right) replace" in shown
    assert "What is the height? (right) 381 mm 372 to 392 mm within limits" in shown
    assert "joint bolts, right none given 3 yes renewed" in shown
    assert "Check the wheel alignment." in shown


@pytest.mark.parametrize(("value", "verdict"), [(371.9, "out of limits"), (372, "within limits"), (392.5, "out of")])
def test_a_measured_value_is_held_against_its_limits(value: float, verdict: str) -> None:
    bay = cam_bolt_waiting().tell(e.MeasurementRecorded(measurement="arch", side="right", value=value, unit="mm"))
    assert f"372 to 392 mm {verdict}" in text(bay)


def test_a_finished_job_leaves_nothing_open_and_may_be_driven() -> None:
    shown = text(all_done())
    assert "Left open Nothing." in shown
    assert "Not safe to drive" not in shown


def test_a_loose_fastener_is_named_and_the_vehicle_not_safe_to_drive() -> None:
    shown = text(cam_bolt_waiting())
    assert "Not safe to drive." in shown
    assert "Right The cam bolt hand tight." in shown
    assert "Not checked before moving the vehicle: Is the pedal firm?" in shown


def test_steps_not_done_are_told_by_their_words_or_their_phase() -> None:
    bay = Bay().go("remove", "cam-out")
    shown = text(bay.tell(e.StepReached(step=step("fit", "arm-in"), skipped=(step("remove", "cam-out"),))))
    assert "Skipped: Take the cam bolt out. (right)" in shown
    assert "Not done: Soak the cam bolt with oil. (right)" in shown
    assert "Not done: Fit the arm, right, 4 of 4 steps." in shown


def test_a_job_closed_with_something_open_tells_the_reason() -> None:
    left = ("cam bolt, right, is not final: hand tight.",)
    bay = cam_bolt_waiting().tell(e.JobClosed(reason="parts on order", left_open=left))
    shown = text(bay)
    assert "Reason given: parts on order" in shown
    assert shown.count("Cam bolt, right, is not final") == 1
    assert "Not safe to drive." in shown


def test_a_departure_names_who_decided_and_withholds_the_torque() -> None:
    departure = e.DepartureRecorded(departure="cannot tighten", fastener=CAM_BOLT, reason="thread pulled")
    shown = text(cam_bolt_waiting().tell(departure))
    assert "cannot tighten cam bolt, right thread pulled Ada Brook 2026-03-02 09:11" in shown
    assert "withheld, the procedure was left" in shown
    assert "120 N·m" not in shown


def test_what_was_taken_back_is_gone_but_counted() -> None:
    bay = arm_removed()
    assert "How is the joint? (right) replace" in text(bay)
    shown = text(bay.tell(e.Undone(batch=1)))
    assert "How is the joint? (right) not answered" in shown
    assert "1 of them taking something back" in shown


def test_the_hours_add_up() -> None:
    shown = text(all_done())
    assert "worked 0:41:30 + held 0:40:00 + gap 0:00:00 = elapsed 1:21:30" in shown
    assert "Remove the arm, right 0:21:30 0:40:00 seized 0:12:30" in shown


def test_it_names_the_source_and_that_the_makers_data_prevail() -> None:
    shown = text(all_done())
    assert "Values from: Invented for tests, edition 2." in shown
    assert "The vehicle maker's own data prevail" in shown
    assert "work done by, date" in shown


def test_demonstration_data_are_marked_and_real_ones_are_not() -> None:
    real = OPENING.model_copy(update={"procedure": PROCEDURE.model_copy(update={"demo": False})})
    assert "Demonstration data." in text(Bay())
    assert "Demonstration data." not in text(Bay(opening=real))


def test_torques_of_an_unreleased_procedure_are_withheld() -> None:
    draft = OPENING.model_copy(update={"procedure": PROCEDURE.model_copy(update={"released": False})})
    assert "N·m" not in text(Bay(opening=draft))


@pytest.mark.parametrize("told", [Bay, arm_removed, cam_bolt_waiting, all_done])
def test_the_page_is_sound_accessible_and_loads_nothing(told: type[Bay]) -> None:
    page = Page(card(told()))
    assert page.complaints == []
    assert page.elements["main"] == page.elements["h1"] == page.elements["header"] == page.elements["footer"] == 1
    assert page.elements["script"] == 0
    assert "default-src 'none'" in page.html


def test_hostile_names_stay_text() -> None:
    vehicle = e.Vehicle(name=HOSTILE, identification=HOSTILE)
    procedure = PROCEDURE.model_copy(update={"title": HOSTILE, "vehicle": HOSTILE})
    update = {"vehicle": vehicle, "technician": HOSTILE, "complaint": HOSTILE, "procedure": procedure}
    page = Page(card(Bay(opening=OPENING.model_copy(update=update))))
    assert page.complaints == []
    assert page.elements["script"] == page.elements["img"] == 0
    assert page.text.count(HOSTILE) >= 5


@dataclass(frozen=True)
class Paper:
    name: str
    width: float
    height: float


@pytest.mark.parametrize("paper", [Paper("A4", 595.3, 841.9), Paper("Letter", 612, 792)], ids=lambda paper: paper.name)
def test_it_prints_on_two_pages(paper: Paper, tmp_path: Path) -> None:
    """A4 by ISO 216 is 210 mm by 297 mm; Letter is 8.5 in by 11 in; a point is 1/72 in."""
    printed = print_page(card(all_done()), paper.name, tmp_path)
    assert (printed.width, printed.height) == pytest.approx((paper.width, paper.height), abs=1)
    assert printed.pages == 2


def test_what_is_left_open_is_grouped_by_side_with_a_plan() -> None:
    shown = text(cam_bolt_waiting())
    assert "Right The cam bolt hand tight." in shown
    assert 'aria-label="Loose: right 1"' in card(cam_bolt_waiting())
    groups = by_side(
        ["Left: the nut out.", "Fit the arm, right, 2 of 4 steps.", "Skipped: Look. (left)", "Keys."], SIDES
    )
    assert [(one.side, one.sentences) for one in groups] == [
        ("left", ("The nut out.", "Skipped: Look. (left)")),
        ("right", ("Fit the arm, right, 2 of 4 steps.",)),
        ("", ("Keys.",)),
    ]


def filled(plan: str) -> list[tuple[int, int]]:
    """Where the filled wheels of a plan stand."""
    return [(int(x), int(y)) for x, y in re.findall(r'<rect x="(\d+)" y="(\d+)"[^>]* fill="currentColor"', plan)]


def test_the_plan_says_at_which_end_the_sides_are_where_the_procedure_does() -> None:
    state = cam_bolt_waiting().state
    plan = replace(state.plan, procedure=PROCEDURE.model_copy(update={"axle": "rear"}))
    assert loose_words(loose_at(replace(state, plan=plan))) == "rear right 1"
    assert loose_words(loose_at(state)) == "right 1"


def test_the_plan_fills_the_corners_where_something_is_loose() -> None:
    """Vehicles are drawn from above, the front to the left, so that the right side is on top."""
    right_rear = LooseAt("rear", "right", 1)
    assert 'aria-label="Loose: rear right 1"' in vehicle_plan((LooseAt("front", "left", 0), right_rear))
    assert filled(vehicle_plan((LooseAt("front", "left", 0), right_rear))) == [(154, 22)]
    assert filled(vehicle_plan((LooseAt("front", "left", 2),))) == [(66, 108)]
    assert filled(vehicle_plan((LooseAt(None, "rear", 2),))) == [(154, 22), (154, 108)]
    assert filled(vehicle_plan((LooseAt(None, "left", 2), LooseAt(None, None, 1)))) == []


def test_a_gate_that_the_record_contradicts_is_not_checked() -> None:
    gate = PROCEDURE.gates[0].model_copy(update={"about": ("cam-bolt",)})
    procedure = PROCEDURE.model_copy(update={"gates": (gate,)})
    bay = Bay(OPENING.model_copy(update={"procedure": procedure}))
    bay.tell(e.GatePassed(gate="pedal"))
    shown = text(bay)
    assert "Is the pedal firm? said to be checked; against the record: The cam bolt, right, is not final" in shown


def test_no_figure_of_the_hours_is_broken_inside() -> None:
    assert 'class="figure">0:' in card(all_done())
    assert ".figure { white-space: nowrap; }" in card(all_done())
