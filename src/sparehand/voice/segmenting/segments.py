"""The stream cut into utterances: where speech of the talker begins, where it pauses, where it ends."""

from __future__ import annotations

from collections import deque
from dataclasses import dataclass

import numpy as np

from sparehand.voice.segmenting.activity import VoiceActivity
from sparehand.voice.segmenting.open_utterance import (
    PRE_ROLL_AMONG_TALK_BLOCKS,
    PRE_ROLL_BLOCKS,
    LabelledBlock,
    OpenUtterance,
)
from sparehand.voice.segmenting.talker_level import FAR_BELOW_DB, TalkerLevel
from sparehand.voice.sound.blocks import BLOCK_SECONDS
from sparehand.voice.sound.samples import SoundBlock, Utterance

STARTS_AT = 0.5
GOES_ON_AT = 0.35
"""Probabilities of speech from which a block counts, outside and inside an utterance."""
OPENING_BLOCKS = 2
PAUSE_SECONDS = 0.4
"""Quiet after which a plain phrase is decided."""
END_SECONDS = 0.7
"""Quiet after which an utterance is over, whatever it was."""
ONSET_GAP_BLOCKS = 3
"""So few quiet blocks do not part an onset from what follows."""
LONGEST_QUIET_SECONDS = 5.0
"""Quiet before an utterance counts up to this."""
RECENT_SPEECH_SECONDS = 8.0
"""How far before an utterance it is looked for talk of the same person that was not meant for the bench."""
_MOST_ACTED_ON = 16
HISTORY_BLOCKS = round(14.0 / BLOCK_SECONDS)
"""The longest utterance there can be, and what was before it."""


@dataclass(frozen=True)
class Pause:
    """An utterance so far; `over` when no more of it will come, `changed` if it grew since the last pause."""

    utterance: Utterance
    over: bool
    changed: bool


