"""The loop that joins ears, job, mouth and screen. It decides nothing about the job itself."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import replace
from typing import Protocol

import numpy as np

from sparehand.clock import Moment
from sparehand.incoming import Incoming, Pause, TypedLine
from sparehand.job.answer import Answer, plain
from sparehand.job.commands import Close, Command, Confirm, Help, Quiet, Refuse
from sparehand.job.opening import Opening, choose, opening_answer
from sparehand.job.state import JobState
from sparehand.screens.job_view import JobView
from sparehand.voice.ears import Ears
from sparehand.voice.heard import Heard, typed_phrase
from sparehand.voice.phrases import SITUATIONS, PhraseTable, Situation
from sparehand.voice.sound import SoundBlock
from sparehand.voice.speaker import Speaker

TICK_MS = 1_000
"""How often time is let pass on the job."""
NEAR_MISSES_BEFORE_HELP = 2
PHRASES_NAMED = 8
DOUBT_LAPSES_MS = 20_000
"""How long a phrase that was asked back waits for its yes."""


class Talk(Protocol):
    """One side of a conversation: the job, or the choosing before it."""

    @property
    def over(self) -> bool: ...

    @property
    def situations(self) -> frozenset[Situation]: ...

    @property
    def current(self) -> JobState | None: ...

    def respond(self, command: Command, now: Moment, phrases: Collection[str], /) -> Answer: ...

    def tick(self, now: Moment, /) -> Answer: ...


class OpeningTalk:
    """The choosing of operations and sides before a job begins."""

    situations: frozenset[Situation] = frozenset({"opening"})
    current = None

    def __init__(self, opening: Opening) -> None:
        self.opening = opening
        self._last = Answer()

    @property
    def over(self) -> bool:
        """Whether the job may begin."""
        return self.opening.begun

    def respond(self, command: Command, _now: Moment, _phrases: Collection[str]) -> Answer:
        """Choose, and say what is chosen and what is missing."""
        if isinstance(command, Help):
            return opening_answer(self.opening)
        self.opening = choose(self.opening, command)
        return opening_answer(self.opening, command)

    def tick(self, _now: Moment) -> Answer:
        """Nothing happens by itself before a job."""
        return Answer()


class Bench:
    """Hears, lets the talk respond, then speaks and shows. What is said was saved before by the talk."""

    def __init__(
        self,
        view: JobView,
        speaker: Speaker,
        table: PhraseTable,
        ears: Ears | None = None,
        deaf_while_speaking: bool = False,
    ) -> None:
        self._view = view
        self._speaker = speaker
        self._table = table
        self._ears = ears
        self._deaf_while_speaking = deaf_while_speaking
        self._ticked: Moment | None = None
        self._near_misses = 0
        self.phrases_heard = 0
        self._doubted: tuple[Command, Moment] | None = None

    def run(self, talk: Talk, incoming: Iterable[Incoming]) -> None:
        """Hold the conversation until it is over or nothing more comes."""
        self._attend(talk)
        moment = None
        for item in incoming:
            moment = item.moment
            self._take(talk, item)
            if talk.over:
                return
        if self._ears is not None and moment is not None:
            for heard in self._ears.finish():
                self._react(talk, heard, moment)

    def say(self, given: Answer) -> None:
        """Show and speak an answer."""
        if not given.lines and given.tone is None:
            return
        self._view.answered(given)
        if given.tone:
            self._speaker.signal(given.tone)
        if given.spoken.strip():
            self._speaker.say(given.spoken)

    def _take(self, talk: Talk, item: Incoming) -> None:
        match item:
            case SoundBlock():
                for heard in self._hear(item):
                    self._react(talk, heard, item.moment)
            case TypedLine(text=text, moment=moment):
                self._react(talk, typed_phrase(self._table, text, _typeable(talk), moment), moment)
            case Pause():
                pass
        self._let_time_pass(talk, item.moment)

    def _hear(self, block: SoundBlock) -> tuple[Heard, ...]:
        """What the ears make of a block; nothing of what the loudspeaker itself says into the room."""
        if self._ears is None:
            return ()
        if self._deaf_while_speaking and self._speaker.speaking:
            block = replace(block, samples=np.zeros_like(block.samples))
        return self._ears.hear(block)

    def _react(self, talk: Talk, heard: Heard, moment: Moment) -> None:
        self.phrases_heard += 1
        self._view.heard(heard)
        if not heard.accepted or heard.command is None:
            self._not_understood(talk, heard, moment)
            return
        self._near_misses = 0
        self._speaker.stop()
        command = self._beyond_doubt(heard, moment)
        if command is not None and not isinstance(command, Quiet):
            self.say(talk.respond(command, moment, self._sayable(talk)))
        self._attend(talk)
        self._show(talk, moment)

    def _beyond_doubt(self, heard: Heard, moment: Moment) -> Command | None:
        """The command to carry out: what was heard, unless it lasts and is doubtful; then it is asked back first.

        Closing is asked back by the job itself.
        """
        doubted, self._doubted = self._doubted, None
        if doubted is not None and isinstance(heard.command, Confirm):
            return doubted[0]
        if doubted is not None and isinstance(heard.command, Refuse):
            self.say(Answer((plain("Left as it was."),), tone="heard"))
            return None
        if heard.asks_back and heard.command is not None and not isinstance(heard.command, Close):
            self._doubted = heard.command, moment
            self.say(Answer((plain(f"Did you say {heard.text}? Yes confirm, or no cancel."),), tone="heard"))
            return None
        return heard.command

    def _not_understood(self, talk: Talk, heard: Heard, moment: Moment) -> None:
        """Talk and noise get nothing at all; a near miss gets a tone, and a second one what can be said."""
        if not heard.near_miss:
            return
        self._near_misses += 1
        self._speaker.signal("not understood")
        if self._near_misses >= NEAR_MISSES_BEFORE_HELP:
            self._near_misses = 0
            self.say(talk.respond(Help(), moment, self._sayable(talk)))

    def _let_time_pass(self, talk: Talk, moment: Moment) -> None:
        if self._ticked is not None and self._ticked.milliseconds_until(moment) < TICK_MS:
            return
        self._ticked = moment
        if self._doubted is not None and self._doubted[1].milliseconds_until(moment) > DOUBT_LAPSES_MS:
            self._doubted = None
            self._speaker.signal("lapsed")
        self.say(talk.tick(moment))
        self._attend(talk)
        self._show(talk, moment)

    def _attend(self, talk: Talk) -> None:
        """Let the ears know what counts now."""
        if self._ears is not None:
            self._ears.situations = frozenset({"question"}) if self._doubted else talk.situations

    def _show(self, talk: Talk, moment: Moment) -> None:
        if talk.current is not None:
            self._view.state(talk.current, moment)

    def _sayable(self, talk: Talk) -> tuple[str, ...]:
        """A few phrases that count now, those of the present step first."""
        now = talk.situations
        special = now - {"working", "hold"}
        main = [pattern for pattern in self._table.patterns if pattern.main and pattern.situations & now]
        ordered = sorted(main, key=lambda pattern: not pattern.situations & special)
        return tuple(pattern.phrase for pattern in ordered[:PHRASES_NAMED])


def _typeable(talk: Talk) -> frozenset[Situation]:
    """What may be typed: everything, for nobody mishears a typed line; a wrong one is refused with its reason."""
    opening: frozenset[Situation] = frozenset({"opening"})
    return opening if opening & talk.situations else frozenset(SITUATIONS) - opening
