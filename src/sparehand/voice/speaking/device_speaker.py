"""The mouth of a live bench: a voice, a queue and a device, each of which may fail without stopping the job."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from queue import Queue

from sparehand.ground.errors import FailureError
from sparehand.ground.supervision import supervised
from sparehand.voice.sound.output import DeviceOutput, Output
from sparehand.voice.sound.player import PlaybackQueue
from sparehand.voice.sound.samples import SAMPLE_RATE, Samples
from sparehand.voice.speaking.pronounce import sentences
from sparehand.voice.speaking.speech import NoSpeech, Speech
from sparehand.voice.speaking.synthesis import Synthesiser
from sparehand.voice.speaking.tones import Tone, tone

STALLED_SECONDS = 4.0
"""A device that asked for no sample for so long, while some waited, is taken for gone; sound servers take two seconds
to begin."""
CLOSE_SECONDS = 2.5
"""How long the end waits for a voice or a device that hangs, before and after its worker is ended."""


@dataclass(frozen=True)
class _Wanted:
    """Something to say or sound, wanted before the stop of the same number."""

    turn: int
    text: str = ""
    tone: Tone | None = None
    ahead: tuple[str, ...] = ()
    recording: Samples | None = None


class DeviceSpeaker:
    """Speaks through a device. `say` returns at once; a thread synthesises and queues.

    A device that is missing or vanishes is tried again with every text; until it is back, `status` says why it is
    silent and nothing waits for it.
    """

    def __init__(
        self,
        synthesiser: Synthesiser,
        device: str | None = None,
        volume: float = 1.0,
        open_output: Callable[[str | None], Output] = DeviceOutput,
        steady_seconds: Callable[[], float] = time.monotonic,
    ) -> None:
        """`device` is a name or a part of one, None the system's default; `volume` (0 to 1) is that of the tones."""
        self._synthesiser = synthesiser
        self._device = device
        self._volume = volume
        self._open_output = open_output
        self._steady_seconds = steady_seconds
        self._output: Output | None = None
        self._queue = PlaybackQueue(rate=1)
        self._asked_at = 0.0
        self._trouble = ""
        self._turn = 0
        self._unspoken = 0
        self._lock = threading.Lock()
        self._wanted: Queue[_Wanted | None] = Queue()
        self._thread = supervised("the voice", self._work, self._fail)

    @property
    def speaking(self) -> bool:
        """Whether something sounds, or is about to."""
        with self._lock:
            return self._unspoken > 0 or (self._queue.sounding and self._device_is_well())

    @property
    def mute(self) -> bool:
        """Never."""
        return False

    @property
    def status(self) -> str:
        """Why nothing is heard, or nothing where all is well."""
        with self._lock:
            if self._output is not None and not self._device_is_well():
                return "the sound output has gone; plug it in again"
            return self._trouble

    def say(self, text: str) -> None:
        """Speak `text` after what is being said."""
        self._want(_Wanted(self._turn, text=text))

    def signal(self, tone_name: Tone) -> None:
        """Sound a tone after what is being said."""
        self._want(_Wanted(self._turn, tone=tone_name))

    def play(self, samples: Samples) -> None:
        """Play a recording after what is being said."""
        self._want(_Wanted(self._turn, recording=samples))

    def prepare(self, texts: Iterable[str]) -> None:
        """Synthesise `texts` in the background, after what is wanted now, so that they start at once when said."""
        if ahead := tuple(texts):
            self._want(_Wanted(self._turn, ahead=ahead))

    def stop(self) -> None:
        """Fall silent within one block of the device, and forget what waits."""
        with self._lock:
            self._turn += 1
            self._queue.clear()

    def close(self) -> None:
        """Stop for good and let the device and the voice go."""
        self.stop()
        self._wanted.put(None)
        self._thread.join(CLOSE_SECONDS)
        self._synthesiser.close()
        self._thread.join(CLOSE_SECONDS)
        if self._output is not None:
            self._output.close()

    def wait_until_queued(self) -> None:
        """Return when everything wanted so far is synthesised and waits for the device, or was given up."""
        self._wanted.join()

    def _want(self, wanted: _Wanted) -> None:
        with self._lock:
            self._unspoken += not wanted.ahead
        self._wanted.put(wanted)

    def _work(self) -> None:
        self._synthesiser.start()
        while (wanted := self._wanted.get()) is not None:
            try:
                self._queue_up(wanted)
            except FailureError as error:
                self._fail(str(error))
            finally:
                with self._lock:
                    self._unspoken -= not wanted.ahead
                self._wanted.task_done()

    def _fail(self, why: str) -> None:
        self._trouble = why

    def _queue_up(self, wanted: _Wanted) -> None:
        if wanted.turn != self._turn:
            return
        if wanted.ahead:
            self._prepare(wanted.ahead)
            return
        self._ensure_output()
        for samples in self._samples(wanted):
            with self._lock:
                # Someone may have said stop while this was being synthesised.
                if wanted.turn != self._turn:
                    return
                self._queue.add(samples)

    def _prepare(self, texts: Iterable[str]) -> None:
        """Synthesise `texts` until something is wanted now."""
        for sentence in (one for text in texts for one in sentences(text)):
            if not self._wanted.empty():
                return
            self._synthesiser.synthesise(sentence)

    def _samples(self, wanted: _Wanted) -> Iterator[Samples]:
        """At the device's rate, each sentence as soon as it is there. Raises FailureError where there is no voice."""
        if wanted.tone is not None:
            yield tone(wanted.tone, self._queue.rate) * self._volume
        elif wanted.recording is not None:
            yield Speech("", wanted.recording, SAMPLE_RATE).at(self._queue.rate)
        else:
            yield from map(self._spoken, sentences(wanted.text))

    def _spoken(self, sentence: str) -> Samples:
        spoken = self._synthesiser.synthesise(sentence)
        if isinstance(spoken, NoSpeech):
            raise FailureError(f"no voice: {spoken.reason}; `sparehand selfcheck` says what to do")
        return spoken.at(self._queue.rate)

    def _ensure_output(self) -> None:
        """Raises FailureError where the device cannot be had."""
        with self._lock:
            if self._output is not None and self._device_is_well():
                self._trouble = ""
                return
            lost, self._output = self._output, None
        if lost is not None:
            lost.close()
        output = self._open_output(self._device)
        queue = PlaybackQueue(output.rate, output.latency_seconds)
        with self._lock:
            self._queue, self._asked_at, self._trouble = queue, self._steady_seconds(), ""
        output.start(self._fill)
        with self._lock:
            self._output = output

    def _fill(self, count: int) -> Samples:
        self._asked_at = self._steady_seconds()
        return self._queue.fill(count)

    def _device_is_well(self) -> bool:
        if self._output is None or not self._output.active:
            return False
        return not self._queue.sounding or self._steady_seconds() - self._asked_at < STALLED_SECONDS
