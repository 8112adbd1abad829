"""The process that synthesises speech: reads a request a line, writes a sound file, answers a line.

It is a process of its own because the speech driver prints, can be set up only once a process, and may hang.
Start it with `python -m sparehand.voice.speaking.synthesis_worker FOLDER`; FOLDER is removed when its input ends.
"""

from __future__ import annotations

import ctypes
import os
import shutil
import signal
import sys
import threading
import time
from collections.abc import Callable
from dataclasses import replace
from functools import cached_property
from pathlib import Path
from typing import TextIO

import pyttsx3

from sparehand.voice.speaking.natural_voice import (
    NATURAL,
    SYSTEM_VOICE,
    NaturalDriver,
    natural_voice_is_installed,
)
from sparehand.voice.speaking.synthesis_messages import SpeakRequest, Voice, WorkerReply

FINISH_SECONDS = 30.0
"""How long the driver may take for one request; the bench gives up far earlier."""
_CANNOT_START = (OSError, ImportError, RuntimeError, ValueError, KeyError, AttributeError)
"""What a speech driver raises where it cannot start."""


class Driver:
    """The speech driver of this platform, always to a file, never played."""

    def __init__(self) -> None:
        self._engine, self._busy = _start_engine()
        self._finished = threading.Event()
        self._failure = ""
        self._set: tuple[str | None, int, float] | None = None
        self._engine.connect("finished-utterance", self._on_finished)
        self._engine.connect("error", self._on_error)
        # Until its loop has run once the driver only notes what is set, and later cuts off the speech it was set for.
        self._wait_until_idle()
        self._engine.runAndWait()

    def voices(self) -> tuple[Voice, ...]:
        """Every voice the driver offers."""
        return tuple(
            Voice(str(voice.id), str(voice.name), tuple(str(language) for language in voice.languages or ()))
            for voice in self._engine.getProperty("voices")
        )

    def speak(self, request: SpeakRequest) -> WorkerReply:
        """Write the request's sound file."""
        self._failure = ""
        self._finished.clear()
        self._settle(request)
        self._engine.save_to_file(request.text, request.file)
        self._engine.runAndWait()
        # The loop can end before the driver's own thread has written the file.
        if not self._finished.wait(FINISH_SECONDS):
            self._failure = self._failure or "the speech driver did not finish"
        self._wait_until_idle()
        self._set = None if self._failure else self._set
        return WorkerReply(error=self._failure)

    def _settle(self, request: SpeakRequest) -> None:
        wanted = (request.voice, request.words_per_minute, request.volume)
        if wanted == self._set:
            return
        # Choosing a voice resets rate and volume, so it comes first.
        if request.voice is not None:
            self._engine.setProperty("voice", request.voice)
        self._engine.setProperty("rate", request.words_per_minute)
        self._engine.setProperty("volume", request.volume)
        self._set = wanted
        self._wait_until_idle()

    def _wait_until_idle(self) -> None:
        # What starts while the driver is still at work on anything, a new rate included, is cut off by its own start.
        while self._busy():
            time.sleep(0.001)

    def _on_finished(self, name: str | None, completed: bool) -> None:  # noqa: ARG002 - the driver names its arguments
        if not completed:
            self._failure = self._failure or "the speech driver was interrupted"
        self._finished.set()

    def _on_error(self, name: str | None, exception: Exception) -> None:  # noqa: ARG002 - as above
        self._failure = str(exception) or type(exception).__name__


class Voices:
    """The drivers of this machine, each started when it is first needed."""

    @cached_property
    def _system(self) -> Driver:
        return Driver()

    @cached_property
    def _natural(self) -> NaturalDriver | None:
        """The natural voice; None where its wheel is not whole, and the system's voice speaks in its place."""
        try:
            return NaturalDriver()
        except (ImportError, OSError, RuntimeError, ValueError):
            return None

    def reply(self, request: SpeakRequest) -> WorkerReply:
        """The sound file written, or without a text the asked voice ready to speak, or the list of voices."""
        if request.lists_voices:
            own = (NATURAL,) if natural_voice_is_installed() else ()
            return WorkerReply(voices=(*own, *self._system.voices()))
        driver: NaturalDriver | Driver | None = self._natural if request.voice == NATURAL.id else None
        if driver is None:
            driver = self._system
            request = replace(request, voice=SYSTEM_VOICE) if request.voice == NATURAL.id else request
        return driver.speak(request) if request.text else WorkerReply()


def _start_engine() -> tuple[pyttsx3.Engine, Callable[[], bool]]:
    """The engine, and whether its driver is still at work after it said that it has finished."""
    if sys.platform != "linux":
        return pyttsx3.init(), lambda: False
    import espeakng_loader

    # Loaded globally first, the wheel's library is the one that the driver then finds by its name.
    ctypes.CDLL(espeakng_loader.get_library_path(), mode=ctypes.RTLD_GLOBAL)
    os.environ["ESPEAK_DATA_PATH"] = espeakng_loader.get_data_path()
    engine = pyttsx3.init("espeak")
    from pyttsx3.drivers import _espeak

    return engine, lambda: bool(_espeak.IsPlaying())


def _private_replies() -> TextIO:
    """The real standard output, kept for replies; what the driver prints goes nowhere."""
    replies = os.fdopen(os.dup(1), "w", buffering=1, encoding="utf-8")
    nowhere = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, 1)
    return replies


def main() -> None:
    """Answer requests until the input ends."""
    # An interrupt is meant for the bench, which may still have something to say; a request to end is obeyed tidily.
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    signal.signal(signal.SIGTERM, lambda *_: sys.exit())
    replies = _private_replies()
    sys.stdin.reconfigure(encoding="utf-8")  # type: ignore[union-attr]
    try:
        voices = Voices()
        for line in sys.stdin:
            try:
                reply = voices.reply(SpeakRequest.read(line))
            except _CANNOT_START as error:
                replies.write(WorkerReply(error=f"speech cannot start: {error}").line())
                return
            replies.write(reply.line())
    finally:
        shutil.rmtree(Path(sys.argv[1]), ignore_errors=True)


if __name__ == "__main__":
    main()
