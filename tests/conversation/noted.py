"""A view and a voice that keep what they are given, for a test to look at."""

from __future__ import annotations

from collections.abc import Iterable

from sparehand.job.answer import Answer
from sparehand.screens.dialogue import DialogueView
from sparehand.voice.phrases.phrase_file import load_phrases
from sparehand.voice.speaking.speaker import SilentSpeaker
from sparehand.voice.speaking.tones import Tone

TABLE = load_phrases()


class NotedView(DialogueView):
    """Keeps what it is told instead of printing it."""

    def __init__(self) -> None:
        self.signs: list[str] = []
        self.notes: list[str] = []
        self.answers: list[str] = []

    def listens(self, how: str) -> None:
        self.signs.append(how)

    def heard(self, heard: object) -> None:
        """Nothing to keep."""

    def answered(self, answer: Answer) -> None:
        self.answers.append(answer.shown)

    def note(self, text: str) -> None:
        self.notes.append(text)


class NotedSpeaker(SilentSpeaker):
    """Keeps what it is to say and to have ready; `trouble` is its status."""

    def __init__(self) -> None:
        self.said: list[str] = []
        self.tones: list[str] = []
        self.ready: tuple[str, ...] = ()
        self.stops = 0
        self.trouble = ""
        self.talking = False

    @property
    def speaking(self) -> bool:
        return self.talking

    @property
    def mute(self) -> bool:
        return False

    @property
    def status(self) -> str:
        return self.trouble

    def say(self, text: str) -> None:
        self.said.append(text)

    def signal(self, tone: Tone) -> None:
        self.tones.append(tone)

    def prepare(self, texts: Iterable[str]) -> None:
        self.ready = tuple(texts)

    def stop(self) -> None:
        self.stops += 1
