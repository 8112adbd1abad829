"""The loop that joins ears, job, mouth and screen. It decides nothing about the job itself."""

from __future__ import annotations

from collections.abc import Callable, Iterable

from sparehand.conversation.asking_back import AskingBack
from sparehand.conversation.idle_reminder import IdleReminder
from sparehand.conversation.input_stream import Incoming, KeyPress, PictureArrived, Report, TimePassed, TypedLine
from sparehand.conversation.intake import Intake
from sparehand.conversation.keys import Press
from sparehand.conversation.mouth import Mouth
from sparehand.conversation.note_recording import NoteTaker
from sparehand.conversation.phrase_hints import sayable
from sparehand.conversation.responder import Responder
from sparehand.conversation.saving import Saving
from sparehand.conversation.self_echo import TOO_SOON, SelfEcho
from sparehand.ground.clock import Moment
from sparehand.job.answer import Answer, plain
from sparehand.job.commands import Command, Help, NoteTaken, PictureCame, Quiet, TakePicture, Understood
from sparehand.job.events import By
from sparehand.job.obligations import open_warning
from sparehand.screens.job_view import JobView
from sparehand.voice.ears import Ears
from sparehand.voice.phrases.phrase_table import PhraseTable
from sparehand.voice.recognising.heard import Heard, typed_phrase
from sparehand.voice.sound.samples import SoundBlock
from sparehand.voice.speaking.speaker import Speaker

TICK_MS = 1_000
"""How often time is let pass on the job."""
NEAR_MISSES_BEFORE_HELP = 2
_UNREAD = Answer((plain("That warning was not read out to its end."), plain("Press repeat and listen.")), "refused")
_NO_PAGE = Answer((plain("Nobody has the bay page open."), plain("Open it, then say take a picture.")), "refused")


