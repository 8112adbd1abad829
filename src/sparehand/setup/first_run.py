"""The first run: three things are asked, tried and written to the settings file. Nothing that fails stops it."""

from __future__ import annotations

import sys
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import get_args

from sparehand.ground.choices import one_of
from sparehand.ground.errors import FailureError
from sparehand.ground.places import data_folder
from sparehand.ground.terminal import unfiltered
from sparehand.procedures.quantities import TorqueUnit
from sparehand.settings import SETTINGS_FILE, Settings, load_settings, set_value, write_default
from sparehand.setup.device_trials import Devices, is_file, trial_lines
from sparehand.setup.machine import Machine
from sparehand.setup.terminal_questions import Questions
from sparehand.shop.technicians import Technician

NO_MICROPHONE = "none"
SYSTEM_MICROPHONE = "the system's own"
SAMPLE_TO_SAY = "repeat torque"
_SAMPLE_SPOKEN = "Torque, one one zero newton metres."


@dataclass(frozen=True)
class Given:
    """What the command line has answered already; None is asked."""

    microphone: str | None = None
    voice: str | None = None
    words_per_minute: int | None = None
    unit: str | None = None


Changes = Mapping[str, str | int]


def run_setup(given: Given, data: Path | None) -> None:
    """Ask, try and write. Raises InputError for an answer on the command line that no setting takes."""
    folder = data_folder(data)
    questions = Questions(sys.stdin, lambda line: print(line, flush=True))
    set_up(given, folder, questions, Machine(), Devices(folder))


def run_learning(name: str, microphone: str | None, data: Path | None) -> None:
    """Learn how a technician speaks, by the microphone of the settings or another one, or a sound file.

    Raises InputError for a name that is none, and where there is no recommended recogniser.
    """
    from sparehand.setup.learn_talker import learn_talker

    folder = data_folder(data)
    device = microphone or load_settings(folder).input_device or None
    learn_talker(Technician.read(name).name, device, folder, Devices(folder), lambda line: print(line, flush=True))


def set_up(given: Given, folder: Path, questions: Questions, machine: Machine, devices: Devices) -> Settings:
    """The settings after the three questions. They are written together at the end, so a stop in between changes none.

    Raises InputError for an answer in `given` that no setting takes, or a settings file that is wrong.
    """
    settings = load_settings(folder)
    if given.unit is not None:
        one_of(given.unit, TorqueUnit, "the unit")
    changes = {
        **_microphone(given, settings, questions, machine, devices),
        **_voice(given, settings, questions, machine, devices),
        "torque_unit": given.unit or _unit(settings, questions),
    }
    write_default(folder)
    for key, value in changes.items():
        settings = set_value(folder, key, value)
    questions.tell(f"Written: {folder / SETTINGS_FILE}. Change it by `sparehand settings set`, or here again.")
    return settings


def _microphone(given: Given, settings: Settings, questions: Questions, machine: Machine, devices: Devices) -> Changes:
    """Which microphone: by list or as given, tried by a spoken sample until it is kept."""
    questions.tell("1. The microphone")
    while True:
        name = given.microphone or _choose_microphone(settings, questions, machine)
        if name == NO_MICROPHONE:
            questions.tell("Without a microphone a job is run by the keyboard, or by the bay page.")
            return {"ears": "keyboard"}
        device = None if name == SYSTEM_MICROPHONE else name
        questions.tell(f'Say "{SAMPLE_TO_SAY}", as loud as you speak at work.')
        for line in trial_lines(device, devices, _show_meter):
            questions.tell(line)
        if given.microphone or questions.keeps("this microphone"):
            return {} if is_file(name) else {"input_device": device or "", "ears": "microphone"}


def _choose_microphone(settings: Settings, questions: Questions, machine: Machine) -> str:
    found = machine.sound_devices()
    names = [device.name for device in found.inputs] if found else []
    if not names:
        questions.tell("There is none: plug one in and run this again; `sparehand selfcheck` says what is missing.")
        return NO_MICROPHONE
    standing = settings.input_device or SYSTEM_MICROPHONE
    return questions.choose("Which one?", [SYSTEM_MICROPHONE, *names, NO_MICROPHONE], standing)


def _show_meter(line: str) -> None:
    """The meter moves on one line of a terminal, and stays out of a file."""
    if sys.stdout.isatty():
        unfiltered(sys.stdout).write(f"\r{line}\x1b[K\r")
        sys.stdout.flush()


def _voice(given: Given, settings: Settings, questions: Questions, machine: Machine, devices: Devices) -> Changes:
    """Which voice and how fast: by list or as given, tried by a sentence until it is kept."""
    questions.tell("2. The voice and its speed")
    voices = () if given.voice is not None else _voices(settings, questions, machine)
    while True:
        standing = settings.voice or "the default voice"
        voice = given.voice if given.voice is not None else settings.voice or ""
        if voices:
            chosen = questions.choose("Which voice?", ["the default voice", *voices], standing)
            voice = "" if chosen == "the default voice" else chosen
        speed = given.words_per_minute or questions.number("Words a minute", 80, 300, settings.words_per_minute)
        wanted = settings.model_copy(update={"voice": voice or None, "words_per_minute": speed})
        trouble = devices.speak(_SAMPLE_SPOKEN, wanted)
        questions.tell(_screen_instead(trouble) if trouble else _SAMPLE_SPOKEN)
        if (given.voice is not None and given.words_per_minute) or questions.keeps("this voice"):
            return {"voice": voice, "words_per_minute": speed}


def _voices(settings: Settings, questions: Questions, machine: Machine) -> tuple[str, ...]:
    try:
        return machine.english_voices(settings)
    except FailureError as error:
        questions.tell(_screen_instead(str(error)))
        return ()


def _screen_instead(trouble: str) -> str:
    return f"{trouble[:1].upper()}{trouble[1:]}. Answers are on the screen all the same."


def _unit(settings: Settings, questions: Questions) -> str:
    questions.tell("3. The unit of torque")
    return questions.choose("Which unit?", get_args(TorqueUnit), settings.torque_unit)
