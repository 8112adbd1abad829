"""What comes to the bench made into phrases: from sound, from typed lines, from the key that opens the ears."""

from __future__ import annotations

from collections.abc import Set
from dataclasses import replace

import numpy as np

from sparehand.conversation.input_stream import TypedLine
from sparehand.conversation.keys import Press
from sparehand.conversation.phrase_hints import typeable
from sparehand.conversation.self_echo import SelfEcho
from sparehand.job.commands import Command, StopListening
from sparehand.job.situation import Situation
from sparehand.voice.ears import Ears
from sparehand.voice.phrases.phrase_table import PhraseTable
from sparehand.voice.recognising.heard import Heard, typed_phrase
from sparehand.voice.recognising.rejection import CALLED
from sparehand.voice.sound.samples import SoundBlock
from sparehand.voice.speaking.speaker import Speaker


class Intake:
    """Ears, keys and typed lines. `deaf_while_speaking` gives the ears silence while `speaker` sounds."""

    def __init__(
        self, table: PhraseTable, ears: Ears | None, speaker: Speaker, echo: SelfEcho, deaf_while_speaking: bool
    ) -> None:
        self.table = table
        self._ears = ears
        self._speaker = speaker
        self._echo = echo
        self._deaf_while_speaking = deaf_while_speaking

    def learn(self, table: PhraseTable) -> None:
        """Listen for another phrase table from now on."""
        self.table = table
        if self._ears is not None:
            self._ears.learn(table)

    def listen_for(self, situations: Set[Situation]) -> None:
        """What counts as said from now on."""
        if self._ears is not None:
            self._ears.situations = situations

    def hear(self, block: SoundBlock) -> tuple[Heard, ...]:
        """The phrases that ended with a block of sound."""
        if self._ears is None:
            return ()
        self._ears.bench_speaks = self._speaker.speaking
        if self._speaker.speaking:
            self._echo.sounding(block)
            if self._deaf_while_speaking:
                block = replace(block, samples=np.zeros_like(block.samples))
        return self._judged(self._ears.hear(block))

    def press(self, press: Press) -> tuple[Heard, ...]:
        """The key opens the ears, even those that listen only for the call word; gives what was said while held."""
        if self._ears is None:
            return ()
        self._ears.only_called = False
        match press.how:
            case "tapped":
                self._ears.key_tap()
            case "held":
                self._ears.key_down(press.ago_seconds)
            case "let go":
                return self._judged(self._ears.key_up())
        return ()

    def typed(self, line: TypedLine, situations: Set[Situation]) -> Heard:
        """A typed line as a phrase."""
        return replace(typed_phrase(self.table, line.text, typeable(situations), line.moment), source=line.source)

    def finish(self) -> tuple[Heard, ...]:
        """The last phrases of a stream that has ended."""
        return self._judged(self._ears.finish()) if self._ears is not None else ()

    def obey(self, command: Command) -> None:
        """Listen only for the call word after "stop listening", openly after any other command."""
        if self._ears is not None:
            self._ears.only_called = isinstance(command, StopListening)

    @property
    def records(self) -> bool:
        """Whether a note may have the sound of now: not where the loudspeaker sounds in it."""
        return self._ears is not None and not self._deaf_now

    @property
    def speech_now(self) -> bool:
        """Whether the block heard last is speech."""
        return self._ears is not None and self._ears.speech_now

    def sign(self, listening: str) -> str:
        """How it listens, for the screen; `listening` where nothing else is to be said."""
        if self._ears is None:
            return listening
        if self._ears.open_for != "anything":
            return "listening to you"
        if self._ears.only_called:
            return f'not listening; press a key, or say "{self.table.call_word}"'
        return "deaf while speaking; a key stops it" if self._deaf_now else listening

    @property
    def _deaf_now(self) -> bool:
        return self._deaf_while_speaking and self._speaker.speaking

    def _judged(self, phrases: tuple[Heard, ...]) -> tuple[Heard, ...]:
        """The same without the bench's own words; the call word alone opens ears that were closed."""
        if self._ears is not None and any(heard.reason == CALLED for heard in phrases):
            self._ears.only_called = False
        return tuple(self._echo.rejected(heard) for heard in phrases)
