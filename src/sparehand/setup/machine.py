"""What the self-check asks of this machine: each question is a small method, so that a test can answer instead."""

from __future__ import annotations

import importlib.util
import os
import shutil
import statistics
import sys
import tempfile
import time
from dataclasses import dataclass
from pathlib import Path

from sparehand.ground.errors import FailureError
from sparehand.log.durable import sync
from sparehand.settings import Settings

_FLUSHES = 9
_SPOKEN_FOR_A_CHECK = "ready"


@dataclass(frozen=True)
class SoundDevice:
    """A microphone or a speaker as the system names it, with its own rate in samples a second."""

    name: str
    rate: int
    is_default: bool


@dataclass(frozen=True)
class SoundDevices:
    """All of them."""

    inputs: tuple[SoundDevice, ...]
    outputs: tuple[SoundDevice, ...]


class Machine:
    """The machine that this program runs on."""

    platform = sys.platform

    def sound_devices(self) -> SoundDevices | None:
        """Its sound devices, or None where the library that knows them (PortAudio) is missing."""
        try:
            import sounddevice
        except OSError:
            return None
        default_input, default_output = sounddevice.default.device
        listed = list(enumerate(sounddevice.query_devices()))

        def having(channels: str, default: int) -> tuple[SoundDevice, ...]:
            return tuple(
                SoundDevice(str(device["name"]), int(device["default_samplerate"]), place == default)
                for place, device in listed
                if device[channels] > 0
            )

        return SoundDevices(having("max_input_channels", default_input), having("max_output_channels", default_output))

    def english_voices(self, settings: Settings) -> tuple[str, ...]:
        """Ids of its English voices, after a word was synthesised. Raises FailureError where that does not work."""
        from sparehand.voice.speaking.speech import NoSpeech
        from sparehand.voice.speaking.synthesis import Synthesiser

        synthesiser = Synthesiser.of(settings, timeout_seconds=20.0)
        try:
            voices = synthesiser.voices()
            spoken = synthesiser.synthesise(_SPOKEN_FOR_A_CHECK)
        finally:
            synthesiser.close()
        if isinstance(spoken, NoSpeech):
            raise FailureError(spoken.reason)
        return tuple(voice.id for voice in voices if any(tag.startswith("en") for tag in voice.languages))

    def has_module(self, name: str) -> bool:
        """Whether a Python module is installed, without importing it."""
        return importlib.util.find_spec(name) is not None

    def has_english_model(self, data_folder: Path) -> bool:
        """Whether Vosk's English model is installed. Raises InputError where it is there and not whole."""
        from sparehand.voice.models.model_store import check_model, installed_model

        model = installed_model("english", data_folder / "models")
        if model is not None:
            check_model(model)
        return model is not None

    def free_bytes(self, folder: Path) -> int:
        """Room left on the disk of `folder`."""
        return shutil.disk_usage(folder).free

    def flush_seconds(self, folder: Path) -> float:
        """How long the disk of `folder` takes to write a few bytes through: the median of several. Raises OSError."""
        took = []
        with tempfile.TemporaryFile(dir=folder, buffering=0) as file:
            for _ in range(_FLUSHES):
                file.write(b"0" * 512)
                began = time.perf_counter()
                sync(file.fileno())
                took.append(time.perf_counter() - began)
        return statistics.median(took)

    def filesystem(self, folder: Path) -> str:
        """The type of the file system of `folder`, such as ext4 or nfs4; empty where the system does not tell."""
        try:
            mounts = Path("/proc/self/mounts").read_text(encoding="utf-8", errors="replace")
        except OSError:
            return ""
        at = os.path.realpath(folder)
        best = ("", "")
        for line in mounts.splitlines():
            place, kind = line.split()[1:3]
            place = place.replace("\\040", " ")
            inside = at == place or at.startswith(place.rstrip("/") + "/")
            if inside and len(place) >= len(best[0]):
                best = (place, kind)
        return best[1]
