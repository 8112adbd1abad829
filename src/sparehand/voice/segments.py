"""The stream cut into utterances: where speech of the talker begins, where it pauses, where it ends."""

from __future__ import annotations

from collections import deque
from dataclasses import dataclass

import numpy as np

from sparehand.voice.activity import VoiceActivity
from sparehand.voice.blocks import BLOCK_SAMPLES
from sparehand.voice.sound import SAMPLE_RATE, Samples, SoundBlock, Utterance

BLOCK_SECONDS = BLOCK_SAMPLES / SAMPLE_RATE
STARTS_AT = 0.5
GOES_ON_AT = 0.35
"""Probabilities of speech from which a block counts, outside and inside an utterance."""
OPENING_BLOCKS = 2
PRE_ROLL_SECONDS = 0.3
PAUSE_SECONDS = 0.4
"""Quiet after which a plain phrase is decided."""
END_SECONDS = 0.7
"""Quiet after which an utterance is over, whatever it was."""
LEVEL_WINDOW_DB = 8.0
LEVEL_FALL_DB_A_SECOND = 0.2
LEVEL_BLOCKS = 5
QUIET_BEFORE_THE_STREAM = 5.0


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

    def near(self, level_db: float) -> bool:
        """Whether a block of that level can be the talker's."""
        return level_db >= self._held - LEVEL_WINDOW_DB

    def pass_time(self, seconds: float) -> None:
        """Forget a little."""
        self._held -= LEVEL_FALL_DB_A_SECOND * seconds

    def learn(self, level_db: float) -> None:
        """Take in a block of speech."""
        self._recent.append(level_db)
        if len(self._recent) == LEVEL_BLOCKS:
            self._held = max(self._held, float(np.median(self._recent)))


class Segmenter:
    """Finds utterances in a stream of blocks. Speech longer than `longest_seconds` is ignored until quiet."""

    def __init__(self, activity: VoiceActivity, longest_seconds: float) -> None:
        self._activity = activity
        self._longest_seconds = longest_seconds
        self._level = TalkerLevel()
        self._pre_roll: deque[SoundBlock] = deque(maxlen=round(PRE_ROLL_SECONDS / BLOCK_SECONDS) + OPENING_BLOCKS)
        self._last_speech_end = -QUIET_BEFORE_THE_STREAM
        self._run = 0
        self._open: _Open | None = None
        self.speech_now = False

    def hear(self, block: SoundBlock) -> Pause | None:
        """Take in a block; gives a pause where the utterance came to one with it."""
        self.speech_now = self._is_speech(block.samples)
        if self._open is None:
            self._wait(block)
            return None
        return self._go_on(self._open, block)

    def finish(self) -> Pause | None:
        """The utterance that the end of the stream cuts off, if there is one."""
        current, self._open = self._open, None
        if current is None or current.ignored:
            return None
        return Pause(current.utterance(), over=True, changed=current.speech_seconds != current.told)

    def take(self) -> None:
        """The present utterance was acted on: what follows is another."""
        self._open = None
        self._run = 0
        self._pre_roll.clear()

    def _is_speech(self, samples: Samples) -> bool:
        level_db = 10 * float(np.log10(np.mean(np.square(samples, dtype=np.float64)) + 1e-12))
        probability = self._activity.probability(samples)
        self._level.pass_time(BLOCK_SECONDS)
        if probability < (GOES_ON_AT if self._open else STARTS_AT) or not self._level.near(level_db):
            return False
        self._level.learn(level_db)
        return True

    def _wait(self, block: SoundBlock) -> None:
        self._pre_roll.append(block)
        self._run = self._run + 1 if self.speech_now else 0
        if self._run < OPENING_BLOCKS:
            return
        onset = block.end_seconds - OPENING_BLOCKS * BLOCK_SECONDS
        self._open = _Open(list(self._pre_roll), onset, onset - self._last_speech_end)
        self._last_speech_end = block.end_seconds
        self._pre_roll.clear()
        self._run = 0

    def _go_on(self, current: _Open, block: SoundBlock) -> Pause | None:
        current.add(block, self.speech_now)
        if self.speech_now:
            self._last_speech_end = block.end_seconds
            if block.end_seconds - current.onset > self._longest_seconds:
                current.ignore()
        quiet = block.end_seconds - current.last_speech_end
        over = quiet >= END_SECONDS
        if over:
            self._open = None
        if current.ignored or not (over or (quiet >= PAUSE_SECONDS and current.told != current.speech_seconds)):
            return None
        pause = Pause(current.utterance(), over, changed=current.told != current.speech_seconds)
        current.told = current.speech_seconds
        return pause


class _Open:
    """An utterance that is still going on."""

    def __init__(self, blocks: list[SoundBlock], onset: float, silence_before: float) -> None:
        self.onset = onset
        self.last_speech_end = blocks[-1].end_seconds
        self.speech_seconds = OPENING_BLOCKS * BLOCK_SECONDS
        self.told = 0.0
        self.ignored = False
        self._silence_before = silence_before
        self._blocks = blocks

    def add(self, block: SoundBlock, speech: bool) -> None:
        if not self.ignored:
            self._blocks.append(block)
        if speech:
            self.last_speech_end = block.end_seconds
            self.speech_seconds += BLOCK_SECONDS

    def ignore(self) -> None:
        self.ignored = True
        self._blocks.clear()

    def utterance(self) -> Utterance:
        last = self._blocks[-1]
        return Utterance(
            samples=np.concatenate([block.samples for block in self._blocks]),
            start=self._blocks[0].start_seconds,
            end=self.last_speech_end,
            decided_at=last.end_seconds,
            speech_seconds=self.speech_seconds,
            silence_before=self._silence_before,
            silence_after=last.end_seconds - self.last_speech_end,
            moment=last.moment,
        )
