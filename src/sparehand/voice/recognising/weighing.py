"""Readings of one utterance weighed against each other: how sure it is that a phrase was said, and which."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import exp, inf

from sparehand.job.commands import Command
from sparehand.voice.recognising.recogniser import Recognition
from sparehand.voice.sound.samples import Word

TALK_IN_QUIET = 0.65
"""How much better than talk a phrase must fit in a quiet room, above what it must be better than other phrases."""
RELIEF_IN_NOISE = 4.0
"""How much of that is let off in loud noise, where words of any talk fit a phrase nearly as well as its own."""
SURER_NUMBERS = 0.4
SURER_NUMBERS_IN_NOISE = 1.0
"""How much more a phrase with a number must stand out, and how much more in loud noise: a radio counts too."""
SURER_IN_DIN = 0.85
"""How much more one phrase must stand out from another where noise drowns what tells them apart."""
SURER_IN_TALK = 2.0
"""How much more a phrase must stand out from talk in loud noise, to somebody who talks all the time."""
QUIET_DB = 30.0
LOUD_DB = 15.0
"""Speech above noise where the relief begins, and where all of it is given; chosen with tuning voices."""
DIN_DB = 12.0
DEAFENING_DB = 5.0
"""Speech above noise where phrases must begin to stand out more, and where they must most."""
LITTLE_TALK = 0.1
MUCH_TALK = 0.25
CEASELESS_TALK = 0.4
"""Shares of the talker's own talk just before where less is let off, nothing, and most is asked for instead.

What others say, a radio or somebody across the shop, does not count. When it did, more commands among it were lost
(84 % of tuning voices' heard in babble, for 90), and as much talk was acted on.
"""
LEAST_CONFIDENCE = 0.3
"""What is less sure is no phrase at all."""


@dataclass(frozen=True)
class Reading:
    """One way to read an utterance: its score (a natural logarithm), its words without the call word, what they mean.

    `meaning` is None where it means nothing now; `of_the_table` marks a text that could count at other times, and the
    call word alone. What is neither is talk. `number` marks a phrase that holds one.
    """

    score: float
    words: tuple[Word, ...]
    called: bool
    meaning: Command | None
    of_the_table: bool
    number: bool = False


def weighed(readings: Sequence[Reading], snr_db: float, own_talk: float = 0.0, *, call_word: bool) -> Recognition:
    """What was said, by `readings` from the likeliest on.

    `snr_db` is how far the speech stands above the noise, `own_talk` the talker's share of talk just before (0 to 1).
    """
    if not readings:
        return Recognition("")
    called = readings[0].called
    best = next((r for r in readings if r.meaning is not None and (r.called or not call_word)), None)
    if best is None:
        return Recognition("", called=called)
    confidence = _logistic(min(_lead(best, reading, snr_db, own_talk) for reading in readings))
    if confidence < LEAST_CONFIDENCE:
        return Recognition("", called=called)
    talk = best.score - max((reading.score for reading in readings if not reading.of_the_table), default=-inf)
    words = tuple(Word(w.text, w.start, w.end, _share_of(w, readings)) for w in best.words)
    return Recognition(
        " ".join(word.text for word in words), words, confidence, best.called, talk if talk < inf else None
    )


def _lead(best: Reading, other: Reading, snr_db: float, own_talk: float) -> float:
    """How far `best` stands out from another reading.

    Another phrase that counts now, or the call word alone, is as likely as `best`; talk, and what cannot be said now,
    is let off in noise.
    """
    if best.meaning == other.meaning:
        return inf
    lead = best.score - other.score
    if best.number:
        lead -= SURER_NUMBERS + SURER_NUMBERS_IN_NOISE * _falling(snr_db, LOUD_DB, QUIET_DB)
    if other.meaning is not None or not other.words:
        lead -= SURER_IN_DIN * _falling(snr_db, DEAFENING_DB, DIN_DB)
    else:
        relief = _relief(own_talk)
        lead += _falling(snr_db, LOUD_DB, QUIET_DB) * (min(relief, 0.0) if best.number else relief)
    return lead if other.of_the_table else lead - TALK_IN_QUIET


def _relief(own_talk: float) -> float:
    """What is let off in loud noise; less than nothing where talk is what is to be expected."""
    return RELIEF_IN_NOISE * _falling(own_talk, LITTLE_TALK, MUCH_TALK) - SURER_IN_TALK * (
        1 - _falling(own_talk, MUCH_TALK, CEASELESS_TALK)
    )


def _falling(value: float, whole: float, nothing: float) -> float:
    """1 up to `whole`, from there falling to 0 at `nothing`."""
    return min(1.0, max(0.0, (nothing - value) / (nothing - whole)))


def _logistic(value: float) -> float:
    return 1 / (1 + exp(-max(-60.0, min(60.0, value))))


def _share_of(word: Word, readings: Sequence[Reading]) -> float:
    """The weight of the readings that have this word at about this time."""
    middle = (word.start + word.end) / 2
    weights = [exp(reading.score - readings[0].score) for reading in readings]
    having = (
        weight
        for weight, reading in zip(weights, readings, strict=True)
        if any(other.text == word.text and other.start <= middle <= other.end for other in reading.words)
    )
    return sum(having) / sum(weights)
