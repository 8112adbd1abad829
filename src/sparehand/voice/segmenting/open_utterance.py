"""An utterance while it is still going on, block by block."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from sparehand.voice.segmenting.talker_level import WINDOW_DB
from sparehand.voice.sound.blocks import BLOCK_SECONDS
from sparehand.voice.sound.level import MEDIAN_BLOCKS, loudest_db
from sparehand.voice.sound.samples import SoundBlock, Utterance

PRE_ROLL_BLOCKS = round(0.3 / BLOCK_SECONDS)
PRE_ROLL_AMONG_TALK_BLOCKS = round(0.5 / BLOCK_SECONDS)
"""In babble more of a phrase lies before what stands out of it."""
ONSET_BLOCKS = round(0.3 / BLOCK_SECONDS)
"""A word may begin softly: as loud as its loudest block within this, the utterance opened."""


@dataclass(frozen=True)
class LabelledBlock:
    """A block and what it holds; `sustained` marks speech of the talker that is no single block, which may be a click.

    `voiced` marks anybody's speech that is not dictated.
    """

    block: SoundBlock
    level_db: float
    voiced: bool
    speech: bool
    sustained: bool


class OpenUtterance:
    """The blocks from shortly `before` the onset on. Times in stream seconds, levels in decibels of full scale."""

    def __init__(
        self, before: Sequence[LabelledBlock], begun: Sequence[LabelledBlock], pre_roll_blocks: int = PRE_ROLL_BLOCKS
    ) -> None:
        self.onset = begun[0].block.start_seconds
        self.opening_db = -np.inf
        self.last_speech_end = self.onset
        self.speech_seconds = 0.0
        self.reported_speech_seconds = 0.0
        self.ignored = False
        self._pre_roll_blocks = pre_roll_blocks
        self._blocks = list(before)
        self._since_onset = 0
        for labelled in begun:
            self.add(labelled)

    @property
    def count(self) -> int:
        """How many blocks there are since the onset."""
        return self._since_onset

    def add(self, labelled: LabelledBlock) -> None:
        """One more block."""
        self._since_onset += 1
        if not self.ignored:
            self._blocks.append(labelled)
        if labelled.speech:
            self.last_speech_end = labelled.block.end_seconds
            self.speech_seconds += BLOCK_SECONDS
            if self._since_onset <= ONSET_BLOCKS:
                self.opening_db = max(self.opening_db, labelled.level_db)

    def ignore(self) -> None:
        """It is too long to be a command: forget its sound."""
        self.ignored = True
        self._blocks.clear()

    def utterance(self, silence_before: float, recent_speech: float, recent_turns: int) -> Utterance:
        """What can be recognised of it so far: its sound from shortly before its first loud block."""
        blocks = [labelled.block for labelled in self._blocks[self._first() :]]
        return Utterance(
            samples=np.concatenate([block.samples for block in blocks]),
            start=blocks[0].start_seconds,
            end=self.last_speech_end,
            decided_at=blocks[-1].end_seconds,
            speech_seconds=self.speech_seconds,
            silence_before=silence_before,
            silence_after=blocks[-1].end_seconds - self.last_speech_end,
            recent_speech=recent_speech,
            recent_turns=recent_turns,
            moment=blocks[-1].moment,
        )

    def _first(self) -> int:
        """Where its sound begins: long quiet before the words costs the recogniser's confidence."""
        levels = np.array([labelled.level_db for labelled in self._blocks])
        speech = [labelled.level_db for labelled in self._blocks if labelled.speech]
        if len(speech) < MEDIAN_BLOCKS:
            return 0
        loud = np.flatnonzero(levels >= loudest_db(speech) - WINDOW_DB)
        return max(0, int(loud[0]) - self._pre_roll_blocks)
