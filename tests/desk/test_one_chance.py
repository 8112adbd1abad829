"""One figure has one chance of being run over, wherever it is shown, and it is that of the hours that are shown."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from cli.test_command_line import run
from desk.test_estimating import RATES
from sparehand.ground.places import bundled
from sparehand.procedures.load import load_procedure

MOUNTS = "engine-mounts"
ASKED = (MOUNTS, "--sides", "left", "--corrosion", "none", "--support", "lift")


@pytest.fixture
def shop(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Path:
    """A data folder with the demonstration's earlier jobs, and rates with an allowance of 15 %."""
    assert (
        run("times", "import", bundled("procedures") / f"{MOUNTS}.times.csv", "--data", tmp_path, capsys=capsys)[0] == 0
    )
    whole = load_procedure(bundled("procedures") / f"{MOUNTS}.yaml").procedure
    parts = "\n".join(f'"{MOUNTS}.{part.id}" = 5' for part in whole.parts)
    (tmp_path / "rates.toml").write_text(f"allowance_percent = 15\n{RATES}{parts}\n", encoding="utf-8")
    return tmp_path


@pytest.mark.parametrize("options", ["", "--allowance 15", "--hours 3.25", "--hours 3.25 --allowance 15"])
def test_json_terminal_and_report_state_the_same_chance_of_the_same_hours(
    options: str, shop: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    page = shop / "labour.html"
    answer = json.loads(run("quote", *ASKED, *options.split(), "--json", "--data", shop, capsys=capsys)[1])
    terminal = " ".join(
        run("quote", *ASKED, *options.split(), "--report", page, "--data", shop, capsys=capsys)[1].split()
    )
    figure = 3.25 if "--hours" in options else answer["flat_rate_hours"]
    chance = f"{100 * answer['chance_over']:.0f}"
    assert answer["figure_hours"] == figure
    assert f"the chance of running over {figure:g} h is {chance}%" in terminal
    assert f"{figure:g} h <small>runs over in {chance} of 100 such jobs" in page.read_text(encoding="utf-8")
    loss = f"{answer['expected_loss_hours']:.2f} h on average"
    assert loss in terminal
    assert loss in page.read_text(encoding="utf-8")


def test_the_estimate_for_the_customer_states_it_too(shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    page = shop / "e.html"
    sheet = json.loads(run("estimate", *ASKED, "--json", "--to", page, "--data", shop, capsys=capsys)[1])
    terminal = run("estimate", *ASKED, "--to", page, "--data", shop, capsys=capsys)[1]
    hours = sheet["labour_hours"]
    asked = (*ASKED, "--hours", hours, "--allowance", "15")
    answer = json.loads(run("quote", *asked, "--json", "--data", shop, capsys=capsys)[1])
    assert answer["flat_rate_hours"] == float(hours)
    assert sheet["chance_over"] == pytest.approx(answer["chance_over"])
    chance = f"{100 * answer['chance_over']:.0f}"
    assert f"longer than {hours} h is {chance}%" in " ".join(terminal.split())
    assert f"in about {chance} of 100" in page.read_text(encoding="utf-8")
