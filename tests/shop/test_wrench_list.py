"""The shop's list of wrenches is read whole, or refused in one line that says where."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from sparehand.ground.errors import InputError
from sparehand.shop.wrench_list import WRENCHES_FILE, load_wrenches

ENTRY = """
[[wrench]]
name = "long one"
range_low = "40 N·m"
range_high = "200 N·m"
calibration_due = 2027-01-31
length_mm = 450
"""


def write(folder: Path, text: str) -> Path:
    (folder / WRENCHES_FILE).write_text(text, encoding="utf-8")
    return folder


def test_without_a_list_there_are_no_wrenches(tmp_path: Path) -> None:
    assert load_wrenches(tmp_path) == ()


def test_a_list_is_read_with_ranges_and_dates(tmp_path: Path) -> None:
    (wrench,) = load_wrenches(write(tmp_path, ENTRY))
    assert wrench.name == "long one"
    assert wrench.range_high.newton_metres == 200
    assert wrench.calibration_due == date(2027, 1, 31)


@pytest.mark.parametrize(
    ("text", "complaint"),
    [
        (ENTRY + ENTRY, "two wrenches are called 'long one'"),
        (ENTRY.replace("2027-01-31", '"soon"'), "calibration_due"),
        (ENTRY.replace('"40 N·m"', '"40"'), "range_low"),
        (ENTRY + 'colour = "red"\n', "colour"),
        ("[[wrench", "is a TOML file"),
    ],
)
def test_a_wrong_list_is_refused_in_one_line(tmp_path: Path, text: str, complaint: str) -> None:
    with pytest.raises(InputError, match=complaint) as refusal:
        load_wrenches(write(tmp_path, text))
    assert "\n" not in str(refusal.value)
