"""The glance on terminals of any size: what must be seen is seen, and nothing runs over."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache

import pytest
from hypothesis import given, settings, strategies as st
from rich.cells import cell_len
from rich.text import Text

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
)
from sparehand.job import events as e
from sparehand.job.experience import Experience
from sparehand.procedures.quantities import TorqueValue
from sparehand.screens.glance_layout import Size, laid_out, prompt_row
from sparehand.screens.glance_view import Glance, glance, opening_glance
from sparehand.screens.job_view import HeardLine

SIZES = [Size(60, 18), Size(80, 24), Size(120, 40), Size(240, 70)]
HEARD = HeardLine("repeat torque", True, "sure 93 %")
LONG = "3 loose. " + "The cam bolt is not final: hand tight. " * 6


def seen(bay: Bay) -> Glance:
    return glance(bay.state, bay.now, Experience(), HEARD, "listening")


@cache
def seen_once(told: Callable[[], Bay]) -> Glance:
    return seen(told())


def plainly(rows: tuple[Text, ...]) -> str:
    return "\n".join(row.plain for row in rows)


def digit_rows(rows: tuple[Text, ...]) -> int:
    return sum("█" in row.plain for row in rows)


@pytest.mark.parametrize("size", SIZES, ids=lambda size: f"{size.columns}×{size.rows}")
def test_everything_is_seen_at_every_size(size: Size) -> None:
    rows = laid_out(seen(cam_bolt_waiting()), "", size)
    text = plainly(rows)
    for words in (
        "Tighten at ride height, right, step 1 of 2",
        "listening",
        "Tighten the cam bolt.",
        "N·m torque",
        "mm socket",
        "mm hold the cam nut",
        "not yet: only at ride height",
        "planned 6 min",
        "1 LOOSE: cam bolt right",
        "heard “repeat torque”, sure 93 %",
    ):
        assert words in text
    assert digit_rows(rows) >= 7


def test_digits_grow_with_the_wall() -> None:
    shown = seen(cam_bolt_waiting())
    heights = [digit_rows(laid_out(shown, "", size)) for size in SIZES]
    assert heights == sorted(heights)
    assert heights[0] >= 7
    assert heights[-1] >= 30


@pytest.mark.parametrize("told", [Bay, arm_removed, joint_bolts_in, cam_bolt_waiting, all_done])
@settings(deadline=None)
@given(st.integers(20, 250), st.integers(5, 80), st.sampled_from(["", "Confirmed.", LONG]))
def test_rows_fill_the_terminal_exactly(told: Callable[[], Bay], columns: int, rows: int, answer: str) -> None:
    laid = laid_out(seen_once(told), answer, Size(columns, rows))
    assert len(laid) == rows
    assert {cell_len(row.plain) for row in laid} == {columns}


@settings(deadline=None)
@given(st.text(max_size=80), st.sampled_from(SIZES))
def test_strange_names_neither_break_a_row_nor_act_as_styles(name: str, size: Size) -> None:
    shown = Glance(name, "step 1 of 1", name, "listening", fastener=name, loose=(name,), halted=name)
    rows = laid_out(shown, name, size)
    assert len(rows) == size.rows
    assert {cell_len(row.plain) for row in rows} == {size.columns}
    assert all(ord(sign) >= 32 for row in rows for sign in row.plain)


def test_nothing_is_told_by_colour() -> None:
    allowed = {"", "bold", "bold reverse"}
    for told in (Bay, arm_removed, joint_bolts_in, cam_bolt_waiting, all_done):
        assert {str(row.style) for row in laid_out(seen(told()), LONG, Size(80, 24))} <= allowed


def test_the_row_for_typed_words_has_one_below_it() -> None:
    for size in SIZES:
        rows = laid_out(seen(Bay()), "", size)
        assert rows[prompt_row(size)].plain.strip() == "›"
        assert prompt_row(size) == size.rows - 2


def test_a_long_answer_turns_its_pages_below_the_numbers_and_is_whole() -> None:
    shown = seen(cam_bolt_waiting())
    pages = [laid_out(shown, LONG, Size(60, 18), page) for page in range(3)]
    assert {digit_rows(rows) for rows in pages} == {digit_rows(laid_out(shown, "", Size(60, 18)))}
    assert [rows[13].plain.rstrip()[-6:] for rows in pages] == ["1 of 3", "2 of 3", "3 of 3"]
    answer = " ".join(row.plain.strip() for rows in pages for row in rows[14:16])
    assert " ".join(answer.split()).startswith(LONG.strip())


def test_a_warning_takes_the_place_of_the_step() -> None:
    rows = laid_out(seen(Bay().go("remove", "cam-out")), "", Size(60, 18))
    assert rows[1].plain.startswith(" Warning. The spring pushes the arm down")
    assert "Take the cam bolt out" not in plainly(rows)
    assert digit_rows(rows) == 0


def test_a_question_and_a_hold_stand_out() -> None:
    question = e.Question(kind="reading", about=str(CAM_BOLT), side="right", torque=TorqueValue(value=118, unit="N·m"))
    for bay in (cam_bolt_waiting().tell(e.QuestionAsked(question=question)), Bay().tell(e.HoldStarted(reason="parts"))):
        rows = laid_out(seen(bay), "", Size(80, 24))
        told = " ".join(row.plain for row in rows[1:-1] if str(row.style) == "bold reverse")
        assert "118 N·m for cam bolt. Yes confirm, or no cancel." in told or "on hold for parts" in told


def test_a_number_too_wide_for_the_place_is_still_told() -> None:
    fasteners = PROCEDURE.fasteners
    wide = fasteners[0].model_copy(update={"drive_mm": 123456.25})
    procedure = PROCEDURE.model_copy(update={"fasteners": (wide, *fasteners[1:])})
    bay = Bay(opening=OPENING.model_copy(update={"procedure": procedure})).go("remove", "cam-out")
    bay.tell(e.WarningUnderstood(warning="spring", side="right"))
    assert "socket 123456.25 mm" in plainly(laid_out(seen(bay), "", Size(40, 18)))


def test_before_the_job_it_shows_what_was_asked() -> None:
    text = plainly(laid_out(opening_glance("Say which operation: do arm.", None, "listening"), "", Size(60, 18)))
    assert "Say which operation: do arm." in text
    assert "loose" not in text


def test_what_a_step_asks_for_is_seen_beside_its_numbers() -> None:
    bay = arm_removed().go("fit", "bolts-in")
    rows = laid_out(seen(bay), "", Size(60, 18))
    assert "Three joint bolts must be new. Say new part fitted" in plainly(rows)
    assert digit_rows(rows) >= 7


def test_an_interrupted_angle_says_in_full_what_to_do() -> None:
    bay = joint_bolts_in()
    bay.tell(e.TighteningConfirmed(fastener=JOINT_BOLTS, stage=0, count=3, method="clicked at setting"))
    text = plainly(laid_out(seen(bay.tell(e.HoldStarted(reason="phone"))), "", Size(60, 18)))
    assert "Begin at stage one." in " ".join(text.split())


def test_a_confirmed_fastener_shows_what_comes_after() -> None:
    bay = cam_bolt_waiting().tell(e.ConditionChanged(condition="ride-height", holds=True))
    bay.tell(e.TighteningConfirmed(fastener=CAM_BOLT, stage=0, count=1, method="clicked at setting"))
    rows = laid_out(seen(bay), "", Size(60, 18))
    assert digit_rows(rows) == 0
    assert "After this: Measure from hub to arch." in plainly(rows)
