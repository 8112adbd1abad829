"""What this machine has for a job, and what to do about what it lacks."""

from __future__ import annotations

import sqlite3
import tempfile
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path
from typing import Literal

from pydantic import BaseModel, ConfigDict

from sparehand.ground.errors import FailureError, InputError
from sparehand.settings import Settings, load_settings
from sparehand.setup.machine import Machine, SoundDevice

State = Literal["ok", "warn", "missing"]
Name = Literal["settings", "phrases", "microphone", "speaker", "voice", "hearing", "log", "disk", "sample"]

NEEDED: frozenset[Name] = frozenset({"settings", "phrases", "log", "disk"})
"""Without these no job can be run; without the rest it runs by keyboard and screen."""

LITTLE_ROOM_BYTES = 500_000_000
NO_ROOM_BYTES = 20_000_000
AT_ONCE_SECONDS = 20e-6
"""No disk that keeps its word writes through faster than this; memory does."""
TELEPHONE_RATE = 8_000
BETTER_THAN_TELEPHONE = "use a wire, or the headset's better mode: telephone quality loses one command in ten"
_NETWORK = ("nfs", "cifs", "smb", "9p", "fuse.sshfs", "afs", "ceph", "glusterfs")
_IN_MEMORY = ("tmpfs", "ramfs")
_GET_PORTAUDIO = {
    "linux": "install PortAudio: `sudo apt-get install libportaudio2` (Debian, Ubuntu) or `sudo dnf install portaudio`",
    "darwin": "install Sparehand again: its sound library brings PortAudio along",
    "win32": "install Sparehand again: its sound library brings PortAudio along",
}
_GET_VOSK = "for open listening: `sparehand models get english`, or `sparehand models add english FILE` from a stick"


class Item(BaseModel):
    """One thing that was looked at. `what_to_do` is empty where nothing need be done."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    name: Name
    state: State
    detail: str
    what_to_do: str = ""


class SelfcheckReport(BaseModel):
    """Everything that was looked at."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    items: tuple[Item, ...]
    can_run_a_job: bool

    def lines(self) -> tuple[str, ...]:
        """The report as plain lines: state, name, detail, and below it what to do."""
        width = max(len(item.name) for item in self.items)
        lines = []
        for item in self.items:
            lines.append(f"{item.state:<8}{item.name:<{width}}  {item.detail}")
            if item.what_to_do:
                lines.append(f"{'':<8}{'':<{width}}  → {item.what_to_do}")
        return (*lines, "A job can be run." if self.can_run_a_job else "No job can be run until that is mended.")


def selfcheck(data_folder: Path, machine: Machine | None = None) -> SelfcheckReport:
    """Look at everything a job needs. Nothing is changed in the data folder, and no microphone is opened."""
    items = tuple(_items(data_folder, machine or Machine()))
    return SelfcheckReport(
        items=items, can_run_a_job=not any(item.name in NEEDED and item.state == "missing" for item in items)
    )


def _items(folder: Path, machine: Machine) -> Iterator[Item]:
    try:
        settings = load_settings(folder)
        yield Item(name="settings", state="ok", detail=str(folder))
    except (InputError, FailureError) as error:
        settings = Settings()
        yield Item(name="settings", state="missing", detail=str(error), what_to_do="mend that line, or remove the file")
    if settings.phrase_file:
        yield _phrases(settings, folder)
    yield from _sound(settings, machine)
    yield _voice(settings, machine)
    yield _hearing(folder, machine)
    yield _log(folder, machine)
    yield _disk(folder, machine)


def _phrases(settings: Settings, folder: Path) -> Item:
    """The shop's own wordings, read as a job would read them."""
    from sparehand.setup.hearing_trials import phrase_table

    try:
        phrase_table(settings, folder)
    except InputError as error:
        what = "mend it, or set phrase_file to an empty text"
        return Item(name="phrases", state="missing", detail=str(error), what_to_do=what)
    return Item(name="phrases", state="ok", detail=f"your own wordings: {settings.phrase_file}")


def _sound(settings: Settings, machine: Machine) -> Iterator[Item]:
    devices = machine.sound_devices()
    if devices is None:
        how = _GET_PORTAUDIO.get(machine.platform, "install PortAudio")
        none = "the PortAudio library is missing"
        yield Item(name="microphone", state="missing", detail=none, what_to_do=f"{how}; meanwhile use --ears keyboard")
        yield Item(name="speaker", state="missing", detail=none, what_to_do=f"{how}; meanwhile answers are on screen")
        return
    yield _device("microphone", devices.inputs, settings.input_device, "plug one in; meanwhile use --ears keyboard")
    yield _device("speaker", devices.outputs, settings.output_device, "plug one in; meanwhile answers are on screen")


