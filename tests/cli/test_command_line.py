"""The command line: bad input is one clear line with its exit code, and nothing is lost."""

from __future__ import annotations

import io
import json
from pathlib import Path

import pytest

from sparehand.cli.command_line import main
from sparehand.ground.errors import SparehandError


def run(*arguments: str | Path, capsys: pytest.CaptureFixture[str]) -> tuple[int, str, str]:
    """Run a command; gives its exit code and what it printed to output and error."""
    code = 0
    try:
        main([str(argument) for argument in arguments])
    except SystemExit as stop:
        code = stop.code if isinstance(stop.code, int) else 1
    printed = capsys.readouterr()
    return code, printed.out, printed.err


def type_a_job(lines: list[str], data: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("sys.stdin", io.StringIO("\n".join(lines) + "\n"))
    main_arguments = ["work", "engine-mounts", "--ears", "keyboard", "--mute", "--data", str(data)]
    with pytest.raises(SystemExit):
        main([*main_arguments, "--operations", "torque-arm", "--sides", "left", "--vehicle", "invented estate"])


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (("work", "no-such-procedure"), "no procedure 'no-such-procedure'"),
        (("work", "engine-mounts", "--operations", "gearbox"), "no operation 'gearbox'"),
        (("work", "engine-mounts", "--sides", "front"), "no side 'front'"),
        (("work", "engine-mounts", "--sides", "port"), "the side 'port' is not known"),
        (("work", "engine-mounts", "--corrosion", "much"), "the corrosion 'much' is not known"),
        (("work", "engine-mounts", "--ears", "nothing.wav"), "nothing.wav"),
        (("hours", "no-such-job"), "no job 'no-such-job'"),
        (("card", "no-such-job"), "no job 'no-such-job'"),
        (("resume",), "no job is open"),
        (("lessons", "nope"), "no procedure 'nope'"),
        (("check", "nope"), "no procedure 'nope'"),
        (("resume", "no-such-job"), "no job 'no-such-job'"),
        (("quote", "no-such-procedure"), "no procedure 'no-such-procedure'"),
        (("quote", "engine-mounts", "--risk", "3"), "the risk 3.0 is no share"),
        (("quote", "engine-mounts", "--allowance", "some"), "the allowance 'some' is no percentage"),
        (("hear", "nothing.wav"), "nothing.wav"),
        (("hear", "nothing.wav", "--situation", "dancing"), "the situation 'dancing' is not known"),
        (("phrases", "--situation", "dancing"), "the situation 'dancing' is not known"),
        (("settings", "set", "colour", "blue"), "no setting 'colour'"),
        (("models", "add", "english", "nothing.zip"), "nothing.zip"),
    ],
)
def test_wrong_input_is_one_line_and_exit_code_two(
    arguments: list[str], says: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    with_data = () if arguments[0] == "phrases" else ("--data", tmp_path)
    code, out, err = run(*arguments, *with_data, capsys=capsys)
    assert code == 2
    assert err.startswith("sparehand: ")
    assert says in err
    assert err.count("\n") == 1
    assert "Traceback" not in out + err


def test_a_broken_sound_file_is_named(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    broken = tmp_path / "broken.wav"
    broken.write_bytes(b"RIFF of nothing")
    code, _, err = run("hear", broken, "--data", tmp_path, capsys=capsys)
    assert code == 2
    assert "broken.wav" in err


def test_a_data_folder_that_is_a_file_is_named(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    blocked = tmp_path / "a-file"
    blocked.write_text("")
    code, _, err = run("hours", "--data", blocked, capsys=capsys)
    assert code == 1
    assert "a-file" in err
    assert err.count("\n") == 1


def test_the_version_is_printed(capsys: pytest.CaptureFixture[str]) -> None:
    assert run("--version", capsys=capsys)[1].startswith("sparehand ")


@pytest.mark.parametrize(
    "arguments",
    [
        ("--debug", "hours", "no-such-job"),
        ("hours", "--debug", "no-such-job"),
        ("log", "show", "none", "--debug"),
    ],
)
def test_debug_is_taken_anywhere_and_raises_the_error_itself(arguments: list[str], tmp_path: Path) -> None:
    with pytest.raises(SparehandError):
        main([*arguments, "--data", str(tmp_path)])


def test_debug_as_the_value_of_an_option_is_that_value(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    code, _, err = run("quote", "engine-mounts", "--allowance", "--debug", "--data", tmp_path, capsys=capsys)
    assert code == 2
    assert err.startswith("sparehand: the allowance '--debug' is no percentage")


def test_work_without_a_procedure_lists_them(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    code, out, _ = run("work", "--data", tmp_path, capsys=capsys)
    assert code == 0
    assert "engine-mounts" in out
    assert "torque-arm" in out


def test_a_typed_job_stops_and_goes_on_and_is_timed(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    type_a_job(["warning understood", "next", "warning understood", "next"], tmp_path, monkeypatch)
    assert "set chocks before and behind both rear wheels" in " ".join(capsys.readouterr().out.split())
    (header,) = [json.loads(line) for line in run("hours", "--json", "--data", tmp_path, capsys=capsys)[1].splitlines()]
    assert header["open"] is True
    monkeypatch.setattr("sys.stdin", io.StringIO("where am i\nthe gap was work\n"))
    code, out, _ = run("resume", "--ears", "keyboard", "--mute", "--data", tmp_path, capsys=capsys)
    assert code == 0
    assert "goes on." in out
    assert "step 3 of 4" in out
    assert "written down" in out
    sheet = json.loads(run("hours", header["id"][:9], "--json", "--data", tmp_path, capsys=capsys)[1])
    assert sheet["open"] is True
    assert sheet["gap_seconds"] == 0
    total = sheet["work_seconds"] + sheet["held_seconds"] + sheet["gap_seconds"]
    assert total == pytest.approx(sheet["elapsed_seconds"], abs=1e-6)


def test_the_card_of_an_open_job_says_that_it_is_not_safe_to_drive(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    type_a_job(["warning understood", "next", "next"], tmp_path, monkeypatch)
    capsys.readouterr()
    (header,) = [json.loads(line) for line in run("hours", "--json", "--data", tmp_path, capsys=capsys)[1].splitlines()]
    target = tmp_path / "card.html"
    assert run("card", header["id"], "--to", target, "--data", tmp_path, capsys=capsys)[0] == 0
    assert "not safe to drive" in target.read_text(encoding="utf-8").lower()


def test_every_pattern_is_a_json_line(capsys: pytest.CaptureFixture[str]) -> None:
    lines = [json.loads(line) for line in run("phrases", "--json", capsys=capsys)[1].splitlines()]
    assert {"phrase", "command", "situations"} <= set(lines[0])
    assert {line["command"] for line in lines} >= {"next", "mark_done", "repeat_torque", "what_is_loose", "close"}
    assert any("{digits}" in line["phrase"] for line in lines)


def test_a_quote_without_jobs_says_that_it_is_the_plan(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    code, out, _ = run("quote", "engine-mounts", "--sides", "left", "--json", "--data", tmp_path, capsys=capsys)
    assert code == 0
    quote = json.loads(out)
    assert quote["basis"] == "plan"
    assert quote["jobs_used"] == 0
    assert round(quote["flat_rate_hours"] * 10) == pytest.approx(quote["flat_rate_hours"] * 10)
    assert quote["chance_over"] <= 0.3


def test_the_demonstration_procedures_pass_their_own_check(capsys: pytest.CaptureFixture[str]) -> None:
    from sparehand.ground.places import bundled

    files = sorted(bundled("procedures").glob("*.yaml"))
    assert len(files) >= 4
    assert run("check", *files, capsys=capsys)[0] == 0
    assert run("check", files[0].stem, capsys=capsys)[0] == 0, "an id does as well as a path"


def test_both_sides_are_said_in_one_word(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    one, both, two = (
        json.loads(run("quote", "engine-mounts", "--sides", sides, "--json", "--data", tmp_path, capsys=capsys)[1])
        for sides in ("left", "both", "left,right")
    )
    assert both["flat_rate_hours"] == two["flat_rate_hours"] > one["flat_rate_hours"]


@pytest.mark.parametrize("command", [(), ("work",), ("times",), ("settings", "set"), ("share",)])
def test_the_help_names_no_type_behind_a_flag(command: tuple[str, ...], capsys: pytest.CaptureFixture[str]) -> None:
    shown = run(*command, "-h", capsys=capsys)[1]
    assert "--help" in shown
    assert "bool" not in shown
