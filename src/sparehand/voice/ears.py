"""The ears: blocks of sound in, phrases and commands out, each accepted or with the reason why not."""

from __future__ import annotations

from collections import deque
from collections.abc import Collection
from dataclasses import replace
from typing import Literal

import numpy as np

from sparehand.ground.errors import InputError
from sparehand.job.situation import SITUATIONS, Situation
from sparehand.voice.phrases.phrase_table import PhraseTable
from sparehand.voice.recognising.asking_back import among_talk, asks_back, least_unasked
from sparehand.voice.recognising.din import in_din
from sparehand.voice.recognising.heard import Heard
from sparehand.voice.recognising.near_misses import near_miss
from sparehand.voice.recognising.recogniser import Recogniser, Recognition
from sparehand.voice.recognising.rejection import (
    NOT_SURE,
    SENSITIVITIES,
    Listening,
    Sensitivity,
    SensitivityName,
    crowded,
    number_kind,
    refusal,
)
from sparehand.voice.recognising.talkers import Talkers
from sparehand.voice.segmenting.activity import SileroActivity, VoiceActivity
from sparehand.voice.segmenting.segments import END_SECONDS, Pause, Segmenter
from sparehand.voice.sound.blocks import BLOCK_SECONDS
from sparehand.voice.sound.clean_sound import CleanSound
from sparehand.voice.sound.level import above_steady_noise_db, block_levels, loudest_db
from sparehand.voice.sound.samples import Phrase, SoundBlock, Utterance

LONGEST_SECONDS: dict[Listening, float] = {"always": 4.0, "call": 6.0, "key": 6.0}
ATTENTIVE_SECONDS = 5.0
"""How long the ears stay open for a command after the call word alone, or after a tap of the key."""
LONGEST_KEY_SECONDS = 10.0
HISTORY_SECONDS = 1.5
"""How much of the sound just heard stays in memory, for a key that turns out to be held."""