def _device(name: Name, devices: tuple[SoundDevice, ...], wanted: str | None, without: str) -> Item:
    key = "input_device" if name == "microphone" else "output_device"
    if not devices:
        return Item(name=name, state="missing", detail=f"the system has no {name}", what_to_do=without)
    if wanted:
        fitting = [device for device in devices if wanted.lower() in device.name.lower()]
    else:
        fitting = [device for device in devices if device.is_default] or list(devices)
    if not fitting:
        names = ", ".join(device.name for device in devices)
        what = f"set {key} to a part of one of: {names}"
        return Item(name=name, state="missing", detail=f"no {name} is called '{wanted}'", what_to_do=what)
    device = fitting[0]
    detail = f"{device.name}, {device.rate / 1000:g} kHz"
    if device.rate <= TELEPHONE_RATE:
        return Item(name=name, state="warn", detail=detail, what_to_do=BETTER_THAN_TELEPHONE)
    return Item(name=name, state="ok", detail=detail)


def _voice(settings: Settings, machine: Machine) -> Item:
    try:
        english = machine.english_voices(settings)
    except FailureError as error:
        what = "take another voice in the settings, or install Sparehand again; meanwhile answers are on screen"
        return Item(name="voice", state="missing", detail=str(error), what_to_do=what)
    used = settings.voice or "the default voice"
    return Item(name="voice", state="ok", detail=f"{used} speaks; English ones: {', '.join(english) or 'none'}")


def _hearing(folder: Path, machine: Machine) -> Item:
    try:
        if machine.has_module("vosk") and machine.has_english_model(folder):
            return Item(name="hearing", state="ok", detail="Vosk with its English model: open listening")
    except InputError as error:
        return Item(name="hearing", state="warn", detail=str(error), what_to_do="until then use --engine pocketsphinx")
    if machine.has_module("pocketsphinx"):
        detail = "pocketsphinx only: it listens after the call word or a key, for talk would set it off"
        return Item(name="hearing", state="warn", detail=detail, what_to_do=_GET_VOSK)
    what = "install Sparehand again; meanwhile use --ears keyboard"
    return Item(name="hearing", state="missing", detail="no speech recogniser is installed", what_to_do=what)


def _log(folder: Path, machine: Machine) -> Item:
    try:
        version = _write_through_sqlite(folder)
        seconds = machine.flush_seconds(folder)
    except (OSError, sqlite3.Error) as error:
        what = "choose a folder on a local disk with --data or SPAREHAND_DATA"
        return Item(name="log", state="missing", detail=f"{folder} takes no database: {error}", what_to_do=what)
    kind = machine.filesystem(folder)
    detail = f"SQLite {version}, a word is on the disk in {seconds * 1000:.3g} ms{f', {kind}' if kind else ''}"
    if kind.startswith(_NETWORK):
        what = "keep the data folder on a disk of this machine: a network's locks and flushes cannot be relied on"
        return Item(name="log", state="warn", detail=detail, what_to_do=what)
    if kind in _IN_MEMORY or seconds < AT_ONCE_SECONDS:
        what = "this does not seem to be a disk: what is recorded here may be gone after a power cut; use --data"
        return Item(name="log", state="warn", detail=detail, what_to_do=what)
    return Item(name="log", state="ok", detail=detail)


def _write_through_sqlite(folder: Path) -> str:
    """Commit a row as the log does, in a database that is removed again; gives SQLite's version."""
    with tempfile.TemporaryDirectory(dir=folder, prefix="selfcheck-") as scratch:
        with closing(sqlite3.connect(Path(scratch) / "scratch.sqlite", isolation_level=None)) as database:
            (journal,) = database.execute("PRAGMA journal_mode = WAL").fetchone()
            if journal != "wal":
                raise OSError(f"no write-ahead log is possible there, only '{journal}'")
            database.execute("PRAGMA synchronous = FULL")
            database.execute("CREATE TABLE word (said TEXT)")
            database.execute("INSERT INTO word VALUES ('next')")
        return sqlite3.sqlite_version


def _disk(folder: Path, machine: Machine) -> Item:
    free = machine.free_bytes(folder)
    detail = f"{free / 1e9:.1f} GB free" if free >= 1e9 else f"{free / 1e6:.0f} MB free"
    if free < NO_ROOM_BYTES:
        return Item(name="disk", state="missing", detail=detail, what_to_do="make room, or use --data on another disk")
    if free < LITTLE_ROOM_BYTES:
        return Item(name="disk", state="warn", detail=detail, what_to_do="make room soon: a memo or a model needs some")
    return Item(name="disk", state="ok", detail=detail)
