"""What a glance holds: the step, its numbers, what they wait for, and what stands open."""

from __future__ import annotations

import pytest

from screens.bay import (
    CAM_BOLT,
    JOINT_BOLTS,
    OPENING,
    PROCEDURE,
    Bay,
    all_done,
    arm_removed,
    cam_bolt_waiting,
    joint_bolts_in,
    step,
)
from sparehand.job import events as e
from sparehand.job.answer import Answer, plain
from sparehand.job.answering import answer_here, answer_overview
from sparehand.job.experience import ExpectedPhase, Experience
from sparehand.procedures.plan import PhaseKey
from sparehand.procedures.quantities import TorqueValue
from sparehand.screens.exchange import Exchange
from sparehand.screens.figures import Figure
from sparehand.screens.glance_view import Glance, drawn_sentences, glance

ARM_OUT = PhaseKey("remove", "right")


def seen(bay: Bay, experience: Experience | None = None) -> Glance:
    return glance(bay.state, bay.now, experience or Experience(), None, "listening")


def test_it_shows_the_step_and_where_it_stands() -> None:
    shown = seen(Bay())
    assert (shown.place, shown.counted) == ("Remove the arm, right", "step 1 of 3")
    assert shown.step == "Lever the arm and watch the joint."
    assert shown.to_answer == ("How is the joint? Say condition good, condition worn or needs replacing.",)


def test_an_open_warning_stands_before_the_step_and_hides_its_numbers() -> None:
    bay = Bay().go("remove", "cam-out")
    warned = seen(bay)
    assert warned.warning.startswith("Warning. The spring pushes")
    assert (warned.step, warned.figures) == ("", ())
    understood = seen(bay.tell(e.WarningUnderstood(warning="spring", side="right")))
    assert (understood.warning, understood.step) == ("", "Take the cam bolt out.")


def test_torque_drive_and_counter_hold_are_figures() -> None:
    assert seen(cam_bolt_waiting()).figures == (
        Figure("120", "N·m", "torque"),
        Figure("18", "mm", "socket"),
        Figure("16", "mm", "hold the cam nut"),
    )


def test_a_tightening_that_waits_says_what_for_until_it_holds() -> None:
    bay = cam_bolt_waiting()
    assert seen(bay).gate == "not yet: only at ride height"
    assert seen(bay.tell(e.ConditionChanged(condition="ride-height", holds=True))).gate == "at ride height"


def test_stage_order_and_what_remains_of_a_fastener_are_told() -> None:
    bay = joint_bolts_in()
    assert seen(bay).fastener == "3 joint bolts, stage 1 of 2, crosswise"
    bay.tell(e.TighteningConfirmed(fastener=JOINT_BOLTS, stage=0, count=2, method="clicked at setting"))
    assert seen(bay).fastener == "1 joint bolt, stage 1 of 2, crosswise"
    bay.tell(e.TighteningConfirmed(fastener=JOINT_BOLTS, stage=0, count=1, method="clicked at setting"))
    assert seen(bay).figures[0] == Figure("90", "°", "turn further")


def test_an_interrupted_angle_is_never_shown_to_be_turned() -> None:
    bay = joint_bolts_in()
    bay.tell(e.TighteningConfirmed(fastener=JOINT_BOLTS, stage=0, count=3, method="clicked at setting"))
    shown = seen(bay.tell(e.HoldStarted(reason="phone")))
    assert "interrupted and is unknown" in shown.gate
    assert all(figure.unit == "mm" for figure in shown.figures)


def test_a_converted_torque_says_so() -> None:
    """120 N·m is 88.5 lbf·ft by NIST SP 811:2008, B.8; 89 would be 0.56 % off, over the half that may be lost."""
    shown = seen(cam_bolt_waiting().tell(e.UnitChosen(unit="lbf·ft")))
    assert shown.figures[0] == Figure("88.5", "lbf·ft", "torque, converted")


def test_what_is_confirmed_or_left_shows_no_torque() -> None:
    torque = TorqueValue(value=118, unit="N·m")
    done = e.TighteningConfirmed(fastener=CAM_BOLT, stage=0, count=1, method="instrument read", achieved=torque)
    left = e.DepartureRecorded(departure="cannot tighten", fastener=CAM_BOLT)
    assert (seen(cam_bolt_waiting().tell(done)).fastener, seen(cam_bolt_waiting().tell(done)).figures) == (
        "cam bolt, confirmed",
        (),
    )
    assert seen(cam_bolt_waiting().tell(left)).fastener == "cam bolt, torque withheld, the procedure was left"
    assert seen(cam_bolt_waiting().tell(left)).figures == ()


