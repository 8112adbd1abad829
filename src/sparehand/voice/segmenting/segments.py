"""The stream cut into utterances: where speech of the talker begins, where it pauses, where it ends."""

from __future__ import annotations

from collections import deque
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from sparehand.voice.segmenting.activity import VoiceActivity
from sparehand.voice.sound.blocks import BLOCK_SAMPLES
from sparehand.voice.sound.samples import SAMPLE_RATE, SoundBlock, Utterance

BLOCK_SECONDS = BLOCK_SAMPLES / SAMPLE_RATE
STARTS_AT = 0.5
GOES_ON_AT = 0.35
"""Probabilities of speech from which a block counts, outside and inside an utterance."""
OPENING_BLOCKS = 2
PRE_ROLL_BLOCKS = round(0.3 / BLOCK_SECONDS)
PAUSE_SECONDS = 0.4
"""Quiet after which a plain phrase is decided."""
END_SECONDS = 0.7
"""Quiet after which an utterance is over, whatever it was."""
LEVEL_WINDOW_DB = 8.0
FAR_BELOW_DB = 12.0
"""Speech so far below the talker is somebody else's, a radio's say, and no part of an utterance that it began."""
ONSET_GAP_BLOCKS = 3
"""So few quiet blocks do not part an onset from what follows."""
LEVEL_FALL_DB_A_SECOND = 0.2
LEVEL_BLOCKS = 5
LONGEST_QUIET_SECONDS = 5.0
"""Quiet before an utterance counts up to this; so much is taken to lie before the stream."""
RECENT_SPEECH_SECONDS = 8.0
"""How far before an utterance it is looked for talk of the same person that was not meant for the bench."""
HISTORY_BLOCKS = round(14.0 / BLOCK_SECONDS)
"""The longest utterance there can be, and what was before it."""


@dataclass(frozen=True)
class Pause:
    """An utterance so far; `over` when no more of it will come, `changed` if it grew since the last pause."""

    utterance: Utterance
    over: bool
    changed: bool


class TalkerLevel:
    """How loud the person at the bench is: the median of the last speech blocks, its peak held and slowly falling.

    What is much quieter is a radio, or somebody across the shop.
    """

    def __init__(self) -> None:
        self._recent: deque[float] = deque(maxlen=LEVEL_BLOCKS)
        self._held = -200.0

    def near(self, level_db: float, window_db: float = LEVEL_WINDOW_DB) -> bool:
        """Whether a block of that level can be the talker's."""
        return level_db >= self._held - window_db

    def pass_time(self, seconds: float) -> None:
        """Forget a little."""
        self._held -= LEVEL_FALL_DB_A_SECOND * seconds

    def learn(self, level_db: float) -> None:
        """Take in a block of speech."""
        self._recent.append(level_db)
        if len(self._recent) == LEVEL_BLOCKS:
            self._held = max(self._held, float(np.median(self._recent)))


@dataclass(frozen=True)
class _Judged:
    """A block; `talk` marks speech of the talker that is no single block alone, which may be a click.

    `voiced` marks anybody's speech.
    """

    block: SoundBlock
    level_db: float
    voiced: bool
    speech: bool
    talk: bool


