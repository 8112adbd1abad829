"""Back-tests and sample sizes on the command line, from the demonstration's invented earlier jobs."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from cli.test_command_line import run
from sparehand.ground.places import bundled
from sparehand.shop import shop_belief

MOUNTS = "engine-mounts"


@pytest.fixture
def shop(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Path:
    """A data folder with the demonstration's earlier jobs."""
    times = bundled("procedures") / f"{MOUNTS}.times.csv"
    assert run("times", "import", times, "--data", tmp_path, capsys=capsys)[0] == 0
    return tmp_path


def test_importing_fits_the_shop_so_that_the_next_quote_need_not(
    shop: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(*_: object) -> None:
        raise AssertionError("the shop was fitted again")

    monkeypatch.setattr(shop_belief, "believe_shop", refuse)
    assert run("quote", MOUNTS, "--data", shop, capsys=capsys)[0] == 0


def test_a_back_test_tells_coverage_losses_and_who_won(shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    code, out, _ = run("backtest", MOUNTS, "--json", "--data", shop, capsys=capsys)
    tested = json.loads(out)
    assert code == 0
    assert tested["procedure"] == MOUNTS
    assert [row["nominal"] for row in tested["coverage"]] == [0.5, 0.8, 0.9]
    assert sum(tested["pit"]) == tested["jobs"] > 0
    code, out, _ = run("backtest", MOUNTS, "--data", shop, capsys=capsys)
    assert code == 0
    assert tested["verdict"].split(":")[0] in " ".join(out.split())
    assert "range meant to hold" in out


def test_a_back_test_of_everything_takes_the_same_jobs_where_there_is_one_procedure(
    shop: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    one = json.loads(run("backtest", MOUNTS, "--json", "--data", shop, capsys=capsys)[1])
    every = json.loads(run("backtest", "--json", "--data", shop, capsys=capsys)[1])
    assert every["procedure"] is None
    assert {**every, "procedure": MOUNTS} == one


def test_a_back_test_without_finished_jobs_says_what_to_do(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    code, _, err = run("backtest", "--data", tmp_path, capsys=capsys)
    assert code == 2
    assert "finish or import some" in err


def test_sample_size_tells_how_many_more_jobs(shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    arguments = ("sample-size", MOUNTS, "--operations", "torque-arm", "--sides", "left", "--data", shop)
    answer = json.loads(run(*arguments, "--json", capsys=capsys)[1])
    assert answer["operations"] == ["torque-arm"]
    assert answer["jobs"] > 0
    five, ten = answer["needed"]
    assert five["more_jobs"] >= ten["more_jobs"]
    code, out, _ = run(*arguments, capsys=capsys)
    assert code == 0
    assert f"{answer['jobs']} finished jobs" in out
    assert "99 of 100 jobs" in out


def test_sample_size_answers_without_a_job(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    code, out, _ = run("sample-size", MOUNTS, "--data", tmp_path, capsys=capsys)
    assert code == 0
    assert "0 finished jobs" in out


@pytest.mark.parametrize("command", ["backtest", "sample-size"])
def test_an_unknown_procedure_is_one_line(command: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    code, _, err = run(command, "no-such-procedure", "--data", tmp_path, capsys=capsys)
    assert code == 2
    assert "no procedure 'no-such-procedure'" in err


def test_a_quote_learns_from_the_shop_s_other_procedures(
    shop: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Jobs of one procedure that ran over their plan make the plan of another believed less."""
    alone = json.loads(run("quote", "brake-discs-epb", "--json", "--data", tmp_path / "new", capsys=capsys)[1])
    beside = json.loads(run("quote", "brake-discs-epb", "--json", "--data", shop, capsys=capsys)[1])
    assert beside["jobs_used"] == 0
    assert beside["percentiles"] != alone["percentiles"]


def test_shared_access_is_quoted_once_and_each_operation_has_work_of_its_own(
    shop: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    arm, mount, both = (
        json.loads(
            run("quote", MOUNTS, "--operations", chosen, "--sides", "right", "--json", "--data", shop, capsys=capsys)[1]
        )["flat_rate_hours"]
        for chosen in ("torque-arm", "mounts", "mounts,torque-arm")
    )
    assert max(arm, mount) + 0.5 < both < arm + mount - 0.5
    assert (arm, mount, both) == pytest.approx((2.3, 2.6, 3.5), abs=0.2), "as docs/quoting.md tells"
