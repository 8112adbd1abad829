"""The invented technician: a source of real sound that listens to the answers and reacts as a person would."""

from __future__ import annotations

from collections.abc import Callable, Generator, Iterator
from dataclasses import dataclass

import numpy as np

from sparehand.conversation.input_stream import TypedLine
from sparehand.demo.noise import at_level, shop_noise
from sparehand.demo.script import ScriptLine
from sparehand.demo.technician_voice import TechnicianVoice
from sparehand.ground.clock import HandClock, Moment
from sparehand.job.commands import Command
from sparehand.job.situation import SITUATIONS
from sparehand.job.state import JobState
from sparehand.screens.job_view import Heard
from sparehand.voice.phrases.phrase_table import PhraseTable
from sparehand.voice.sound.samples import SAMPLE_RATE, Samples, SoundBlock

BLOCK = 512
SKIPPED_SECONDS = 0.5
"""What is heard of the work between two lines, however long it takes."""
NOISE_LOOP_SECONDS = 47.0
PAUSE_SECONDS = 0.8
"""What a person leaves between the end of an answer and the next word."""
PATIENCE_SECONDS = 1.6
"""How long a person waits for an answer before saying it again."""
TRIES = 4
"""After so many misses a person goes to the keyboard."""


@dataclass
class HearingCount:
    """How the spoken lines were heard."""

    right: int = 0
    wrong: int = 0
    missed: int = 0
    typed: int = 0


