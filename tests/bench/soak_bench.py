"""The whole `work` as `soak.py` runs it: on a terminal, with a microphone, a voice to listen to, and its page."""

from __future__ import annotations

import fcntl
import http.client
import json
import os
import re
import struct
import subprocess
import termios
import threading
import time
from contextlib import suppress
from pathlib import Path

import numpy as np
import psutil

from sound_server import SoundServer

LOUD = 100
"""Of 32,768: what sounds at the mouth is louder, its silence is none at all."""
LONGEST_END_SECONDS = 90


class Mouth:
    """Listens to the bench's loudspeaker: how long ago it sounded, and for how long in all."""

    def __init__(self, server: SoundServer) -> None:
        self._environment = server.environment
        self.sounded_at = self.seconds = 0.0
        threading.Thread(target=self._listen, daemon=True).start()

    def _listen(self) -> None:
        recorder = ["parec", "--device=mouth.monitor", "--rate=16000", "--channels=1", "--format=s16le"]
        while True:
            with subprocess.Popen(
                recorder, env=self._environment, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL
            ) as heard:
                assert heard.stdout is not None
                while len(piece := heard.stdout.read(3_200)) == 3_200:
                    if np.abs(np.frombuffer(piece, np.int16)).max() > LOUD:
                        self.sounded_at, self.seconds = time.monotonic(), self.seconds + 0.1
            time.sleep(1)


class Page:
    """A paired device: it follows the page, presses buttons, and asks for the desk's pages."""

    def __init__(self, port: int, code: str) -> None:
        self._host = f"127.0.0.1:{port}"
        self._closed = False
        self._cookie = ""
        cookie = str(self.ask("/pair", code).getheader("set-cookie"))
        self._cookie = cookie.split(";")[0]
        self.messages = self.lost = 0
        self.longest_silence = 0.0
        self.heard: list[tuple[str, bool]] = []
        self.told = ""
        threading.Thread(target=self._follow, daemon=True).start()

    def ask(self, path: str, body: str | None = None) -> http.client.HTTPResponse:
        """What it answers. Raises OSError where it does not."""
        connection = http.client.HTTPConnection(self._host, timeout=90)
        headers = {"Cookie": self._cookie, "Origin": f"http://{self._host}"}
        connection.request("GET" if body is None else "POST", path, body, headers)
        return connection.getresponse()

    def close(self) -> None:
        """Follow it no more."""
        self._closed = True

    def _follow(self) -> None:
        while not self._closed:
            with suppress(OSError, http.client.HTTPException):
                stream, last = self.ask("/glances"), time.monotonic()
                while line := stream.readline():
                    self.longest_silence = max(self.longest_silence, time.monotonic() - last)
                    last = time.monotonic()
                    if line.startswith(b"data: "):
                        self._take(json.loads(line.removeprefix(b"data: ")))
            self.lost += not self._closed
            time.sleep(0.5)

    def _take(self, shown: dict[str, object]) -> None:
        self.messages += 1
        glance = shown["glance"]
        assert isinstance(glance, dict)
        self.told = f"{shown['told']} {glance['question']}"
        heard = glance["heard"]
        if heard and heard["source"] == "heard" and heard["text"]:
            latest = (heard["text"], heard["accepted"])
            if not self.heard or self.heard[-1] != latest:
                self.heard.append(latest)


class LiveBench:
    """`work` or `resume` on a terminal of its own, with its page."""

    def __init__(self, command: tuple[str, ...], folder: Path, server: SoundServer, port: int) -> None:
        self._screen = folder / "screen"
        self._terminal, inside = os.openpty()
        self.resize(40, 120)
        on_the_page = ("--page", f"0.0.0.0:{port}", "--data", str(folder))
        self._process = subprocess.Popen(
            ["setsid", "-c", *command, *on_the_page],
            env=server.environment | {"TERM": "xterm-256color"},
            stdin=inside,
            stdout=inside,
            stderr=inside,
        )
        os.close(inside)
        self.shown_before = self._screen.stat().st_size if self._screen.exists() else 0
        threading.Thread(target=self._keep_screen, daemon=True).start()
        self.page = Page(port, self._code())

    @property
    def exit_code(self) -> int | None:
        """None while it runs."""
        return self._process.poll()

    def types(self, typed: bytes) -> None:
        """At its terminal."""
        with suppress(OSError):
            os.write(self._terminal, typed)

    def resize(self, rows: int, columns: int) -> None:
        """Its terminal."""
        with suppress(OSError):
            fcntl.ioctl(self._terminal, termios.TIOCSWINSZ, struct.pack("HHHH", rows, columns, 0, 0))

    def stop_for(self, seconds: float) -> None:
        """As a machine that sleeps: nothing of it runs."""
        one = psutil.Process(self._process.pid)
        one.suspend()
        time.sleep(seconds)
        one.resume()

    def measured(self) -> tuple[int, int, int, int]:
        """Memory of it and of its workers, in MB; its threads; its open files."""
        one = psutil.Process(self._process.pid)
        workers = 0
        for worker in one.children(recursive=True):
            with suppress(psutil.NoSuchProcess):
                workers += worker.memory_info().rss
        return one.memory_info().rss // 1_000_000, workers // 1_000_000, one.num_threads(), one.num_fds()

    def ends(self) -> int:
        """Park the job; gives the exit code. Raises TimeoutExpired where it hangs."""
        self.page.close()
        self.types(b"park the job\nyes confirm\n")
        return self._process.wait(LONGEST_END_SECONDS)

    def _keep_screen(self) -> None:
        """All that it writes, without what cannot be read."""
        with self._screen.open("ab") as kept, suppress(OSError):
            while written := os.read(self._terminal, 65_536):
                kept.write(written)
                kept.flush()

    def _code(self) -> str:
        while self.exit_code is None:
            shown = self._screen.read_bytes()[self.shown_before :] if self._screen.exists() else b""
            if code := re.search(rb"code (\d{8})", shown):
                return code[1].decode()
            time.sleep(0.2)
        raise RuntimeError(f"it ended at once: {self._screen.read_text(errors='replace')[-2_000:]}")
