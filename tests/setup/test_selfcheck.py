"""The self-check: what a machine lacks is named with what to do, and only what a job needs stops one."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from imagined import GOOD, Imagined
from sparehand.ground.errors import InputError
from sparehand.settings import SETTINGS_FILE
from sparehand.setup.machine import Machine, SoundDevice, SoundDevices
from sparehand.setup.selfcheck import NEEDED, Item, SelfcheckReport, selfcheck


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """The data folder of a bench."""
    return tmp_path


def item(report: SelfcheckReport, name: str) -> Item:
    (found,) = [one for one in report.items if one.name == name]
    return found


def test_a_machine_with_everything_needs_nothing_done(folder: Path) -> None:
    report = selfcheck(folder, Imagined())

    assert {one.state for one in report.items} == {"ok"}
    assert not any(one.what_to_do for one in report.items)
    assert report.can_run_a_job


CASES = {
    "no PortAudio": (Imagined(devices=None), "microphone", "missing", "libportaudio2"),
    "no PortAudio for a speaker": (Imagined(devices=None), "speaker", "missing", "on screen"),
    "no PortAudio on a Mac": (Imagined(devices=None, platform="darwin"), "microphone", "missing", "again"),
    "no microphone": (Imagined(devices=SoundDevices((), GOOD.outputs)), "microphone", "missing", "keyboard"),
    "telephone quality": (
        Imagined(devices=SoundDevices((SoundDevice("Radio headset", 8_000, True),), GOOD.outputs)),
        "microphone",
        "warn",
        "wire",
    ),
    "no voice": (Imagined(voice_fails="no such voice"), "voice", "missing", "voice"),
    "no Vosk": (Imagined(modules=("pocketsphinx",)), "hearing", "warn", "models get english"),
    "no model": (Imagined(model=False), "hearing", "warn", "models get english"),
    "half-copied model": (Imagined(model_fault="the model lacks am/final.mdl"), "hearing", "warn", "--engine"),
    "no recogniser": (Imagined(modules=()), "hearing", "missing", "keyboard"),
    "network disk": (Imagined(kind="nfs4"), "log", "warn", "disk of this machine"),
    "memory disk": (Imagined(kind="tmpfs"), "log", "warn", "power cut"),
    "flushes that do not wait": (Imagined(flush=1e-6), "log", "warn", "power cut"),
    "disk that refuses": (Imagined(flush=OSError("refused")), "log", "missing", "--data"),
    "little room": (Imagined(free=10**8), "disk", "warn", "room"),
    "no room": (Imagined(free=10**6), "disk", "missing", "room"),
}


@pytest.mark.parametrize("case", CASES)
def test_each_lack_is_named_with_what_to_do_and_stops_a_job_only_where_it_must(folder: Path, case: str) -> None:
    machine, name, state, advice = CASES[case]

    report = selfcheck(folder, machine)

    assert item(report, name).state == state
    assert advice in item(report, name).what_to_do
    assert report.can_run_a_job == (state != "missing" or name not in NEEDED)


def test_a_device_named_in_the_settings_must_be_there(folder: Path) -> None:
    (folder / SETTINGS_FILE).write_text('input_device = "HEADSET"\noutput_device = "horn"\n')

    report = selfcheck(folder, Imagined())

    assert item(report, "microphone").state == "ok"
    assert item(report, "speaker").state == "missing"
    assert "Bench headset" in item(report, "speaker").what_to_do


def test_wrong_settings_stop_a_job_and_the_rest_is_looked_at_all_the_same(folder: Path) -> None:
    (folder / SETTINGS_FILE).write_text("volume = 7\n")

    report = selfcheck(folder, Imagined())

    assert not report.can_run_a_job
    assert f"{SETTINGS_FILE}:1" in item(report, "settings").detail
    assert len(report.items) == 7


def test_a_half_copied_model_is_found_and_what_is_missing_named(tmp_path: Path) -> None:
    (tmp_path / "models" / "english" / "am").mkdir(parents=True)

    with pytest.raises(InputError, match="lacks"):
        Machine().has_english_model(tmp_path)
    assert not Machine().has_english_model(tmp_path / "elsewhere")


def test_the_data_folder_is_left_as_it_was(folder: Path) -> None:
    before = sorted(folder.rglob("*"))

    selfcheck(folder, Imagined())

    assert sorted(folder.rglob("*")) == before


def test_the_plain_lines_hold_every_item_and_the_verdict(folder: Path) -> None:
    report = selfcheck(folder, Imagined(devices=None))

    text = "\n".join(report.lines())
    assert all(one.detail in text and one.what_to_do in text for one in report.items)
    assert report.lines()[-1] == "A job can be run."


def test_this_machine_answers_every_question(tmp_path: Path) -> None:
    report = selfcheck(tmp_path)

    assert report.can_run_a_job
    assert item(report, "voice").state == "ok"
    assert item(report, "hearing").state != "missing"


@pytest.mark.skipif(not Path("/proc/self/mounts").exists(), reason="this system has no /proc")
def test_the_file_system_of_a_folder_is_that_of_the_nearest_mount() -> None:
    assert Machine().filesystem(Path("/proc/self")) == "proc"
    assert Machine().filesystem(Path(os.sep)) != "proc"


@pytest.mark.parametrize(
    ("wordings", "state"), [('"next" = ["carry on now"]', "ok"), ('"next" = ["undo that"]', "missing")]
)
def test_a_phrase_file_is_read_as_a_job_would_read_it(folder: Path, wordings: str, state: str) -> None:
    (folder / "own.toml").write_text(f"[also]\n{wordings}\n", encoding="utf-8")
    (folder / SETTINGS_FILE).write_text('phrase_file = "own.toml"\n', encoding="utf-8")
    report = selfcheck(folder, Imagined())
    (item,) = [item for item in report.items if item.name == "phrases"]
    assert item.state == state
    assert report.can_run_a_job is (state == "ok")
