"""What a view of a running job can be told, whichever view it is."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Protocol

from sparehand.ground.clock import Moment
from sparehand.job.answer import Answer
from sparehand.job.experience import Experience
from sparehand.job.state import JobState
from sparehand.voice.recognising.heard import Source
from sparehand.voice.recognising.rejection import CALLED

DARK_ON_LIGHT = "black on white"
"""How a picture must stand on a terminal of any colours, for a camera to read it."""


class Heard(Protocol):
    """What the ears made of a phrase, as far as a view needs it."""

    @property
    def text(self) -> str:
        """The words."""
        ...

    @property
    def command(self) -> object | None:
        """The command that they mean, if any."""
        ...

    @property
    def accepted(self) -> bool:
        """Whether it is acted on."""
        ...

    @property
    def reason(self) -> str:
        """Why not, where it is not."""
        ...

    @property
    def asks_back(self) -> bool:
        """Whether it counts, but is asked back before anything is done."""
        ...

    @property
    def confidence(self) -> float:
        """How sure the recogniser is, in 0 to 1."""
        ...

    @property
    def near_miss(self) -> bool:
        """Whether a command was near."""
        ...

    @property
    def source(self) -> Source:
        """Where it came from."""
        ...


class JobView(Protocol):
    """A view of one conversation. The bench tells it what happens, in the order in which it happens."""

    def expects(self, experience: Experience) -> None:
        """What is expected of the phases of the job that comes."""

    def listens(self, how: str) -> None:
        """Whether and how the bench listens from now on, in a word or two: "listening", "keyboard only"."""

    def heard(self, heard: Heard) -> None:
        """A phrase was heard, and acted on or not."""

    def answered(self, answer: Answer) -> None:
        """The assistant answers."""

    def state(self, state: JobState, now: Moment) -> None:
        """The job stands like this at `now`; told again about every second."""

    def note(self, text: str) -> None:
        """Something that nobody said: where a file lies, what the bench does."""

    def picture(self, rows: Sequence[str]) -> None:
        """Show rows of blocks dark on light, until something is said or they are taken away by none."""

    def close(self) -> None:
        """Nothing more comes; give the terminal back."""


@dataclass(frozen=True)
class HeardLine:
    """What was just heard, fit to be shown: without the words of talk that was not meant for the bench."""

    text: str
    accepted: bool
    sureness: str
    why_not: str = ""
    source: Source = "heard"

    @property
    def sentence(self) -> str:
        """In one line, without its source. How sure the ears were is said of what they heard alone."""
        if not self.text:
            return self.why_not
        outcome = "" if self.accepted else f"not acted on: {self.why_not}"
        return ", ".join(filter(None, (f"“{self.text}”", self.sureness, outcome)))

    @property
    def line(self) -> str:
        """The same with its source."""
        return f"{_SOURCE_WORDS[self.source]} {self.sentence}"


_SOURCE_WORDS: Mapping[Source, str] = {"heard": "heard", "typed": "typed", "page": "from the page"}
_UNSURE_BELOW = 0.6
_SURE_FROM = 0.85


def heard_line(heard: Heard) -> HeardLine:
    """What may be shown of what was heard. Words that were left alone are kept back unless a command was near."""
    if heard.reason == CALLED:
        return HeardLine("", False, "", CALLED)
    if not heard.accepted and not heard.near_miss:
        return HeardLine("", False, "", "talk or noise, left alone")
    sure = sureness(heard.confidence) if heard.source == "heard" else ""
    return HeardLine(heard.text, heard.accepted, sure, heard.reason or "not sure enough", heard.source)


def sureness(confidence: float) -> str:
    """How sure the ears are, as a word with the number behind it."""
    word = "unsure" if confidence < _UNSURE_BELOW else "sure" if confidence >= _SURE_FROM else "fairly sure"
    return f"{word} {confidence * 100:.0f} %"


def command_words(command: object) -> str:
    """The name of a command in ordinary words, such as "repeat torque"."""
    return re.sub(r"(?<=[a-z])(?=[A-Z])", " ", type(command).__name__).lower()
