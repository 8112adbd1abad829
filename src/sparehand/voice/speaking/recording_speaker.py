"""A mouth without a device: what it says lies on the stream's own time and can be asked for, stretch by stretch."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass

import numpy as np

from sparehand.voice.sound.samples import SAMPLE_RATE, Samples
from sparehand.voice.speaking.speech import NoSpeech
from sparehand.voice.speaking.synthesis import Synthesiser
from sparehand.voice.speaking.tones import Tone, tone

_FADE_SAMPLES = 80


@dataclass(frozen=True)
class SoundedAnswer:
    """Something that sounds from stream time `start_seconds`: a text, or a tone by its name."""

    text: str
    start_seconds: float
    samples: Samples

    @property
    def end_seconds(self) -> float:
        """Stream time just after its last sample."""
        return self.start_seconds + len(self.samples) / SAMPLE_RATE


class RecordingSpeaker:
    """Speaks onto the stream's time. Answers follow each other without overlap, as from one loudspeaker."""

    def __init__(self, synthesiser: Synthesiser, stream_seconds: Callable[[], float]) -> None:
        """`stream_seconds` gives the present stream time: the end of the last block that was heard."""
        self._synthesiser = synthesiser
        self._now = stream_seconds
        self._answers: list[SoundedAnswer] = []
        self._status = ""

    @property
    def speaking(self) -> bool:
        """Whether an answer sounds at the present stream time, or later."""
        return self._now() < self.ends_at

    @property
    def ends_at(self) -> float:
        """Stream time at which the last answer ends."""
        return self._answers[-1].end_seconds if self._answers else 0.0

    @property
    def mute(self) -> bool:
        """Never."""
        return False

    @property
    def status(self) -> str:
        """Why the last text has no sound, or nothing."""
        return self._status

    @property
    def answers(self) -> tuple[SoundedAnswer, ...]:
        """What was not yet asked for with `sound_between` to its end."""
        return tuple(self._answers)

    def say(self, text: str) -> None:
        """Speak `text` from now, or from the end of the answer before."""
        spoken = self._synthesiser.synthesise(text)
        if isinstance(spoken, NoSpeech):
            self._status = spoken.reason
            return
        self._status = ""
        self._append(text, spoken.samples)

    def signal(self, tone_name: Tone) -> None:
        """Sound a tone likewise."""
        self._append(tone_name, tone(tone_name))

    def play(self, samples: Samples) -> None:
        """Play a recording likewise."""
        self._append("", samples)

    def prepare(self, texts: Iterable[str]) -> None:
        """Nothing: stream time does not pass while an answer is made."""

    def stop(self) -> None:
        """Cut what sounds at the present stream time, with a fade of 5 ms, and drop what waits."""
        now = self._now()
        started = [answer for answer in self._answers if answer.start_seconds < now]
        self._answers = [_cut(answer, now) for answer in started]

    def close(self) -> None:
        """End the voice's worker."""
        self._synthesiser.close()

    def sound_between(self, start_seconds: float, end_seconds: float) -> Samples:
        """What sounds in that stretch of stream time, silence included. Earlier sound is forgotten."""
        first, last = round(start_seconds * SAMPLE_RATE), round(end_seconds * SAMPLE_RATE)
        sound = np.zeros(max(0, last - first), np.float32)
        for answer in self._answers:
            at = round(answer.start_seconds * SAMPLE_RATE) - first
            begin, end = max(0, at), min(len(sound), at + len(answer.samples))
            if begin < end:
                sound[begin:end] += answer.samples[begin - at : end - at]
        self._answers = [answer for answer in self._answers if answer.end_seconds > end_seconds]
        return sound

    def _append(self, text: str, samples: Samples) -> None:
        # Whole samples, so that answers neither overlap nor shift when they are cut into blocks.
        start = round(max(self._now(), self.ends_at) * SAMPLE_RATE) / SAMPLE_RATE
        self._answers.append(SoundedAnswer(text, start, samples))


def _cut(answer: SoundedAnswer, now: float) -> SoundedAnswer:
    left = round((now - answer.start_seconds) * SAMPLE_RATE) + _FADE_SAMPLES
    if left >= len(answer.samples):
        return answer
    kept = answer.samples[:left].copy()
    kept[-_FADE_SAMPLES:] *= np.linspace(1.0, 0.0, _FADE_SAMPLES, dtype=np.float32)
    return SoundedAnswer(answer.text, answer.start_seconds, kept)
