"""How loud the person at the bench is, and what is too quiet to be that person."""

from __future__ import annotations

from collections import deque

import numpy as np

from sparehand.voice.sound.blocks import BLOCK_SECONDS
from sparehand.voice.sound.level import MEDIAN_BLOCKS

WINDOW_DB = 8.0
"""Speech so far below the talker's level can be the talker's."""
FAR_BELOW_DB = 12.0
"""Speech so far below the talker is somebody else's, a radio's say, and no part of an utterance that it began."""
NO_SPEECH_DB = -200.0
FALL_DB_A_SECOND = 0.2
BACKGROUND_BLOCKS = round(10.0 / BLOCK_SECONDS)
LEAST_BACKGROUND_BLOCKS = round(1.0 / BLOCK_SECONDS)
BACKGROUND_PERCENTILE = 70
ABOVE_BACKGROUND_DB = 20.0
"""Between utterances the level falls to so much above the speech in the background: where nobody else speaks, a soft
phrase opens an utterance. Noise without speech does not count: the voice activity model tells it from the talker.

With tuning voices the optimum is flat: percentiles 60 to 80, 16 to 24 dB, 5 to 20 s.
"""
PEAKS_PERCENTILE = 95
ABOVE_PEAKS_DB = 2.0
"""Between utterances it also falls so far that what is louder than nearly all of the background opens an utterance. The
babble of several people is steady: a phrase far softer than the talker's usual still stands out of it.
"""
LOW_PERCENTILE = 30
ABOVE_LOW_DB = 10.0
"""Nothing less above the softer part of a background that goes on is the talker, so that an utterance ends where that
is heard again. Commands that were missed lie in the background, too, but hardly change its softer part; a radio pauses,
and one person's talk, so that for these it is far below the talker.
"""


class TalkerLevel:
    """The median of the last blocks of speech, its peak held and slowly falling; in decibels of full scale.

    What is much quieter is a radio, or somebody across the shop. Without `among_talk` a background that goes on is
    taken for noise, from which this does not tell the talker.
    """

    def __init__(self, *, among_talk: bool = True) -> None:
        self._among_talk = among_talk
        self._speech: deque[float] = deque(maxlen=MEDIAN_BLOCKS)
        self._background: deque[float] = deque(maxlen=BACKGROUND_BLOCKS)
        self._held = self._peak = self._floor = NO_SPEECH_DB
        self._echo = False

    @property
    def talk_goes_on(self) -> bool:
        """Whether others talk in the background nearly all the time."""
        return self._floor > NO_SPEECH_DB + ABOVE_LOW_DB

    def near(self, level_db: float, window_db: float = WINDOW_DB) -> bool:
        """Whether a block of that level can be the talker's."""
        least = (self._peak if self._echo else self._held) - window_db
        return level_db >= max(least, self._floor)

    def pass_block(self, level_db: float, *, voiced: bool, idle: bool, echo: bool) -> None:
        """Take in that a block went by; `voiced` where it holds anybody's speech, `idle` outside utterances.

        What is too long to be a command is no utterance, but background.
        In the `echo` of the bench's own voice the level stays as high as the talker ever was.
        """
        self._echo = echo
        self._background.append(level_db if voiced else NO_SPEECH_DB)
        self._held -= FALL_DB_A_SECOND * BLOCK_SECONDS
        self._peak -= FALL_DB_A_SECOND * BLOCK_SECONDS
        if idle and len(self._background) >= LEAST_BACKGROUND_BLOCKS:
            self._follow_background()

    def _follow_background(self) -> None:
        low, usual, peaks = np.percentile(self._background, (LOW_PERCENTILE, BACKGROUND_PERCENTILE, PEAKS_PERCENTILE))
        if self._among_talk:
            self._floor = min(low + ABOVE_LOW_DB, peaks + ABOVE_PEAKS_DB)
            self._held = min(self._held, peaks + ABOVE_PEAKS_DB + WINDOW_DB)
        self._held = min(self._held, usual + ABOVE_BACKGROUND_DB)

    def learn(self, level_db: float) -> None:
        """Take in a block of speech."""
        self._speech.append(level_db)
        if len(self._speech) == MEDIAN_BLOCKS:
            level = float(np.median(self._speech))
            self._held, self._peak = max(self._held, level), max(self._peak, level)

    def end_utterance(self) -> None:
        """The next speech block begins another utterance, perhaps a softer one."""
        self._speech.clear()

    def leave_out(self, blocks: int) -> None:
        """The last `blocks` were a command, which is no background."""
        for _ in range(min(blocks, len(self._background))):
            self._background.pop()