class Ears:
    """Hears one stream. `situations` says what counts now; change it whenever that changes.

    `listen` is "always", "call" (only what follows the call word) or "key" (only while a key is held, or after a tap).
    A key works in every setting. `only_called` makes the call word necessary, whatever the setting; `bench_speaks` says
    whether its own voice can be in the sound. `after_quiet`: whether quiet is taken to lie before the stream, as before
    a file; a microphone opens in the middle of whatever a radio says.
    """

    def __init__(
        self,
        recogniser: Recogniser,
        table: PhraseTable,
        *,
        listen: Listening,
        sensitivity: SensitivityName = "normal",
        situations: Collection[Situation] = SITUATIONS,
        activity: VoiceActivity | None = None,
        after_quiet: bool = True,
    ) -> None:
        """Prepares the recogniser. Raises InputError for words that its vocabulary lacks."""
        self._recogniser = recogniser
        self._talkers = Talkers(recogniser)
        self.learn(table)
        self.situations: Collection[Situation] = situations
        self.only_called = False
        self.bench_speaks = False
        self._listen = listen
        self._sensitivity: Sensitivity = SENSITIVITIES[sensitivity]
        self._activity = activity or SileroActivity()
        self._clean = CleanSound() if recogniser.wants_filtered else None
        self._segmenter = Segmenter(
            self._activity, LONGEST_SECONDS[listen], filtered=self._clean is not None, after_quiet=after_quiet
        )
        self._now = 0.0
        self._bench_spoke_at = -1.0
        self._attentive_until = -1.0
        self._history: deque[tuple[SoundBlock, bool]] = deque(maxlen=round(HISTORY_SECONDS / BLOCK_SECONDS))
        self._held: list[tuple[SoundBlock, bool]] | None = None
        self._known: Recognition | None = None

    def learn(self, table: PhraseTable) -> None:
        """Listen for another phrase table from now on. Raises InputError for words that the vocabulary lacks.

        A fastener or part whose name holds such a word can only be asked for at the keyboard.
        """
        try:
            self._recogniser.prepare(table)
        except InputError:
            things = " ".join((*table.names.fasteners, *table.names.parts)).split()
            unknown = self._recogniser.unknown_words(things)
            if not unknown:
                raise
            table = table.with_names(table.names.without(unknown))
            self._recogniser.prepare(table)
        self._table = table

    def hear(self, block: SoundBlock) -> tuple[Heard, ...]:
        """Take in the next block; gives what was decided with it, mostly nothing."""
        self._now = block.end_seconds
        if self.bench_speaks:
            self._bench_spoke_at = self._now
        if self._clean is not None:
            block = self._clean.feed(block)
        pause = self._segmenter.hear(block, dictated=self._dictated, echo=self.bench_speaks)
        self._history.append((block, self._segmenter.speech_now))
        if self._held is not None:
            if len(self._held) * BLOCK_SECONDS < LONGEST_KEY_SECONDS:
                self._held.append(self._history[-1])
            return ()
        return self._decide(pause) if pause else ()

    def finish(self) -> tuple[Heard, ...]:
        """The stream has ended: what is decided of its last words."""
        if self._held is not None:
            return self.key_up()
        pause = self._segmenter.finish()
        return self._decide(pause) if pause else ()

    @property
    def open_for(self) -> Literal["anything", "a command", "the key held"]:
        """What the ears are open for: a command after a tap or the call word, all that is said while a key is held."""
        if self._held is not None:
            return "the key held"
        return "a command" if self._now < self._attentive_until else "anything"

    @property
    def _dictated(self) -> bool:
        """Whether what is said now is a memo, and so no talk to others."""
        return frozenset(self.situations) == {"memo"}

    @property
    def speech_now(self) -> bool:
        """Whether the block heard last is speech of the talker."""
        return self._segmenter.speech_now

    def key_tap(self) -> None:
        """A key was tapped: the next utterance counts, without call word."""
        self._attentive_until = self._now + ATTENTIVE_SECONDS

    def key_down(self, ago_seconds: float = 0.0) -> None:
        """A key is held, and has been for `ago_seconds`: everything until `key_up` is one utterance."""
        self._segmenter.take()
        since = self._history[-1][0].end_seconds - ago_seconds if self._history else 0.0
        self._held = [kept for kept in self._history if kept[0].end_seconds > since]

    def key_up(self) -> tuple[Heard, ...]:
        """The key is let go: what was said while it was held. Without a word, it was a tap."""
        held, self._held = self._held or [], None
        self._segmenter.take()
        if not any(speech for _, speech in held):
            self.key_tap()
            return ()
        self._attentive_until = -1.0
        blocks = [block for block, _ in held]
        utterance = Utterance(
            samples=np.concatenate([block.samples for block in blocks]),
            start=blocks[0].start_seconds,
            end=blocks[-1].end_seconds,
            decided_at=blocks[-1].end_seconds,
            speech_seconds=BLOCK_SECONDS * sum(speech for _, speech in held),
            silence_before=END_SECONDS,
            silence_after=END_SECONDS,
            moment=blocks[-1].moment,
        )
        return (self._judge(utterance, self._recognise(utterance, "key"), "key"),)

    def _decide(self, pause: Pause) -> tuple[Heard, ...]:
        attentive = pause.utterance.start <= self._attentive_until
        without_key: Listening = "call" if self.only_called else self._listen
        if without_key == "key" and not attentive:
            return ()
        listening: Listening = "key" if attentive else without_key
        # Who calls the bench, or taps its key, has stopped talking to others.
        utterance = replace(pause.utterance, recent_speech=0.0)
        if listening == "always":
            utterance = pause.utterance if self._dictated else self._talkers.in_turn(pause.utterance)
        if pause.changed or self._known is None:
            self._known = self._recognise(utterance, listening)
        if not pause.over and self._may_go_on(self._known):
            return ()
        heard = self._judge(utterance, self._known, listening)
        if not heard.accepted and not pause.over:
            return ()
        called_only = self._known.called and not self._known.text
        self._attentive_until = self._now + ATTENTIVE_SECONDS if called_only else -1.0
        self._known = None
        if heard.accepted:
            self._segmenter.take()
        elif utterance.start > self._bench_spoke_at and not self._dictated:
            self._talkers.unanswered(utterance)
        return (heard,)

    def _recognise(self, utterance: Utterance, listening: Listening) -> Recognition:
        if crowded(utterance, self._sensitivity, listening):
            return Recognition("")  # not worth decoding: it would not count
        return self._recogniser.recognise(utterance, self.situations, call_word=listening == "call")

    def _may_go_on(self, recognition: Recognition) -> bool:
        """Whether what was heard is no complete phrase yet, or one that may get longer."""
        matched = self._table.match(recognition.text, self.situations)
        return matched is None or matched[0].holds_number or self._table.may_go_on(recognition.text, self.situations)

    def _judge(self, utterance: Utterance, recognition: Recognition, listening: Listening) -> Heard:
        pattern, command = self._table.match(recognition.text, self.situations) or (None, None)
        sensitivity = self._sensitivity
        if listening == "always":
            talk = utterance.in_conversation or utterance.perhaps_in_conversation
            sensitivity = in_din(sensitivity, above_steady_noise_db(utterance.samples), among_talk=talk)
        reason = refusal(
            recognition,
            utterance,
            sensitivity,
            listening,
            number_kind=number_kind(pattern, recognition.text),
            among_talk=among_talk(pattern, sensitivity),
        )
        if reason is None and command is None:
            reason = "no phrase"
        if pattern is not None and recognition.confidence < least_unasked(pattern, self._sensitivity):
            reason = reason or NOT_SURE
        phrase = Phrase(
            text=recognition.text,
            start=recognition.words[0].start if recognition.words else utterance.start,
            end=utterance.end,
            decided_at=self._now,
            confidence=recognition.confidence,
            moment=utterance.moment,
            words=recognition.words,
        )
        return Heard(
            phrase,
            command,
            accepted=reason is None,
            reason=reason or "",
            near_miss=near_miss(reason, recognition, listening),
            asks_back=pattern is not None and asks_back(pattern, recognition.confidence, sensitivity, listening),
            decoy_margin=recognition.decoy_margin,
            silence_before=utterance.silence_before,
            silence_after=utterance.silence_after,
            speech_seconds=utterance.speech_seconds,
            level_db=loudest_db(block_levels(utterance.samples)),
        )
