"""A long stream of utterances in noise, what the ears made of it, and how the two compare."""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from types import MappingProxyType
from typing import Protocol

import numpy as np

from bench.hearing.noises import Noise, in_a_room, mixed
from sparehand.ground.clock import start_of_run
from sparehand.job.commands import Command, Reading
from sparehand.job.situation import SITUATIONS, Situation
from sparehand.voice.ears import Ears
from sparehand.voice.phrases.phrase_table import PhraseTable
from sparehand.voice.recognising.heard import Heard
from sparehand.voice.sound.blocks import BLOCK_SAMPLES
from sparehand.voice.sound.samples import SAMPLE_RATE, Samples, SoundBlock

LEAD_SECONDS = 3.0
GAPS_SECONDS = (1.1, 1.5)
"""The quiet that a person leaves between commands."""
NOTHING_ELSE: Mapping[str, str] = MappingProxyType({})
USUAL_LOUDNESS_SD_DB = 4.0
"""How much people's loudness varies from phrase to phrase."""
MOST_DEVIATIONS = 2.0
LATEST_SECONDS = 1.0
"""A decision so long after an utterance still belongs to it."""


@dataclass(frozen=True)
class Cell:
    """The conditions of one column: a noise and its level below the speech, or a clean room, dry or with an echo.

    `loudness_sd_db` is how much the talker's loudness varies from phrase to phrase, `gain_db` what the microphone adds.
    """

    noise: Noise | None = None
    snr_db: float = 0.0
    room: bool = False
    loudness_sd_db: float = USUAL_LOUDNESS_SD_DB
    gain_db: float = 0.0

    def __str__(self) -> str:
        level = f"{self.noise} {self.snr_db:.0f} dB" if self.noise else "clean"
        loudness = f", sd {self.loudness_sd_db:.0f} dB" if self.loudness_sd_db != USUAL_LOUDNESS_SD_DB else ""
        gain = f", {self.gain_db:.0f} dB" if self.gain_db else ""
        return f"{level}{', echo' if self.room else ''}{loudness}{gain}"


class Speaks(Protocol):
    """Somebody who can say a text."""

    @property
    def voice(self) -> str:
        """Who it is."""

    def says(self, text: str) -> Samples:
        """The utterance at SAMPLE_RATE."""


@dataclass(frozen=True)
class Said:
    """One utterance of a stream, in stream seconds."""

    text: str
    talker: Speaks
    start: float
    end: float


@dataclass(frozen=True)
class Stream:
    """Sound, and what was said in it."""

    samples: Samples
    said: tuple[Said, ...]


@dataclass(frozen=True)
class Turn:
    """Somebody says a text, and then there is quiet."""

    talker: Speaks
    text: str
    quiet_seconds: float


def stream_of(talker: Speaks, texts: Sequence[str], cell: Cell, seed: int) -> Stream:
    """The texts by one talker, with the gaps that people leave, in the cell's conditions."""
    random = np.random.default_rng(seed)
    return stream_of_turns([Turn(talker, text, random.uniform(*GAPS_SECONDS)) for text in texts], cell, seed)


def stream_of_turns(turns: Sequence[Turn], cell: Cell, seed: int) -> Stream:
    """The turns one after the other, in the cell's conditions."""
    pieces: list[Samples] = [np.zeros(int(LEAD_SECONDS * SAMPLE_RATE), np.float32)]
    said, at = [], len(pieces[0])
    for turn in turns:
        speech = turn.talker.says(turn.text)
        gap = int(turn.quiet_seconds * SAMPLE_RATE)
        said.append(Said(turn.text, turn.talker, at / SAMPLE_RATE, (at + len(speech)) / SAMPLE_RATE))
        pieces += [speech, np.zeros(gap, np.float32)]
        at += len(speech) + gap
    steady = np.concatenate(pieces)
    sound = np.concatenate(
        [piece * loudness for piece, loudness in zip(pieces, _loudness(pieces, cell, seed), strict=True)]
    )
    heard = in_a_room(sound)[: len(sound)] if cell.room else sound
    if cell.noise:
        heard = mixed(heard, steady, cell.noise, cell.snr_db, seed)
    return Stream((np.clip(heard, -1, 1) * from_db(cell.gain_db)).astype(np.float32), tuple(said))


