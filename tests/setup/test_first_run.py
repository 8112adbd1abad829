"""The first run: three questions, each tried, and nothing that fails or is missing stops it."""

from __future__ import annotations

import io
from pathlib import Path

import pytest

from imagined import GOOD, Imagined
from sparehand.cli.command_line import main
from sparehand.ground.errors import FailureError, InputError
from sparehand.settings import Settings, load_settings, set_value
from sparehand.setup.device_trials import Devices
from sparehand.setup.first_run import Given, set_up
from sparehand.setup.terminal_questions import Questions
from sparehand.voice.ears import Ears
from sparehand.voice.phrases.phrase_file import load_phrases
from sparehand.voice.sound.sources import SoundSource
from voice.sounds import LoudIsSpeech, ScriptedRecogniser, Talked


class Desk(Devices):
    """Devices that work, or fail with a reason; keeps what was spoken."""

    def __init__(self, fails: str = "", silent: str = "", says: str = "repeat torque") -> None:
        self.fails, self.silent, self.says = fails, silent, says
        self.spoken: list[Settings] = []

    def source(self, _name: str | None) -> SoundSource:
        if self.fails:
            raise FailureError(self.fails)
        return Talked(0.2, 0.8, 0.9, 1.5)

    def ears(self) -> Ears:
        engine = ScriptedRecogniser(*[self.says] * 9)
        return Ears(engine, load_phrases(), listen="always", activity=LoudIsSpeech())

    def speak(self, _text: str, settings: Settings) -> str:
        self.spoken.append(settings)
        return self.silent


def asked(
    folder: Path,
    *answers: str,
    given: Given | None = None,
    devices: Devices | None = None,
    machine: Imagined | None = None,
) -> tuple[Settings, str]:
    """Run the setup with typed answers; gives the settings and what was shown."""
    shown: list[str] = []
    questions = Questions(iter(answers), shown.append)
    settings = set_up(given or Given(), folder, questions, machine or Imagined(), devices or Desk())
    return settings, "\n".join(shown)


def test_three_answers_are_tried_and_written(tmp_path: Path) -> None:
    devices = Desk()
    settings, shown = asked(tmp_path, "2", "", "2", "150", "", "lbf·ft", devices=devices)
    assert load_settings(tmp_path) == settings
    assert settings.input_device == GOOD.inputs[0].name
    assert (settings.voice, settings.words_per_minute, settings.torque_unit) == ("gmw/en-us", 150, "lbf·ft")
    assert [(tried.voice, tried.words_per_minute) for tried in devices.spoken] == [("gmw/en-us", 150)]
    assert 'Heard: "repeat torque"' in shown


def test_a_script_that_ends_early_keeps_what_stands(tmp_path: Path) -> None:
    set_value(tmp_path, "torque_unit", "kgf·m")
    settings, _ = asked(tmp_path)
    assert settings == Settings(torque_unit="kgf·m")


def test_what_the_command_line_answers_is_not_asked(tmp_path: Path) -> None:
    settings, shown = asked(tmp_path, given=Given("none", "gmw/en-us", 170, "lbf·in"))
    assert "[" not in shown
    assert (settings.words_per_minute, settings.torque_unit) == (170, "lbf·in")


@pytest.mark.parametrize("odd", ["²", "①", "½", "٣x", "-1", "1e3"])
def test_what_looks_like_a_number_and_is_none_is_asked_again(tmp_path: Path, odd: str) -> None:
    _, shown = asked(tmp_path, odd, "1", "yes", odd, "1", odd, "150", "yes", odd, "1")
    assert shown.count(f"'{odd}' is n") == 4


def test_an_answer_that_is_none_is_asked_again(tmp_path: Path) -> None:
    settings, shown = asked(tmp_path, "none", "seven", "1", "5000", "fast", "200", "yes", "9", "1")
    assert shown.count("is none of them") == 2
    assert shown.count("is no number from 80 to 300") == 2
    assert settings.words_per_minute == 200


def test_a_unit_typed_too_early_is_no_yes(tmp_path: Path) -> None:
    settings, shown = asked(tmp_path, "none", "1", "150", "nm", "yes", "lbf·ft")
    assert shown.count("'nm' is neither; type yes or again") == 1
    assert settings.torque_unit == "lbf·ft"


def test_without_a_microphone_the_keyboard_is_kept_as_the_ears(tmp_path: Path) -> None:
    assert asked(tmp_path, "none")[0].ears == "keyboard"
    assert asked(tmp_path, "1")[0].ears == "microphone"


def test_the_microphone_is_tried_until_it_is_kept(tmp_path: Path) -> None:
    _, shown = asked(tmp_path, "2", "again", "2", "again", "2", "yes")
    assert shown.count("Heard:") == 3


@pytest.mark.parametrize(
    ("devices", "machine", "says"),
    [
        (Desk(fails="the microphone cannot be opened"), Imagined(), "No microphone: the microphone cannot be opened"),
        (Desk(silent="the sound output has gone"), Imagined(), "The sound output has gone. Answers are on the screen"),
        (Desk(), Imagined(devices=None), "There is none: plug one in"),
        (Desk(), Imagined(voice_fails="speech does not work"), "Speech does not work. Answers are on the screen"),
        (Desk(says=""), Imagined(), "No phrase was understood"),
    ],
)
def test_bad_devices_are_told_and_stop_nothing(
    tmp_path: Path, devices: Devices | None, machine: Imagined | None, says: str
) -> None:
    settings, shown = asked(tmp_path, "1", devices=devices, machine=machine)
    assert says in shown
    assert load_settings(tmp_path) == settings


def test_a_wrong_unit_on_the_command_line_changes_nothing(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="the unit 'stone' is not known"):
        asked(tmp_path, given=Given(unit="stone"))
    assert list(tmp_path.iterdir()) == []


def test_a_spoken_sample_is_recognised_back_by_the_real_ears(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    sample = tmp_path / "sample.wav"
    main_commands = (
        ["speak", "repeat torque", "--to", str(sample)],
        ["setup", "--microphone", str(sample), "--voice", "", "--words-per-minute", "150", "--unit", "N·m"],
    )
    monkeypatch.setattr("sparehand.setup.device_trials.Devices.speak", lambda *_: "")
    monkeypatch.setattr("sys.stdin", io.StringIO())
    for command in main_commands:
        with pytest.raises(SystemExit) as end:
            main([*command, "--data", str(tmp_path / "data")])
        assert not end.value.code
    assert 'Heard: "repeat torque"' in capsys.readouterr().out
    assert load_settings(tmp_path / "data").input_device is None
