"""What passes between the bench and its speech worker: one JSON line each way."""

from __future__ import annotations

import json
from dataclasses import asdict, dataclass, field


@dataclass(frozen=True)
class Voice:
    """A voice of this machine's speech synthesis. `id` is what the settings take."""

    id: str
    name: str
    languages: tuple[str, ...] = ()


@dataclass(frozen=True)
class SpeakRequest:
    """Synthesise `text` into `file`; `volume` is 0 to 1.

    An empty text makes the voice ready and no more; with `lists_voices` it asks for the list of voices.
    """

    text: str
    file: str
    voice: str | None
    words_per_minute: int
    volume: float
    lists_voices: bool = False

    def line(self) -> str:
        """As one line."""
        return json.dumps(asdict(self)) + "\n"

    @classmethod
    def read(cls, line: str) -> SpeakRequest:
        """From one line."""
        return cls(**json.loads(line))


@dataclass(frozen=True)
class WorkerReply:
    """The file is written or the voice ready, the voices are these, or `error` says why not."""

    error: str = ""
    voices: tuple[Voice, ...] = field(default=())

    def line(self) -> str:
        """As one line."""
        return json.dumps(asdict(self)) + "\n"

    @classmethod
    def read(cls, line: str) -> WorkerReply:
        """From one line."""
        raw = json.loads(line)
        voices = tuple(Voice(voice["id"], voice["name"], tuple(voice["languages"])) for voice in raw["voices"])
        return cls(error=raw["error"], voices=voices)