def test_an_unreleased_procedure_shows_sizes_but_no_torque() -> None:
    procedure = PROCEDURE.model_copy(update={"released": False})
    bay = Bay(opening=OPENING.model_copy(update={"procedure": procedure}))
    bay.tell(e.StepReached(step=step("tighten", "cam-tight")))
    assert seen(bay).gate == "torque withheld: this procedure is not released"
    assert [figure.unit for figure in seen(bay).figures] == ["mm", "mm"]


def test_what_is_measured_shows_its_limits_until_it_is_measured() -> None:
    bay = cam_bolt_waiting().go("tighten", "height")
    assert seen(bay).figures == (Figure("372", "mm", "at least"), Figure("392", "mm", "at most"))
    bay.tell(e.MeasurementRecorded(measurement="arch", side="right", value=381, unit="mm"))
    assert "392" not in [figure.digits for figure in seen(bay).figures]


def test_a_soak_timer_is_large_where_nothing_else_is() -> None:
    bay = Bay().tell(e.TimerStarted(name="cam bolt soak", minutes=10)).wait(2.5)
    assert seen(bay).figures == (Figure("8", "min", "left, cam bolt soak"),)
    assert seen(bay).timers == ("cam bolt soak 8 min left",)
    assert seen(bay.wait(20)).timers == ("cam bolt soak: time is up",)


def test_the_loose_list_is_counted_and_named() -> None:
    assert seen(Bay()).loose == ()
    assert seen(joint_bolts_in()).loose == ("cam bolt right", "joint bolts right")


def test_the_phase_clock_counts_work_alone_against_what_is_expected() -> None:
    expected = Experience((ExpectedPhase(ARM_OUT, 12, 18, 25),))
    bay = Bay().wait(10).tell(e.HoldStarted(reason="lift"), after_minutes=0).wait(30)
    assert seen(bay, expected).phase_clock == "phase 10 min, expected 12 to 25 min"
    assert seen(bay).phase_clock == "phase 10 min, planned 30 min"
    bay.tell(e.HoldEnded(), after_minutes=0).wait(16)
    assert seen(bay, expected).phase_clock == "phase 26 min, expected 12 to 25 min, longer than that"


@pytest.mark.parametrize(
    ("event", "told"),
    [
        (e.HoldStarted(reason="customer approval"), "on hold for customer approval, 7 min"),
        (e.SnagStarted(snag="no access"), "snag, no access, 7 min"),
        (e.JobParked(safe_to_drive=False), "job parked"),
        (e.JobClosed(), "job closed"),
    ],
)
def test_what_stops_the_work_is_told_with_its_time(event: e.Event, told: str) -> None:
    assert seen(Bay().tell(event).wait(7)).halted == told


def test_an_open_question_is_shown_with_what_was_heard() -> None:
    torque = TorqueValue(value=118, unit="N·m")
    question = e.Question(kind="reading", about=str(CAM_BOLT), side="right", torque=torque)
    shown = seen(cam_bolt_waiting().tell(e.QuestionAsked(question=question)))
    assert "118 N·m" in shown.question
    assert "Yes confirm" in shown.question


def beyond(bay: Bay, answer: Answer) -> str:
    latest = Exchange()
    latest.answers(answer)
    return latest.beyond(seen(bay).step, drawn_sentences(bay.state, seen(bay)))


def test_of_an_answer_only_what_the_glance_lacks_is_told_beside_it() -> None:
    bay = cam_bolt_waiting()
    state = bay.state
    assert beyond(bay, Answer((*answer_here.step(state), *answer_here.torque(state, None)))) == ""
    assert beyond(bay, Answer(answer_overview.loose(state))) == "1 loose. Right: the cam bolt hand tight."
    assert beyond(bay, Answer((plain("Taken back."), *answer_here.step(state)))) == "Taken back."


def test_a_refusal_is_told_in_full_though_the_glance_says_the_same() -> None:
    bay = cam_bolt_waiting()
    assert beyond(bay, Answer((plain(bay.state.step.say),), "refused")) == f"refused: {bay.state.step.say}"


def test_the_next_two_steps_and_the_share_of_the_time_are_told() -> None:
    assert seen(Bay()).coming == ("After this: Soak the cam bolt with oil.", "Then: Take the cam bolt out.")
    assert seen(Bay().wait(15)).phase_share == pytest.approx(0.5)
    expected = Experience((ExpectedPhase(ARM_OUT, 12, 18, 25),))
    assert seen(Bay().wait(5), expected).phase_share == pytest.approx(0.2)


@pytest.mark.parametrize("told", [Bay, arm_removed, joint_bolts_in, cam_bolt_waiting, all_done])
def test_every_prefix_of_a_job_can_be_seen(told: type[Bay]) -> None:
    whole = told()
    again = Bay(clock=whole.clock)
    for recorded in whole.history[1:]:
        again.tell(recorded.event)
        shown = seen(again)
        assert shown.step or shown.warning