def from_db(level_db: float) -> np.float32:
    """What a level in decibels multiplies an amplitude by."""
    return np.float32(10 ** (level_db / 20))


def _loudness(pieces: Sequence[Samples], cell: Cell, seed: int) -> Iterator[np.float32]:
    """How much louder each piece is than the talker's usual."""
    random = np.random.default_rng([seed, 4])
    for _ in pieces:
        yield from_db(cell.loudness_sd_db * float(np.clip(random.normal(), -MOST_DEVIATIONS, MOST_DEVIATIONS)))


def blocks_of(samples: Samples) -> Iterator[SoundBlock]:
    """The sound in blocks, as a microphone gives them, over a floor of noise that every microphone has."""
    floor = np.random.default_rng(1).normal(0.0, 1e-4, len(samples)).astype(np.float32)
    clock = start_of_run(datetime(2024, 1, 1, tzinfo=UTC), "bench")
    for at in range(0, len(samples) - BLOCK_SAMPLES + 1, BLOCK_SAMPLES):
        clock.advance(round(1000 * BLOCK_SAMPLES / SAMPLE_RATE))
        yield SoundBlock(
            samples[at : at + BLOCK_SAMPLES] + floor[at : at + BLOCK_SAMPLES], at / SAMPLE_RATE, clock.now()
        )


def decisions(ears: Ears, samples: Samples) -> tuple[Heard, ...]:
    """Everything that the ears decided of a stream, accepted or not."""
    return tuple(heard for block in blocks_of(samples) for heard in ears.hear(block)) + ears.finish()


def decisions_in_situations(
    ears: Ears, stream: Stream, situations: Callable[[str], Collection[Situation]]
) -> tuple[Heard, ...]:
    """What the ears decide of a stream where, before each text, a job has come to the `situations` of that text."""
    waiting = deque(stream.said)
    found: list[Heard] = []
    for block in blocks_of(stream.samples):
        if waiting and block.end_seconds > waiting[0].start - 0.2:
            ears.situations = situations(waiting.popleft().text)
        found += ears.hear(block)
    return (*found, *ears.finish())


@dataclass(frozen=True)
class Outcome:
    """What became of an utterance: its decisions in order, those that were acted on apart.

    `asked` marks what was asked back, or read back as a reading; where that was not what was said, it is a needless
    question and not wrong.
    """

    said: Said
    right: bool
    wrong: bool
    asked: bool
    latency_seconds: float | None
    reasons: tuple[str, ...]
    acted: tuple[str, ...]


def outcomes(
    stream: Stream,
    heard: Sequence[Heard],
    table: PhraseTable,
    situations: Collection[Situation] = SITUATIONS,
    meant: Mapping[str, str] = NOTHING_ELSE,
) -> tuple[Outcome, ...]:
    """One outcome an utterance: right if its command, and no other, was acted on or asked back; wrong if any other was
    acted on. `meant` gives the texts that mean what another does.
    """
    return tuple(
        _outcome(
            said,
            [h for h in heard if belongs(h, said)],
            table.command_for(meant.get(said.text, said.text), situations),
        )
        for said in stream.said
    )


def acts_outside(stream: Stream, heard: Sequence[Heard]) -> int:
    """How often it acted on nothing that was said."""
    return sum(h.accepted and not any(belongs(h, said) for said in stream.said) for h in heard)


def belongs(heard: Heard, said: Said) -> bool:
    return said.start - 0.2 <= heard.phrase.decided_at <= said.end + LATEST_SECONDS + 0.1


def _outcome(said: Said, heard: Sequence[Heard], wanted: Command | None) -> Outcome:
    acted = [h for h in heard if h.accepted]
    right = bool(acted) and wanted is not None and all(h.command == wanted for h in acted)
    latency = acted[0].phrase.decided_at - said.end if right else None
    reasons = tuple(h.reason for h in heard if not h.accepted)
    asked = bool(acted) and all(h.asks_back or isinstance(h.command, Reading) for h in acted)
    wrong = bool(acted) and not right and not asked
    return Outcome(said, right, wrong, asked, latency, reasons, tuple(h.phrase.text for h in acted))
