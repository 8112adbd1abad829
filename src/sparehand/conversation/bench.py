"""The loop that joins ears, job, mouth and screen. It decides nothing about the job itself."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from uuid import UUID

import numpy as np

from sparehand.conversation.idle_reminder import IdleReminder
from sparehand.conversation.input_stream import Incoming, KeyPress, Pause, TypedLine
from sparehand.conversation.keys import Press
from sparehand.conversation.note_recording import NoteTaker
from sparehand.conversation.phrase_hints import sayable, typeable
from sparehand.conversation.responder import Talk
from sparehand.conversation.self_echo import OwnWords
from sparehand.ground.clock import Moment
from sparehand.job.answer import Answer, plain
from sparehand.job.commands import (
    Close,
    Command,
    Confirm,
    Help,
    NoteTaken,
    Quiet,
    Refuse,
    StopListening,
    VoiceOff,
    VoiceOn,
)
from sparehand.job.situation import Situation
from sparehand.screens.job_view import JobView
from sparehand.voice.ears import Ears
from sparehand.voice.phrases.phrase_table import PhraseTable
from sparehand.voice.recognising.heard import Heard, typed_phrase
from sparehand.voice.recognising.rejection import CALLED
from sparehand.voice.sound.samples import SoundBlock
from sparehand.voice.speaking.speaker import Speaker

TICK_MS = 1_000
"""How often time is let pass on the job."""
NEAR_MISSES_BEFORE_HELP = 2
DOUBT_LAPSES_MS = 20_000
"""How long a phrase that was asked back waits for its yes."""


class Bench:
    """Hears, lets the talk respond, then speaks and shows. What is said was saved before by the talk."""

    def __init__(
        self,
        view: JobView,
        speaker: Speaker,
        table: PhraseTable,
        ears: Ears | None = None,
        deaf_while_speaking: bool = False,
        listening: str = "keyboard only",
        idle_minutes: int = 0,
        notes: NoteTaker | None = None,
    ) -> None:
        """`listening` says on the screen how the ears listen when nothing else is to be said of them.

        After `idle_minutes` without a word it asks whether the work is on hold; 0 is never.
        """
        self._view = view
        self._speaker = speaker
        self._table = table
        self._ears = ears
        self._deaf_while_speaking = deaf_while_speaking
        self._ticked: Moment | None = None
        self._near_misses = 0
        self.phrases_heard = 0
        self._doubted: tuple[Command, Moment] | None = None
        self._listening = listening
        self._sign = ""
        self._voice_on = True
        self._trouble = ""
        self._idle = IdleReminder(idle_minutes)
        self._notes = notes or NoteTaker()
        self._own_words = OwnWords()

    def run(self, talk: Talk, incoming: Iterable[Incoming]) -> None:
        """Hold the conversation until it is over or nothing more comes."""
        self._attend(talk)
        self._show_listening()
        moment = None
        for item in incoming:
            moment = item.moment
            self._take(talk, item)
            if talk.over:
                return
        if self._ears is not None and moment is not None:
            for heard in self._ears.finish():
                self._react(talk, heard, moment)
        if self._notes.running and moment is not None:
            self._settle_note(talk, self._notes.end(), moment)

    def learn(self, table: PhraseTable) -> None:
        """React to another phrase table from now on, as another procedure brings it."""
        self._table = table
        if self._ears is not None:
            self._ears.learn(table)

    def say(self, given: Answer) -> None:
        """Show and speak an answer."""
        if not given.lines and given.tone is None:
            return
        self._view.answered(given)
        if given.tone:
            self._speaker.signal(given.tone)
        if given.spoken.strip() and self._voice_on:
            self._speaker.say(given.spoken)
            self._own_words.say(given.spoken)
        for id in given.sounds if self._voice_on else ():
            self._play(id)

    def _take(self, talk: Talk, item: Incoming) -> None:
        match item:
            case SoundBlock():
                for heard in self._hear(item):
                    self._react(talk, heard, item.moment)
                self._record(talk, item)
            case TypedLine(text=text, moment=moment) if self._notes.running:
                said = typed_phrase(self._table, text, {"memo"}, moment)
                self._settle_note(talk, self._notes.said(said, text), moment)
            case TypedLine(text=text, moment=moment):
                self._react(talk, typed_phrase(self._table, text, typeable(talk.situations), moment), moment)
            case KeyPress(press=press, moment=moment):
                self._press(talk, press, moment)
            case Pause():
                pass
        self._let_time_pass(talk, item.moment)
        self._show_listening()

    def _press(self, talk: Talk, press: Press, moment: Moment) -> None:
        """The key stops speech at once and opens the ears, even those that were told to listen to nothing."""
        self._idle.stirred(moment)
        self._speaker.stop()
        if self._notes.running and press.how == "tapped":
            self._settle_note(talk, self._notes.end(), moment)
            return
        if self._ears is None:
            return
        self._ears.only_called = False
        match press.how:
            case "tapped":
                self._ears.key_tap()
            case "held":
                self._ears.key_down(press.ago_seconds)
            case "let go":
                for heard in self._ears.key_up():
                    self._react(talk, heard, moment)

    def _hear(self, block: SoundBlock) -> tuple[Heard, ...]:
        """What the ears make of a block; nothing of what the loudspeaker itself says into the room."""
        if self._ears is None:
            return ()
        if self._speaker.speaking:
            self._own_words.sounding(block.end_seconds)
            if self._deaf_while_speaking:
                block = replace(block, samples=np.zeros_like(block.samples))
        return self._ears.hear(block)

    def _react(self, talk: Talk, heard: Heard, moment: Moment) -> None:
        self.phrases_heard += 1
        if heard.accepted and self._own_words.are(heard):
            heard = replace(heard, accepted=False, reason="said by the bench itself", near_miss=False)
        if self._notes.running:
            self._settle_note(talk, self._notes.said(heard), moment)
            return
        self._view.heard(heard)
        if not heard.accepted or heard.command is None:
            self._called(heard)
            self._not_understood(talk, heard, moment)
            return
        self._near_misses = 0
        self._idle.stirred(moment)
        self._speaker.stop()
        command = self._beyond_doubt(heard, moment)
        if command is not None and not isinstance(command, Quiet):
            self._carry_out(talk, command, moment)
        self._attend(talk)
        self._show(talk, moment)
        self._speaker.prepare(talk.likely(moment))

    def _carry_out(self, talk: Talk, command: Command, moment: Moment) -> None:
        """The talk answers; what concerns the bench alone is done beside that."""
        self._voice_on = self._voice_on or isinstance(command, VoiceOn)
        given = talk.respond(command, moment, sayable(self._table, talk.situations))
        self.say(given)
        if given.tone != "refused":
            self._notes.begin(command)
        self._voice_on = self._voice_on and not isinstance(command, VoiceOff)
        if self._ears is not None:
            self._ears.only_called = isinstance(command, StopListening)

    def _record(self, talk: Talk, block: SoundBlock) -> None:
        """Let a note that is being taken have the sound, but for what the loudspeaker itself says into the room."""
        deaf = self._deaf_while_speaking and self._speaker.speaking
        if self._ears is not None and not deaf and self._notes.hear(block, self._ears.speech_now):
            self._settle_note(talk, self._notes.end(), block.moment)

    def _settle_note(self, talk: Talk, outcome: NoteTaken | Answer | None, moment: Moment) -> None:
        """What became of a note: it goes on, or nothing is kept of it, or its sound is on the disk by now."""
        if outcome is None:
            return
        if isinstance(outcome, Answer):
            self.say(outcome)
        else:
            self.say(talk.respond(outcome, moment, sayable(self._table, talk.situations)))
            self._notes.begin(outcome)
        self._attend(talk)
        self._show(talk, moment)

    def _play(self, id: UUID) -> None:
        sound = self._notes.sound(id)
        if sound is None:
            self._view.note("Its recording is gone.")
        else:
            self._speaker.play(sound)

    def _called(self, heard: Heard) -> None:
        """The call word alone opens ears that were told to listen to nothing."""
        if self._ears is not None and heard.reason == CALLED:
            self._ears.only_called = False

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
            self.say(talk.respond(Help(), moment, sayable(self._table, talk.situations)))

    def _let_time_pass(self, talk: Talk, moment: Moment) -> None:
        if self._ticked is not None and self._ticked.milliseconds_until(moment) < TICK_MS:
            return
        self._ticked = moment
        if self._doubted is not None and self._doubted[1].milliseconds_until(moment) > DOUBT_LAPSES_MS:
            self._doubted = None
            self._speaker.signal("lapsed")
        self.say(talk.tick(moment))
        self.say(self._idle.due(talk.current, moment))
        self._attend(talk)
        self._show(talk, moment)
        self._tell_trouble()

    def _tell_trouble(self) -> None:
        """Why nothing is heard of the bench, on the screen, once; the job goes on by it."""
        trouble, self._trouble = self._trouble, self._speaker.status
        if self._trouble and self._trouble != trouble:
            self._view.note(f"No sound: {self._trouble}.")

    def _show_listening(self) -> None:
        """The sign that tells whether it listens, when that changes."""
        sign = self._listening if self._ears is None else self._how_it_listens(self._ears)
        sign = self._notes.sign if self._notes.running else sign
        if sign != self._sign:
            self._sign = sign
            self._view.listens(sign)

    def _how_it_listens(self, ears: Ears) -> str:
        if ears.open_for != "anything":
            return "listening to you"
        if ears.only_called:
            return f'not listening; press a key, or say "{self._table.call_word}"'
        if self._deaf_while_speaking and self._speaker.speaking:
            return "deaf while speaking; a key stops it"
        return self._listening

    def _attend(self, talk: Talk) -> None:
        """Let the ears know what counts now."""
        if self._ears is not None:
            noted: frozenset[Situation] = frozenset({"memo"}) if self._notes.running else talk.situations
            self._ears.situations = frozenset({"question"}) if self._doubted else noted

    def _show(self, talk: Talk, moment: Moment) -> None:
        if talk.current is not None:
            self._view.state(talk.current, moment)
