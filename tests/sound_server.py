"""A real sound server without a sound card: a bay whose monitor is the microphone, and a mouth to record from."""

from __future__ import annotations

import os
import shutil
import signal
import subprocess
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

_PROGRAMS = ("pulseaudio", "pactl", "paplay", "parec")
FIRST_SERVED = ("nice", "-n", "-10") if hasattr(os, "geteuid") and os.geteuid() == 0 else ()
"""Sound is torn where other work takes the processor, and the tests beside this one are such work."""
_DEVICES = ("module-null-sink sink_name=bay", "module-null-sink sink_name=mouth")
_ALSA_THROUGH_PULSE = """</usr/share/alsa/alsa.conf>
pcm.!default { type pulse }
ctl.!default { type pulse }
"""


@dataclass(frozen=True)
class SoundServer:
    """A running server. Programs with its `environment` hear what is played into the bay."""

    environment: dict[str, str]
    command: tuple[str, ...]

    def start(self) -> None:
        """Start it, also after `kill`."""
        _run(self.environment, *self.command)
        _choose_devices(self.environment)

    def kill(self) -> None:
        """It ends at once, without a word to whoever hears and speaks."""
        os.kill(int((Path(self.environment["PULSE_RUNTIME_PATH"]) / "pid").read_text()), signal.SIGKILL)

    def play(self, file: Path) -> None:
        """Play a sound file into the bay, in real time."""
        _run(self.environment, "paplay", "--device=bay", str(file))

    @contextmanager
    def playing(self, file: Path) -> Iterator[None]:
        """Play a sound file into the bay meanwhile."""
        with subprocess.Popen(["paplay", "--device=bay", str(file)], env=self.environment) as player:
            try:
                yield
            finally:
                player.terminate()

    @contextmanager
    def without_devices(self) -> Iterator[None]:
        """Take both devices away, under whoever hears and speaks; they are back afterwards."""
        _run(self.environment, "pactl", "unload-module", "module-null-sink")
        try:
            yield
        finally:
            for module in _DEVICES:
                _run(self.environment, "pactl", "load-module", *module.split())
            _choose_devices(self.environment)

    @contextmanager
    def recording(self, file: Path) -> Iterator[None]:
        """Record what the assistant says to a sound file."""
        command = [
            *FIRST_SERVED,
            "parec",
            "--device=mouth.monitor",
            "--file-format=wav",
            "--rate=16000",
            "--channels=1",
            str(file),
        ]
        with subprocess.Popen(command, env=self.environment) as recorder:
            try:
                yield
            finally:
                recorder.terminate()


def missing() -> str:
    """Why no server can be started here, or nothing."""
    absent = [program for program in _PROGRAMS if shutil.which(program) is None]
    return f"no {' or '.join(absent)} (Debian: pulseaudio pulseaudio-utils libasound2-plugins)" if absent else ""


@contextmanager
def sound_server(folder: Path) -> Iterator[SoundServer]:
    """A server with everything of its own in `folder`; gone afterwards."""
    socket = folder / "native"
    alsa = folder / "asound.conf"
    alsa.write_text(_ALSA_THROUGH_PULSE)
    environment = os.environ | {
        "XDG_RUNTIME_DIR": str(folder),
        "PULSE_RUNTIME_PATH": str(folder),
        "PULSE_COOKIE": str(folder / "cookie"),
        "PULSE_SERVER": f"unix:{socket}",
        "ALSA_CONFIG_PATH": str(alsa),
    }
    command = [*FIRST_SERVED, "pulseaudio", "--daemonize=yes", "--exit-idle-time=-1", "--log-level=error", "-n"]
    for module in (
        f"module-native-protocol-unix auth-anonymous=1 socket={socket}",
        *_DEVICES,
    ):
        command += ["--load", module]
    server = SoundServer(environment, tuple(command))
    server.start()
    try:
        yield server
    finally:
        _run(environment, "pulseaudio", "--kill")


def _choose_devices(environment: dict[str, str]) -> None:
    _run(environment, "pactl", "set-default-source", "bay.monitor")
    _run(environment, "pactl", "set-default-sink", "mouth")


def _run(environment: dict[str, str], *command: str) -> None:
    subprocess.run(command, env=environment, check=True, timeout=120)