class Segmenter:
    """Finds utterances in a stream of blocks. Speech longer than `longest_seconds` is ignored until quiet.

    What turns out to lie far below the talker began no utterance: where a radio has opened one, the talker's first loud
    word opens it anew.
    """

    def __init__(self, activity: VoiceActivity, longest_seconds: float) -> None:
        self._activity = activity
        self._longest_seconds = longest_seconds
        self._level = TalkerLevel()
        self._recent: deque[_Judged] = deque(maxlen=HISTORY_BLOCKS)
        self._taken_at = 0.0
        self._run = 0
        self._open: _Open | None = None

    @property
    def speech_now(self) -> bool:
        """Whether the block heard last holds speech of the talker."""
        return bool(self._recent) and self._recent[-1].speech

    def hear(self, block: SoundBlock) -> Pause | None:
        """Take in a block; gives a pause where the utterance came to one with it."""
        judged = self._judged(block)
        self._recent.append(judged)
        if self._open is None:
            if self._run >= OPENING_BLOCKS:
                self._open = self._begin()
            return None
        if not self._level.near(self._open.opening_db, FAR_BELOW_DB):
            self._open = self._begin()
            return None
        return self._go_on(self._open, judged)

    def finish(self) -> Pause | None:
        """The utterance that the end of the stream cuts off, if there is one."""
        current, self._open = self._open, None
        if current is None or current.ignored:
            return None
        return self._pause(current, over=True)

    def take(self) -> None:
        """The present utterance was acted on: what follows is another."""
        self._open = None
        self._run = 0
        if self._recent:
            self._taken_at = self._recent[-1].block.end_seconds

    def _judged(self, block: SoundBlock) -> _Judged:
        level_db = 10 * float(np.log10(np.mean(np.square(block.samples, dtype=np.float64)) + 1e-12))
        probability = self._activity.probability(block.samples)
        self._level.pass_time(BLOCK_SECONDS)
        speech = probability >= (GOES_ON_AT if self._open else STARTS_AT) and self._level.near(level_db)
        if speech:
            self._level.learn(level_db)
        self._run = self._run + 1 if speech else 0
        talk = speech and (self._open is not None or self._run >= OPENING_BLOCKS)
        return _Judged(block, level_db, probability >= STARTS_AT, speech, talk)

    def _begin(self) -> _Open:
        """The utterance of which the present block is a part: from its onset, with what was just before it."""
        judged = list(self._recent)
        first = next((at for at, one in enumerate(judged) if one.block.start_seconds >= self._taken_at), 0)
        spoken = [at for at, one in enumerate(judged) if one.speech and self._near(one)]
        onset = spoken.pop()
        while spoken and spoken[-1] >= max(first, onset - ONSET_GAP_BLOCKS):
            onset = spoken.pop()
        before = judged[max(first, onset - PRE_ROLL_BLOCKS) : onset]
        return _Open([one.block for one in before], judged[onset:])

    def _go_on(self, current: _Open, judged: _Judged) -> Pause | None:
        current.add(judged)
        now = judged.block.end_seconds
        if judged.speech and now - current.onset > self._longest_seconds:
            current.ignore()
        quiet = now - current.last_speech_end
        over = quiet >= END_SECONDS
        if over:
            self._open = None
        if current.ignored or not (over or (quiet >= PAUSE_SECONDS and current.told != current.speech_seconds)):
            return None
        return self._pause(current, over)

    def _pause(self, current: _Open, over: bool) -> Pause:
        utterance = current.utterance(self._quiet_before(current.onset), self._recent_speech_before(current.onset))
        changed, current.told = current.told != current.speech_seconds, current.speech_seconds
        return Pause(utterance, over, changed)

    def _quiet_before(self, onset: float) -> float:
        """Judged only now, when the talker's level is known: what is far below it is no talk before an utterance."""
        ends = (one.block.end_seconds for one in self._recent if one.talk and self._near(one))
        last = max((end for end in ends if end <= onset), default=onset - LONGEST_QUIET_SECONDS)
        return min(onset - last, LONGEST_QUIET_SECONDS)

    def _recent_speech_before(self, onset: float) -> float:
        """The share of RECENT_SPEECH_SECONDS before that held the talker's speech, what was acted on left out."""
        since = max(self._taken_at, onset - RECENT_SPEECH_SECONDS)
        talk = sum(one.voiced and self._near(one) and since <= one.block.start_seconds < onset for one in self._recent)
        return talk * BLOCK_SECONDS / RECENT_SPEECH_SECONDS

    def _near(self, judged: _Judged) -> bool:
        return self._level.near(judged.level_db, FAR_BELOW_DB)


class _Open:
    """An utterance that is still going on."""

    def __init__(self, before: list[SoundBlock], begun: Sequence[_Judged]) -> None:
        self.onset = begun[0].block.start_seconds
        self.opening_db = max(judged.level_db for judged in begun)
        self.last_speech_end = self.onset
        self.speech_seconds = 0.0
        self.told = 0.0
        self.ignored = False
        self._blocks = before
        for judged in begun:
            self.add(judged)

    def add(self, judged: _Judged) -> None:
        if not self.ignored:
            self._blocks.append(judged.block)
        if judged.speech:
            self.last_speech_end = judged.block.end_seconds
            self.speech_seconds += BLOCK_SECONDS

    def ignore(self) -> None:
        self.ignored = True
        self._blocks.clear()

    def utterance(self, silence_before: float, recent_speech: float) -> Utterance:
        last = self._blocks[-1]
        return Utterance(
            samples=np.concatenate([block.samples for block in self._blocks]),
            start=self._blocks[0].start_seconds,
            end=self.last_speech_end,
            decided_at=last.end_seconds,
            speech_seconds=self.speech_seconds,
            silence_before=silence_before,
            silence_after=last.end_seconds - self.last_speech_end,
            recent_speech=recent_speech,
            moment=last.moment,
        )