class Bench:
    """Hears, lets the responder respond, then speaks and shows. What is said was saved before by the responder."""

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
        asks_picture: Callable[[], bool] = lambda: False,
    ) -> None:
        """`listening` says on the screen how the ears listen when nothing else is to be said of them.

        After `idle_minutes` without a word it asks whether the work is on hold; 0 is never. `asks_picture` asks
        whoever has the page for a picture, and says whether anybody has it.
        """
        echo = SelfEcho()
        self._view = view
        self._notes = notes or NoteTaker()
        self._intake = Intake(table, ears, speaker, echo, deaf_while_speaking)
        self._mouth = Mouth(view, speaker, echo, self._notes.sound)
        self._asks_picture = asks_picture
        self._asking_back = AskingBack()
        self._saving = Saving()
        self._idle = IdleReminder(idle_minutes)
        self._listening = listening
        self._sign = ""
        self._ticked: Moment | None = None
        self._near_misses = 0
        self.phrases_heard = 0

    def run(self, responder: Responder, incoming: Iterable[Incoming]) -> None:
        """Hold the conversation until it is over or nothing more comes."""
        self._listen(responder)
        self._show_listening()
        moment = None
        for item in incoming:
            moment = item.moment
            self._take(responder, item)
            if responder.over:
                return
        if moment is not None:
            self._react_to_all(responder, self._intake.finish(), moment)
            if self._notes.running:
                self._settle_note(responder, self._notes.end(), moment)

    def learn(self, table: PhraseTable) -> None:
        """React to another phrase table from now on, as another procedure brings it."""
        self._intake.learn(table)

    def say(self, answer: Answer) -> None:
        """Show and speak an answer."""
        self._mouth.say(answer)

    def _take(self, responder: Responder, item: Incoming) -> None:
        match item:
            case SoundBlock():
                self._react_to_all(responder, self._intake.hear(item), item.moment)
                self._record(responder, item)
            case TypedLine():
                self._type(responder, item)
            case KeyPress(press=press, moment=moment):
                self._press(responder, press, moment)
            case PictureArrived(id=id, job=job, at=at, moment=moment):
                self._mouth.say(self._respond(responder, PictureCame(id, job, at), moment, "page"))
                self._show(responder, moment)
            case Report(text=text):
                self._mouth.tell(text)
            case TimePassed():
                pass
        self._let_time_pass(responder, item.moment)
        self._show_listening()

    def _type(self, responder: Responder, line: TypedLine) -> None:
        if self._notes.running:
            said = typed_phrase(self._intake.table, line.text, {"memo"}, line.moment)
            self._settle_note(responder, self._notes.said(said, line.text), line.moment)
        else:
            self._react(responder, self._intake.typed(line, responder.situations), line.moment)

    def _press(self, responder: Responder, press: Press, moment: Moment) -> None:
        """The key stops speech at once, ends a note, and opens the ears."""
        self._idle.stirred(moment)
        self._mouth.stop()
        if self._notes.running and press.how == "tapped":
            self._settle_note(responder, self._notes.end(), moment)
        else:
            self._react_to_all(responder, self._intake.press(press), moment)

    def _react_to_all(self, responder: Responder, phrases: Iterable[Heard], moment: Moment) -> None:
        for heard in phrases:
            self._react(responder, heard, moment)

    def _react(self, responder: Responder, heard: Heard, moment: Moment) -> None:
        self.phrases_heard += 1
        if self._notes.running:
            self._settle_note(responder, self._notes.said(heard), moment)
            return
        self._view.heard(heard)
        if not heard.accepted or heard.command is None:
            self._not_understood(responder, heard, moment)
            return
        self._near_misses = 0
        self._idle.stirred(moment)
        unread = isinstance(heard.command, Understood) and heard.source == "page" and self._unread(responder)
        self._mouth.stop()
        if unread:
            self._mouth.say(_UNREAD)
            return
        resolved = self._asking_back.resolve(heard.command, heard, moment)
        if isinstance(resolved, Answer):
            self._mouth.say(resolved)
        elif not isinstance(resolved, Quiet):
            self._carry_out(responder, resolved, moment, "page" if heard.source == "page" else None)
        self._show(responder, moment)
        self._mouth.prepare(responder.likely(moment))

    def _unread(self, responder: Responder) -> bool:
        """Whether the open warning was not read out to its end."""
        warning = open_warning(responder.current) if responder.current is not None else ""
        return bool(warning) and not self._mouth.has_read(warning)

    def _carry_out(self, responder: Responder, command: Command, moment: Moment, by: By | None = None) -> None:
        """The responder answers; each part takes from the command what concerns it, in any order."""
        answer = self._respond(responder, command, moment, by)
        if isinstance(command, TakePicture) and answer.tone != "refused" and not self._asks_picture():
            answer = _NO_PAGE
        self._mouth.say(answer, command)
        self._intake.obey(command)
        if answer.tone != "refused":
            self._notes.begin(command)

    def _respond(self, responder: Responder, command: Command, moment: Moment, by: By | None = None) -> Answer:
        phrases = sayable(self._intake.table, responder.situations, responder.current)
        return self._saving.respond(responder, command, moment, phrases, by)

    def _record(self, responder: Responder, block: SoundBlock) -> None:
        """Let a note that is being taken have the sound."""
        if self._intake.records and self._notes.hear(block, self._intake.speech_now):
            self._settle_note(responder, self._notes.end(), block.moment)

    def _settle_note(self, responder: Responder, outcome: NoteTaken | Answer | None, moment: Moment) -> None:
        """What became of a note: it goes on, or nothing of it is kept, or its sound is on the disk by now."""
        if outcome is None:
            return
        if isinstance(outcome, Answer):
            self._mouth.say(outcome)
        else:
            self._carry_out(responder, outcome, moment)
        self._show(responder, moment)

    def _not_understood(self, responder: Responder, heard: Heard, moment: Moment) -> None:
        """Talk and noise get nothing at all; a near miss gets a tone, and a second one what can be said.

        Not a second echo: what can be said would be its next one.
        """
        if not heard.near_miss:
            return
        self._near_misses += heard.reason != TOO_SOON
        self._mouth.signal("not understood")
        if self._near_misses >= NEAR_MISSES_BEFORE_HELP:
            self._near_misses = 0
            self._mouth.say(self._respond(responder, Help(), moment))

    def _let_time_pass(self, responder: Responder, moment: Moment) -> None:
        if self._ticked is not None and self._ticked.milliseconds_until(moment) < TICK_MS:
            return
        self._ticked = moment
        if self._asking_back.lapses(moment):
            self._mouth.signal("lapsed")
        self._mouth.say(self._saving.tick(responder, moment))
        self._mouth.say(self._idle.due(responder.current, moment))
        self._show(responder, moment)
        self._mouth.show_trouble()

    def _show(self, responder: Responder, moment: Moment) -> None:
        """What counts as said changes with the job; the screen shows how it stands."""
        self._listen(responder)
        if responder.current is not None:
            self._view.state(responder.current, moment)

    def _listen(self, responder: Responder) -> None:
        """Let the ears know what counts as said now: a question first, then a note, then the job."""
        if self._asking_back.waiting:
            self._intake.listen_for(frozenset({"question"}))
        else:
            self._intake.listen_for(frozenset({"memo"}) if self._notes.running else responder.situations)

    def _show_listening(self) -> None:
        """The sign that says whether it listens, when that changes."""
        sign = self._notes.sign if self._notes.running else self._intake.sign(self._listening)
        if sign != self._sign:
            self._sign = sign
            self._view.listens(sign)
