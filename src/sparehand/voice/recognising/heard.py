"""What the ears made of an utterance, and the line that tells it."""

from __future__ import annotations

import json
import re
from collections.abc import Collection
from dataclasses import dataclass
from typing import Literal

from sparehand.ground.clock import Moment
from sparehand.job.commands import Command
from sparehand.job.situation import Situation
from sparehand.voice.phrases.phrase_table import PhraseTable
from sparehand.voice.sound.samples import Phrase

Source = Literal["heard", "typed", "page"]
"""Where a phrase comes from: the ears, the keyboard, a button of the bay page."""


@dataclass(frozen=True)
class Heard:
    """A phrase, what it means, and whether it counts. `reason` says in a few words why not; times in seconds.

    `near_miss` marks what was meant for the bench as it seems, but not understood; `asks_back` what counts but was
    heard with little confidence and has lasting effect. The rest are the measurements behind the decision; `level_db`
    is that of its loudest speech, in decibels of full scale.
    """

    phrase: Phrase
    command: Command | None
    accepted: bool
    reason: str = ""
    near_miss: bool = False
    asks_back: bool = False
    decoy_margin: float | None = None
    silence_before: float | None = None
    silence_after: float | None = None
    speech_seconds: float | None = None
    level_db: float | None = None
    source: Source = "heard"

    @property
    def text(self) -> str:
        """The words, as far as any phrase was recognised."""
        return self.phrase.text

    @property
    def confidence(self) -> float:
        """How sure the recogniser is of the words, 0 to 1."""
        return self.phrase.confidence

    @property
    def word_confidence(self) -> float:
        """The confidence of the least certain word."""
        return min((word.confidence for word in self.phrase.words), default=self.confidence)

    def json_line(self, *, why: bool = False) -> str:
        """One JSON object in a line; with `why` the measurements too."""
        fields: dict[str, object] = {
            "start": round(self.phrase.start, 3),
            "end": round(self.phrase.end, 3),
            "decided_at": round(self.phrase.decided_at, 3),
            "text": self.text,
            "command": command_name(self.command),
            "accepted": self.accepted,
            "confidence": round(self.confidence, 3),
        }
        if why:
            fields |= {
                "word_confidence": round(self.word_confidence, 3),
                "decoy_margin": _rounded(self.decoy_margin),
                "silence_before": _rounded(self.silence_before),
                "silence_after": _rounded(self.silence_after),
                "speech_seconds": _rounded(self.speech_seconds),
                "reason": self.reason,
            }
        return json.dumps(fields, ensure_ascii=False)

    def line(self) -> str:
        """One line for people."""
        verdict = "" if self.accepted else f"  ({self.reason})"
        return f"{self.phrase.start:8.2f} s  {self.text or '…'}{verdict}"


def typed_phrase(table: PhraseTable, text: str, situations: Collection[Situation], moment: Moment) -> Heard:
    """A typed line as one phrase, which nobody can mishear."""
    command = table.command_for(text, situations)
    phrase = Phrase(text.strip(), 0.0, 0.0, 0.0, 1.0, moment)
    return Heard(
        phrase, command, command is not None, "" if command else "no phrase", near_miss=command is None, source="typed"
    )


def command_name(command: Command | None) -> str | None:
    """The name of a command as files and JSON write it: `repeat_torque`."""
    return None if command is None else snake_case(type(command).__name__)


def snake_case(name: str) -> str:
    """`RepeatTorque` as `repeat_torque`."""
    return re.sub(r"(?<=[a-z])(?=[A-Z])", "_", name).lower()


def _rounded(value: float | None) -> float | None:
    return None if value is None else round(value, 3)