class ScriptedTechnician:
    """Speaks the lines of a script into shop noise. Watches what the bench made of them, says it again or undoes it.

    A `SoundSource` and, when words fail, a keyboard. `heard` is to be called with everything that the ears report.
    """

    overruns = 0

    def __init__(
        self,
        voice: TechnicianVoice,
        clock: HandClock,
        table: PhraseTable,
        noise_db: float,
        seed: int,
        assistant_speaks: Callable[[], bool],
        note: Callable[[str], None],
        said: Callable[[str], None],
    ) -> None:
        self.clock = clock
        self.tally = HearingCount()
        self.stream_seconds = 0.0
        self._voice = voice
        self._table = table
        self._noise = self._noise_below_speech(noise_db, seed)
        self._noise_at = 0
        self._assistant_speaks = assistant_speaks
        self._note = note
        self._said = said
        self._heard: list[Heard] = []
        self._typed: list[str] = []
        self._script: tuple[ScriptLine, ...] = ()
        self._state: Callable[[], JobState | None] = lambda: None

    def follow(self, script: tuple[ScriptLine, ...], state: Callable[[], JobState | None]) -> None:
        """The lines to say next, and where to see how the job stands."""
        self._script = script
        self._state = state

    def heard(self, heard: Heard) -> None:
        """Notice what the bench made of a phrase."""
        self._heard.append(heard)

    def waiting(self, moment: Moment) -> Iterator[TypedLine]:
        """What was typed because speaking did not help."""
        while self._typed:
            yield TypedLine(self._typed.pop(0), moment)

    def blocks(self) -> Iterator[SoundBlock]:
        """The sound of the whole script."""
        yield from self._listen(1.0)
        depths: list[int] = []
        at = 0
        while at < len(self._script):
            line = self._script[at]
            del depths[at:]
            depths.append(self._depth())
            yield from self._work(line)
            done = yield from self._say_until_done(line, depths[at])
            at = at + 1 if done else self._first_taken_back(at, depths)

    def _first_taken_back(self, at: int, depths: list[int]) -> int:
        """The first of the lines that a misheard undo took back: a person sees that and does it again."""
        while at > 0 and self._depth() < depths[at]:
            at -= 1
        return at

    def close(self) -> None:
        """End the voice."""
        self._voice.close()

    def _say_until_done(self, line: ScriptLine, depth: int) -> Generator[SoundBlock, None, bool]:
        """Say a line until it is understood; gives False where a misheard one took earlier lines back instead."""
        wanted = self._meaning(line.say)
        for _ in range(TRIES):
            yield from self._say(line.say)
            got = self._understood()
            if any(heard.asks_back for heard in self._heard):
                yield from self._answer("yes confirm" if got == wanted else "no cancel")
                got = got if got == wanted else None
            if got == wanted:
                self.tally.right += 1
                return True
            if got is None:
                self.tally.missed += 1
                continue
            self.tally.wrong += 1
            yield from self._mend(depth)
            if self._depth() < depth:
                return False
        self._note(f"(goes to the keyboard and types: {line.say})")
        self.tally.typed += 1
        self._typed.append(line.say)
        yield from self._listen(PATIENCE_SECONDS)
        return True

    def _answer(self, answer: str) -> Iterator[SoundBlock]:
        """Answer a phrase that was asked back, again until it is heard."""
        for _ in range(TRIES):
            yield from self._say(answer)
            if self._understood() == self._meaning(answer):
                return

    def _mend(self, depth: int) -> Iterator[SoundBlock]:
        """Take back what a misheard phrase did."""
        for _ in range(TRIES):
            state = self._state()
            if state is not None and state.progress.question:
                yield from self._say("no cancel")
            elif self._depth() > depth:
                yield from self._say("undo that")
            else:
                return

    def _work(self, line: ScriptLine) -> Iterator[SoundBlock]:
        """Wrenching before a line: the clock moves on, and next to nothing of it is heard.

        It moves on by parts, for a bench that hears nothing for minutes takes itself to have been asleep.
        """
        if not line.after_minutes:
            return
        self._note(f"({line.after_minutes:g} min of work pass, skipped)")
        part_ms = round(line.after_minutes * 60_000 / _blocks(SKIPPED_SECONDS))
        for block in self._listen(SKIPPED_SECONDS):
            yield block
            self.clock.advance(part_ms)

    def _say(self, text: str) -> Iterator[SoundBlock]:
        """Wait until nobody speaks, say it, and listen to the answer to its end."""
        while self._assistant_speaks():
            yield self._block(np.zeros(BLOCK, np.float32))
        yield from self._listen(PAUSE_SECONDS)
        self._heard.clear()
        self._said(text)
        speech = self._voice.called(self._table.call_word, text)
        speech = np.pad(speech, (0, -len(speech) % BLOCK))
        for start in range(0, len(speech), BLOCK):
            yield self._block(speech[start : start + BLOCK])
        waited = 0.0
        while waited < PATIENCE_SECONDS and not self._understood():
            yield self._block(np.zeros(BLOCK, np.float32))
            waited += BLOCK / SAMPLE_RATE

    def _listen(self, seconds: float) -> Iterator[SoundBlock]:
        for _ in range(_blocks(seconds)):
            yield self._block(np.zeros(BLOCK, np.float32))

    def _block(self, speech: Samples) -> SoundBlock:
        """A block of speech with the shop's noise, a moment later on every clock."""
        noise = np.take(self._noise, range(self._noise_at, self._noise_at + BLOCK), mode="wrap")
        self._noise_at = (self._noise_at + BLOCK) % len(self._noise)
        start = self.stream_seconds
        self.stream_seconds += BLOCK / SAMPLE_RATE
        self.clock.advance(round(1000 * self.stream_seconds) - round(1000 * start))
        return SoundBlock((speech + noise).astype(np.float32), start, self.clock.now())

    def _noise_below_speech(self, noise_db: float, seed: int) -> Samples:
        speech = self._voice.utterance("next step")
        return at_level(speech, shop_noise("shop", NOISE_LOOP_SECONDS, seed), noise_db)

    def _meaning(self, text: str) -> Command | None:
        return self._table.command_for(text, SITUATIONS)

    def _understood(self) -> object | None:
        return next((heard.command for heard in self._heard if heard.accepted and heard.command), None)

    def _depth(self) -> int:
        state = self._state()
        return len(state.undo) if state is not None else 0


def _blocks(seconds: float) -> int:
    """How many blocks so many seconds of sound are."""
    return round(seconds * SAMPLE_RATE / BLOCK)
