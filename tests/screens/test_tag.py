"""The tag says in large letters whether a vehicle may be driven, and lists what stands open on it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from screens.bay import OPENING, PROCEDURE, Bay, all_done, cam_bolt_waiting
from screens.browser import print_page
from screens.markup import Page
from sparehand.procedures.vehicle import Component
from sparehand.screens.tag import vehicle_tag


def test_half_dismantled_it_says_not_safe_to_drive_and_why() -> None:
    shown = Page(vehicle_tag(cam_bolt_waiting().state)).text
    assert "Not safe to drive" in shown
    assert "Right: the cam bolt hand tight." in shown
    assert "invented estate" in shown


def test_it_carries_the_plate_what_is_off_who_left_it_when_and_a_line_to_sign() -> None:
    wheel = {"id": "wheel", "name": "front wheel", "needed_to_lower": True}
    procedure = PROCEDURE.model_copy(update={"format": 2, "components": (Component.model_validate(wheel),)})
    bay = Bay(OPENING.model_copy(update={"procedure": procedure}))
    state = replace(bay.state, progress=replace(bay.state.progress, off=(("wheel", "right"),)))
    shown = Page(vehicle_tag(state)).text
    for words in ("DEMO 12", "The front wheel, right, is off.", "Left so by Ada Brook, 2026-03-02", "signed, date"):
        assert words in shown


def test_with_nothing_open_it_says_so() -> None:
    shown = Page(vehicle_tag(all_done().state)).text
    assert "Nothing stands open" in shown
    assert "Not safe" not in shown


def test_what_people_entered_cannot_break_out() -> None:
    vehicle = OPENING.vehicle.model_copy(update={"name": "<script>alert(1)</script>"})
    page = vehicle_tag(Bay(OPENING.model_copy(update={"vehicle": vehicle})).state)
    assert "<script>" not in page


@pytest.mark.parametrize("bay", [cam_bolt_waiting, all_done])
def test_it_prints_on_one_page(bay: Callable[[], Bay], tmp_path: Path) -> None:
    assert print_page(vehicle_tag(bay().state), "A5", tmp_path).pages == 1
