"""A machine whose answers a test gives."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from sparehand.ground.errors import FailureError, InputError
from sparehand.settings import Settings
from sparehand.setup.machine import Machine, SoundDevice, SoundDevices

GOOD = SoundDevices((SoundDevice("Bench headset", 48_000, True),), (SoundDevice("Bench headset", 48_000, True),))


@dataclass
class Imagined(Machine):
    """A machine whose answers the test gives; it has everything unless told otherwise."""

    devices: SoundDevices | None = GOOD
    voice_fails: str = ""
    modules: tuple[str, ...] = ("vosk", "pocketsphinx")
    model: bool = True
    model_fault: str = ""
    free: int = 10**11
    flush: float | OSError = 0.002
    kind: str = "ext4"
    platform: str = "linux"

    def sound_devices(self) -> SoundDevices | None:
        return self.devices

    def english_voices(self, _settings: Settings) -> tuple[str, ...]:
        if self.voice_fails:
            raise FailureError(self.voice_fails)
        return ("gmw/en-us",)

    def has_module(self, name: str) -> bool:
        return name in self.modules

    def has_english_model(self, _folder: Path) -> bool:
        if self.model_fault:
            raise InputError(self.model_fault)
        return self.model

    def free_bytes(self, _folder: Path) -> int:
        return self.free

    def flush_seconds(self, _folder: Path) -> float:
        if isinstance(self.flush, OSError):
            raise self.flush
        return self.flush

    def filesystem(self, _folder: Path) -> str:
        return self.kind
