"""What a bench prefers: one commented file in the data folder, checked when it is read."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any, Literal

import tomlkit
from pydantic import BaseModel, ConfigDict, Field, model_validator

from sparehand.ground.bounds import Name
from sparehand.ground.errors import FailureError, InputError
from sparehand.ground.toml_file import parse_toml, read_toml
from sparehand.job.events import DistanceUnit
from sparehand.log.durable import write_durably
from sparehand.procedures.quantities import TorqueUnit

SETTINGS_FILE = "settings.toml"

Listening = Literal["always", "call", "key"]
Sensitivity = Literal["careful", "normal", "keen"]
AnswerLength = Literal["full", "terse"]
Output = Literal["headset", "loudspeaker"]
EarsKind = Literal["microphone", "keyboard"]


class Settings(BaseModel):
    """Everything a bench can prefer; each has a default that works."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    torque_unit: TorqueUnit = "N·m"
    distance_unit: DistanceUnit | None = None
    answer_length: AnswerLength = "full"
    idle_reminder_minutes: int = Field(default=20, ge=0, le=240)
    voice: str | None = Field(default=None, max_length=100)
    words_per_minute: int = Field(default=160, ge=80, le=300)
    volume: float = Field(default=1.0, ge=0, le=1)
    output: Output = "headset"
    output_device: str | None = Field(default=None, max_length=200)
    input_device: str | None = Field(default=None, max_length=200)
    ears: EarsKind = "microphone"
    listening: Listening | None = None
    listen_key: str = Field(default="", max_length=1)
    call_word: str = Field(default="spare hand", pattern=r"^[a-z]+( [a-z]+)*$", max_length=40)
    phrase_file: str | None = Field(default=None, max_length=300)
    sensitivity: Sensitivity = "normal"
    technician: str | None = Field(default=None, max_length=60)
    technicians: str | None = Field(default=None, max_length=500)
    bench: Name = Field(default="bench 1", min_length=1, max_length=60)
    memo_seconds: int = Field(default=120, ge=10, le=900)
    memo_days: int = Field(default=0, ge=0, le=36_500)
    customer_days: int = Field(default=0, ge=0, le=36_500)

    @model_validator(mode="before")
    @classmethod
    def _empty_is_default(cls, written: dict[str, Any]) -> dict[str, Any]:
        return {key: value for key, value in written.items() if value != ""}


EXPLANATIONS: Mapping[str, str] = {
    "torque_unit": "The unit in which torques are spoken and shown: N·m, lbf·ft, lbf·in or kgf·m.",
    "distance_unit": "The unit of odometers and distances: km or mi; empty records an odometer without a unit.",
    "answer_length": "full, or terse: the value alone, without the sentence around it.",
    "idle_reminder_minutes": "After so many minutes without a word it asks whether the work is on hold; 0 is never.",
    "voice": "The voice, by an id that `sparehand selfcheck` lists; empty is the natural one, or American English.",
    "words_per_minute": "How fast it speaks: 80 to 300.",
    "volume": "How loud it speaks: 0 to 1.",
    "output": "headset, which lets you cut in by voice; or loudspeaker, where it does not listen while it speaks.",
    "output_device": "The speaker's name or a part of it; empty is the system's default.",
    "input_device": "The microphone's name or a part of it; empty is the system's default.",
    "ears": "microphone, or keyboard: every typed line is one phrase. `--ears` goes before it.",
    "listening": "always, call (after the call word) or key; empty is what the speech engine can be trusted with.",
    "listen_key": "A character that opens the ears at the start of a line, for a pedal or remote that types one.",
    "call_word": "What comes before a command when it waits for a call, in small letters; two words are safer.",
    "phrase_file": "A file with your own wordings, its place told from the data folder; empty is none.",
    "sensitivity": "careful (fewer false acts), normal, or keen (fewer repetitions).",
    "technician": "The name that jobs are recorded under where none is given.",
    "technicians": "Who works here and how each is called aloud: Ada Brook: ada, Ben Field: ben.",
    "bench": "This bench's name in records that several benches share.",
    "memo_seconds": "The greatest length of one memo: 10 to 900 seconds.",
    "customer_days": "For how many days vehicle, complaint and pictures of a closed job are kept; 0 is for good.",
    "memo_days": "For how many days memos' sound and pictures are kept once their job is closed; 0 is for good.",
}
"""What each setting is for, as the file itself and the manual say it."""


def load_settings(folder: Path) -> Settings:
    """The settings of a data folder; the defaults where it has no file.

    Raises InputError, with file, line and key, for one that is wrong.
    """
    return read_toml(folder / SETTINGS_FILE, Settings, "settings file", _advice, absent="")


def write_default(folder: Path) -> Path:
    """Write the default settings with an explanation of each key, unless there is a file already; gives its path."""
    path = folder / SETTINGS_FILE
    if not path.exists():
        document = tomlkit.document()
        document.add(tomlkit.comment("Sparehand's settings. A line that you remove falls back to its default."))
        for key, value in Settings().model_dump().items():
            document.add(tomlkit.nl())
            document.add(tomlkit.comment(EXPLANATIONS[key]))
            document.add(key, "" if value is None else value)
        _write(path, tomlkit.dumps(document))
    return path


def set_value(folder: Path, key: str, value: str | float) -> Settings:
    """Change one setting, keep every comment, and give the settings as they are then.

    Raises InputError for an unknown key or a value it does not take; the file is then as before.
    """
    if key not in Settings.model_fields:
        raise InputError(f"there is no setting '{key}'; there are: {', '.join(Settings.model_fields)}")
    path = write_default(folder)
    load_settings(folder)
    document = tomlkit.parse(path.read_text(encoding="utf-8"))
    document[key] = _as_written(key, value)
    changed = tomlkit.dumps(document)
    settings = parse_toml(changed, path, Settings, "settings file", _advice)
    _write(path, changed)
    return settings


def _as_written(key: str, value: str | float) -> Any:
    """A value typed as text becomes the number that its key wants."""
    default = getattr(Settings(), key)
    if isinstance(value, str) and isinstance(default, (int, float)):
        try:
            return type(default)(value)
        except ValueError:
            return value
    return value


def _advice(key: str) -> str:
    if key in EXPLANATIONS:
        return f"it takes: {EXPLANATIONS[key]}"
    return f"the settings are: {', '.join(EXPLANATIONS)}"


def _write(path: Path, text: str) -> None:
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        write_durably(path, text.encode())
    except OSError as error:
        raise FailureError(
            f"{path}: cannot be written ({error.strerror}); mend its permissions or use --data"
        ) from error
