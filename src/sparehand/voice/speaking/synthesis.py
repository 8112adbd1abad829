"""Text to speech: through one worker process, with a small store of what was or will soon be said."""

from __future__ import annotations

import threading
import time
from collections import OrderedDict
from collections.abc import Iterator, Sequence
from contextlib import contextmanager, suppress
from pathlib import Path

import numpy as np

from sparehand.ground.errors import FailureError
from sparehand.settings import Settings
from sparehand.voice.speaking.natural_voice import default_voice
from sparehand.voice.speaking.pronounce import for_the_voice
from sparehand.voice.speaking.speech import NoSpeech, Speech
from sparehand.voice.speaking.synthesis_messages import SpeakRequest, Voice, WorkerReply
from sparehand.voice.speaking.synthesis_process import (
    WORKER_COMMAND,
    SynthesisProcess,
    WorkerBusyError,
    WorkerLostError,
)

STORED_TEXTS = 64
"""How many sentences are kept ready; one takes about 0.2 MB."""
STARTING_SECONDS = 20.0
"""How long a worker may take to start, on a slow machine from a cold disk; meanwhile there is text only."""
FAILURES_UNTIL_SILENT = 3
"""After so many texts in a row that no worker would speak, none is tried again."""
AUDIBLE = 0.001
"""The amplitude from which a sample counts as sound: 60 dB below full scale."""
LEAD_SECONDS = 0.01
"""What is left of the silence that voices put before a sentence; the natural one has a quarter of a second of it."""


class Synthesiser:
    """Gives speech for text, or the reason why there is none, and never waits longer than its time limit.

    Safe for several threads. A worker that died or hangs is replaced once within the limit.
    """

    def __init__(
        self,
        voice: str | None = None,
        words_per_minute: int = 160,
        volume: float = 1.0,
        timeout_seconds: float = 2.0,
        worker_command: Sequence[str] = WORKER_COMMAND,
    ) -> None:
        """`voice` is an id as `voices` lists them; None is `default_voice`. Nothing is started yet."""
        self._settings = (voice or default_voice(), words_per_minute, volume)
        self._timeout_seconds = timeout_seconds
        self._command = tuple(worker_command)
        self._process: SynthesisProcess | None = None
        self._file = Path()
        self._store: OrderedDict[str, Speech] = OrderedDict()
        self._asking = threading.Lock()
        self._storing = threading.Lock()
        self._failures = 0

    @classmethod
    def of(cls, settings: Settings, timeout_seconds: float = 2.0) -> Synthesiser:
        """The assistant's voice as the settings want it."""
        return cls(settings.voice, settings.words_per_minute, settings.volume, timeout_seconds)

    def start(self) -> None:
        """Start the worker and wait for it, so that the first text need not."""
        with self._asking, suppress(WorkerLostError):
            if self._process is None:
                self._ask_once("", STARTING_SECONDS)

    def synthesise(self, text: str) -> Speech | NoSpeech:
        """The speech of `text`, from the store where it is ready."""
        with self._storing:
            if (ready := self._store.get(text)) is not None:
                self._store.move_to_end(text)
                return ready
        words = for_the_voice(text)
        if not words:
            return NoSpeech(text, "there is nothing to say")
        if self._failures >= FAILURES_UNTIL_SILENT:
            return NoSpeech(text, "the voice failed several times and stays off")
        spoken = self._speak(text, words)
        if isinstance(spoken, Speech):
            self._keep(spoken)
        return spoken

    def voices(self) -> tuple[Voice, ...]:
        """The voices of this machine. Raises FailureError where speech does not work at all."""
        try:
            with self._turn() as deadline:
                reply = self._ask("", deadline, lists_voices=True)
        except (WorkerLostError, WorkerBusyError) as error:
            reply = WorkerReply(error=str(error))
        if reply.error:
            raise FailureError(f"speech does not work: {reply.error}; `sparehand selfcheck` says what to do")
        return reply.voices

    def close(self) -> None:
        """End the worker. A later text starts another."""
        # Without the lock first, so that a worker which hangs does not keep its bench from ending.
        if (process := self._process) is not None:
            process.close()
        with self._asking:
            self._drop()

    def _speak(self, text: str, words: str) -> Speech | NoSpeech:
        import soundfile

        try:
            with self._turn() as deadline:
                reply = self._ask(words, deadline)
                if reply.error:
                    return NoSpeech(text, reply.error)
                native, rate = soundfile.read(self._file, dtype="float32", always_2d=True)
        except (WorkerLostError, OSError, soundfile.SoundFileError) as error:
            self._failures += 1
            return NoSpeech(text, str(error))
        except WorkerBusyError as error:
            return NoSpeech(text, str(error))
        self._failures = 0
        audible = np.abs(native[:, 0]) > AUDIBLE
        lead = max(0, int(audible.argmax()) - round(LEAD_SECONDS * rate))
        return Speech(text, native[lead:, 0].copy(), rate)

    @contextmanager
    def _turn(self) -> Iterator[float]:
        """The worker for this thread alone, and the steady time in seconds at which its patience ends."""
        deadline = time.monotonic() + self._timeout_seconds
        if not self._asking.acquire(timeout=self._timeout_seconds):
            raise WorkerBusyError("the voice is still starting, or at work on another text")
        try:
            yield deadline
        finally:
            self._asking.release()

    def _ask(self, words: str, deadline: float, *, lists_voices: bool = False) -> WorkerReply:
        """The reply to `words`, from a second worker where the first is lost before half of the time is over."""
        half = (deadline - time.monotonic()) / 2
        with suppress(WorkerLostError):
            return self._ask_once(words, half, lists_voices=lists_voices)
        return self._ask_once(words, deadline - time.monotonic(), lists_voices=lists_voices)

    def _ask_once(self, words: str, timeout_seconds: float, *, lists_voices: bool = False) -> WorkerReply:
        process = self._process = self._process or SynthesisProcess(self._command)
        self._file = process.folder / "speech.wav"
        voice, words_per_minute, volume = self._settings
        request = SpeakRequest(words, str(self._file), voice, words_per_minute, volume, lists_voices)
        try:
            return process.ask(request, timeout_seconds)
        except WorkerLostError:
            self._drop()
            raise

    def _drop(self) -> None:
        if self._process is not None:
            self._process.close()
            self._process = None

    def _keep(self, spoken: Speech) -> None:
        with self._storing:
            self._store[spoken.text] = spoken
            while len(self._store) > STORED_TEXTS:
                self._store.popitem(last=False)
