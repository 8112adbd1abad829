"""The speech worker seen from the bench: started, asked, and put down when it hangs."""

from __future__ import annotations

import shutil
import subprocess
import sys
import tempfile
import threading
from collections.abc import Sequence
from pathlib import Path
from queue import Empty, SimpleQueue
from typing import TextIO, cast

from sparehand.voice.speaking.synthesis_messages import SpeakRequest, WorkerReply

WORKER_COMMAND = (sys.executable, "-m", "sparehand.voice.speaking.synthesis_worker")


class WorkerLostError(Exception):
    """The worker ended, or did not answer in time; it is gone."""


class WorkerBusyError(Exception):
    """The worker is still at something else, such as its own start."""


class SynthesisProcess:
    """One running worker with a private folder for its sound files. Not for several threads at once."""

    def __init__(self, command: Sequence[str] = WORKER_COMMAND) -> None:
        """Start it. Raises WorkerLostError where the machine cannot."""
        self.folder = Path(tempfile.mkdtemp(prefix="sparehand-speech-"))
        try:
            self._process = subprocess.Popen(  # noqa: S603 - this program's own worker, no words from outside
                [*command, str(self.folder)],
                stdin=subprocess.PIPE,
                stdout=subprocess.PIPE,
                stderr=subprocess.DEVNULL,
                text=True,
                encoding="utf-8",
                errors="replace",
            )
        except OSError as error:
            shutil.rmtree(self.folder, ignore_errors=True)
            raise WorkerLostError(f"the speech worker cannot be started: {error}") from error
        self._requests = cast(TextIO, self._process.stdin)  # a pipe, as asked for above
        self._replies: SimpleQueue[str] = SimpleQueue()
        threading.Thread(target=self._read, args=(self._process.stdout,), daemon=True).start()

    def ask(self, request: SpeakRequest, timeout_seconds: float) -> WorkerReply:
        """The reply to `request`. Raises WorkerLostError, and the worker is put down, where none comes in time."""
        try:
            self._requests.write(request.line())
            self._requests.flush()
            line = self._replies.get(timeout=max(0.0, timeout_seconds))
        except (Empty, OSError, ValueError) as error:
            self.close()
            raise WorkerLostError("the speech worker does not answer") from error
        if not line:
            self.close()
            raise WorkerLostError("the speech worker has ended")
        try:
            return WorkerReply.read(line)
        except (ValueError, LookupError, TypeError) as error:
            self.close()
            raise WorkerLostError("the speech worker answers nonsense") from error

    def close(self) -> None:
        """End the worker and remove its files. May be called again."""
        self._process.kill()
        self._process.wait()
        shutil.rmtree(self.folder, ignore_errors=True)

    def _read(self, pipe: TextIO) -> None:
        try:
            with pipe:
                for line in pipe:
                    self._replies.put(line)
        finally:
            self._replies.put("")
