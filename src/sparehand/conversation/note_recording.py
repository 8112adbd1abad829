"""Taking down free words: the sound of a memo while it is spoken, in memory until it is whole."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from uuid import UUID

import numpy as np

from sparehand.ground.errors import FailureError
from sparehand.ground.ids import new_event_id
from sparehand.job.answer import Answer, plain
from sparehand.job.commands import (
    Command,
    DropMemo,
    EndMemo,
    FoundSomething,
    KeepLesson,
    KeepMemo,
    NameStep,
    NewFastener,
    NewPhase,
    NewStep,
    NoteTaken,
)
from sparehand.job.events import NoteKind
from sparehand.log.memos import MemoFolder
from sparehand.voice.recognising.heard import Heard
from sparehand.voice.sound.samples import SAMPLE_RATE, Samples, SoundBlock
from sparehand.voice.sound.wav import as_wav, from_wav


@dataclass(frozen=True)
class Noting:
    """What a command begins to take down, and the quiet after which it counts as complete."""

    note: NoteKind
    pause_seconds: float


BEGINS: Mapping[type[Command], Noting] = {
    KeepMemo: Noting("memo", 6.0),
    FoundSomething: Noting("memo", 6.0),
    KeepLesson: Noting("lesson", 6.0),
    NewPhase: Noting("phase", 2.5),
    NewStep: Noting("step", 2.5),
    NameStep: Noting("step", 2.5),
    NewFastener: Noting("fastener", 2.5),
}
PATIENCE_SECONDS = 12.0
"""How long the first word is waited for."""
LONGEST_SECONDS = 120.0


class NoteTaker:
    """Takes down one note at a time. Without a folder it keeps words that are typed, and no sound."""

    def __init__(self, memos: MemoFolder | None = None, longest_seconds: float = LONGEST_SECONDS) -> None:
        self._memos = memos
        self._longest_seconds = longest_seconds
        self._noting: Noting | None = None
        self._blocks: list[SoundBlock] = []
        self._speech_ends = 0.0

    @property
    def running(self) -> bool:
        """Whether something is being taken down."""
        return self._noting is not None

    @property
    def sign(self) -> str:
        """What the screen says meanwhile."""
        kind = self._noting.note if self._noting else "memo"
        what = f"a {kind}" if kind in ("memo", "lesson") else f"the name of the {kind}"
        return f'recording {what}, {self._seconds:.0f} s; say "end the memo"'

    def begin(self, command: Command) -> None:
        """Take down what `command` calls for, if anything; once a phase is named, its first step."""
        phase_named = isinstance(command, NoteTaken) and command.note == "phase"
        self._noting = BEGINS.get(NameStep if phase_named else type(command))
        self._blocks = []
        self._speech_ends = 0.0

    def hear(self, block: SoundBlock, speech: bool) -> bool:
        """Take in a block; gives whether the note is complete: by a long enough quiet, or by its greatest length."""
        if self._noting is None:
            return False
        self._blocks.append(block)
        if speech:
            self._speech_ends = block.end_seconds
        quiet = block.end_seconds - (self._speech_ends or self._blocks[0].start_seconds)
        patience = self._noting.pause_seconds if self._speech_ends else PATIENCE_SECONDS
        return quiet >= patience or self._seconds >= self._longest_seconds

    def said(self, heard: Heard, typed: str = "") -> NoteTaken | Answer | None:
        """What became of the note by these words, None where it goes on.

        Some words end it, a typed line is the whole of it, all others are part of it.
        """
        if isinstance(heard.command, DropMemo) and heard.accepted:
            self._noting, self._blocks = None, []
            return Answer((plain("Dropped."),), tone="heard")
        if isinstance(heard.command, EndMemo) and heard.accepted:
            return self.end(before_seconds=heard.phrase.start or None)
        return self.end(typed) if typed else None

    def sound(self, id: UUID) -> Samples | None:
        """A recording that was kept earlier; None where it is missing or damaged."""
        return from_wav(self._memos.read(id) or b"") if self._memos is not None else None

    def end(self, words: str = "", before_seconds: float | None = None) -> NoteTaken | Answer:
        """The note, its sound on the disk by then; or an answer that nothing was said, or could not be kept.

        `before_seconds` is the stream time at which the words began that ended it; they are no part of it.
        """
        noting, self._noting = self._noting, None
        blocks, self._blocks = self._blocks, []
        until = min(before_seconds or self._speech_ends + 0.5, self._speech_ends + 0.5)
        spoken = [block for block in blocks if block.end_seconds <= until] if self._speech_ends else []
        id, sound_ms = new_event_id(), 0
        if spoken and self._memos is not None:
            samples = np.concatenate([block.samples for block in spoken])
            try:
                self._memos.keep(id, as_wav(samples))
            except FailureError as error:
                return Answer((plain(f"{error}."),), tone="refused")
            sound_ms = round(1000 * len(samples) / SAMPLE_RATE)
        if noting is None or not (sound_ms or words.strip()):
            return Answer((plain("Nothing was said, nothing is kept."),), tone="refused")
        return NoteTaken(id, noting.note, sound_ms, words.strip())

    @property
    def _seconds(self) -> float:
        return self._blocks[-1].end_seconds - self._blocks[0].start_seconds if self._blocks else 0.0