class Segmenter:
    """Finds utterances in a stream of blocks. Speech longer than `longest_seconds` is ignored until quiet.

    What turns out to lie far below the talker began no utterance: where a radio has opened one, the talker's first loud
    word opens it anew. In sound that is not `filtered`, noise is taken for speech too often to be told from it.
    """

    def __init__(
        self, activity: VoiceActivity, longest_seconds: float, *, filtered: bool = True, after_quiet: bool = True
    ) -> None:
        """`after_quiet`: whether quiet is taken to lie before the stream; else only quiet that was heard counts."""
        self._activity = activity
        self._filtered = filtered
        self._after_quiet = after_quiet
        self._longest_seconds = longest_seconds
        self._level = TalkerLevel(among_talk=filtered)
        self._recent: deque[LabelledBlock] = deque(maxlen=HISTORY_BLOCKS)
        self._taken_at = 0.0
        self._run = 0
        self._open: OpenUtterance | None = None
        self._reported: OpenUtterance | None = None
        self._acted_on: deque[tuple[float, float]] = deque(maxlen=_MOST_ACTED_ON)
        self._unanswered: deque[float] = deque(maxlen=_MOST_ACTED_ON)

    @property
    def speech_now(self) -> bool:
        """Whether the block heard last holds speech of the talker."""
        return bool(self._recent) and self._recent[-1].speech

    def hear(self, block: SoundBlock, *, dictated: bool = False, echo: bool = False) -> Pause | None:
        """Take in a block; gives a pause where the utterance came to one with it.

        What is `dictated` to the bench, as a note, is no talk to others; `echo` marks sound in which it speaks itself.
        """
        labelled = self._labelled(block, dictated, echo)
        self._recent.append(labelled)
        if self._open is None:
            if self._run >= OPENING_BLOCKS:
                self._open = self._begin()
            return None
        if not self._level.near(self._open.opening_db, FAR_BELOW_DB):
            self._open = self._begin()
            return None
        return self._go_on(self._open, labelled)

    def finish(self) -> Pause | None:
        """The utterance that the end of the stream cuts off, if there is one."""
        current, self._open = self._open, None
        if current is None or current.ignored:
            return None
        return self._pause(current, over=True)

    def take(self) -> None:
        """The present utterance was acted on: what follows is another."""
        if self._recent:
            self._taken_at = self._recent[-1].block.end_seconds
        if self._reported is not None:
            self._level.leave_out(self._reported.count)
            self._acted_on.append((self._reported.onset, self._taken_at))
            if self._unanswered and self._unanswered[-1] == self._reported.onset:
                self._unanswered.pop()
        self._reported = None
        self._close()
        self._run = 0

    def _close(self) -> None:
        self._open = None
        self._level.end_utterance()

    def _labelled(self, block: SoundBlock, dictated: bool, echo: bool) -> LabelledBlock:
        level_db = 10 * float(np.log10(np.mean(np.square(block.samples, dtype=np.float64)) + 1e-12))
        probability = self._activity.probability(block.samples)
        voiced = probability >= STARTS_AT and not dictated
        idle = self._open is None or self._open.ignored
        self._level.pass_block(level_db, voiced=voiced or not self._filtered, idle=idle, echo=echo)
        speech = probability >= (GOES_ON_AT if self._open else STARTS_AT) and self._level.near(level_db)
        if speech:
            self._level.learn(level_db)
        self._run = self._run + 1 if speech else 0
        sustained = speech and (self._open is not None or self._run >= OPENING_BLOCKS)
        return LabelledBlock(block, level_db, voiced, speech, sustained)

    def _begin(self) -> OpenUtterance | None:
        """The utterance of which the present block is a part: from its onset, with what was just before it.

        None where all speech of late turns out to be background.
        """
        labelled = list(self._recent)
        first = next((at for at, one in enumerate(labelled) if one.block.start_seconds >= self._taken_at), 0)
        spoken = [at for at, one in enumerate(labelled) if one.speech and self._near(one)]
        if not spoken:
            self._level.end_utterance()
            return None
        onset = spoken.pop()
        while spoken and spoken[-1] >= max(first, onset - ONSET_GAP_BLOCKS):
            onset = spoken.pop()
        pre_roll = PRE_ROLL_AMONG_TALK_BLOCKS if self._level.talk_goes_on else PRE_ROLL_BLOCKS
        return OpenUtterance(labelled[max(first, onset - pre_roll) : onset], labelled[onset:], pre_roll)

    def _go_on(self, current: OpenUtterance, labelled: LabelledBlock) -> Pause | None:
        current.add(labelled)
        now = labelled.block.end_seconds
        if labelled.speech and now - current.onset > self._longest_seconds:
            current.ignore()
        quiet = now - current.last_speech_end
        over = quiet >= END_SECONDS
        paused = over or (quiet >= PAUSE_SECONDS and current.reported_speech_seconds != current.speech_seconds)
        pause = self._pause(current, over) if paused and not current.ignored else None
        if over:
            self._unanswered.append(current.onset)
            self._close()
        return pause

    def _pause(self, current: OpenUtterance, over: bool) -> Pause:
        onset = current.onset
        turns = sum(onset - RECENT_SPEECH_SECONDS <= at < onset for at in self._unanswered)
        utterance = current.utterance(self._quiet_before(onset), self._recent_speech_before(onset), turns)
        changed = current.reported_speech_seconds != current.speech_seconds
        current.reported_speech_seconds = current.speech_seconds
        self._reported = current
        return Pause(utterance, over, changed)

    def _quiet_before(self, onset: float) -> float:
        """Judged only now, when the talker's level is known: what is far below it is no talk before an utterance."""
        ends = (one.block.end_seconds for one in self._recent if one.sustained and self._near(one))
        heard_from = onset - LONGEST_QUIET_SECONDS if self._after_quiet else self._recent[0].block.start_seconds
        last = max((end for end in ends if end <= onset), default=heard_from)
        return min(onset - last, LONGEST_QUIET_SECONDS)

    def _recent_speech_before(self, onset: float) -> float:
        """The share of RECENT_SPEECH_SECONDS before that held the talker's speech, what was acted on left out."""
        before = (
            one.block.start_seconds
            for one in self._recent
            if one.voiced and self._near(one) and onset - RECENT_SPEECH_SECONDS <= one.block.start_seconds < onset
        )
        talk = sum(not any(start <= at < end for start, end in self._acted_on) for at in before)
        return talk * BLOCK_SECONDS / RECENT_SPEECH_SECONDS

    def _near(self, labelled: LabelledBlock) -> bool:
        return self._level.near(labelled.level_db, FAR_BELOW_DB)
