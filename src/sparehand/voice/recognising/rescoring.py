"""The hypotheses of one utterance against each other: how sure it is that a phrase was said, and which."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import exp, inf

from sparehand.job.commands import Command, Reading
from sparehand.voice.recognising.recogniser import Recognition
from sparehand.voice.recognising.rejection import is_digit_too_short
from sparehand.voice.sound.samples import Word

FILLER_MARGIN = 0.65
"""The margin (natural logarithm) of a phrase over the filler model in a quiet room, above that over other phrases."""
FILLER_DISCOUNT_IN_NOISE = 4.0
"""The discount on that in loud noise, where words of any talk fit a phrase nearly as well as its own words do."""
NUMBER_MARGIN = 0.4
NUMBER_MARGIN_IN_NOISE = 1.0
"""The extra margin of a phrase with a number, and its addition in loud noise: a radio counts as noise, too."""
RIVAL_MARGIN_IN_NOISE = 0.85
"""The extra margin of one phrase over another where noise drowns what tells them apart."""
FILLER_MARGIN_IN_CONVERSATION = 2.0
"""The extra margin of a phrase over the filler model in loud noise, for somebody who talks all the time."""
QUIET_DB = 30.0
LOUD_NOISE_DB = 15.0
"""Speech above noise where the discount begins, and where it is whole; chosen with tuning voices."""
LOUDER_NOISE_DB = 12.0
LOUDEST_NOISE_DB = 5.0
"""Speech above noise where the extra margin over other phrases begins, and where it is whole."""
LITTLE_SPEECH = 0.1
MUCH_SPEECH = 0.25
CEASELESS_SPEECH = 0.4
"""Shares of the talker's own speech just before: where the discount shrinks, where it ends, where a margin is whole.

What others say, a radio or somebody across the shop, does not count. When it did, more commands among it were lost
(84 % of tuning voices' heard in babble, for 90), and as much talk was acted on.
"""
LEAST_CONFIDENCE = 0.3
"""What is less sure is no phrase at all."""


@dataclass(frozen=True)
class Hypothesis:
    """One path through the graph: its log-likelihood `score` (natural), its words without the call word, their meaning.

    `meaning` is None where it means nothing now; `of_the_table` marks a text that could count at other times, and the
    call word alone. What is neither is a path of the filler model. `number` marks a phrase that holds one.
    """

    score: float
    words: tuple[Word, ...]
    called: bool
    meaning: Command | None
    of_the_table: bool
    number: bool = False

    @property
    def texts(self) -> tuple[str, ...]:
        """Its words as texts."""
        return tuple(word.text for word in self.words)


def rescored(
    hypotheses: Sequence[Hypothesis], snr_db: float, recent_speech: float = 0.0, *, call_word: bool
) -> Recognition:
    """What was said, by `hypotheses` from the likeliest on.

    `snr_db` is how far the speech is above the noise, `recent_speech` the talker's share of the seconds before, 0 to 1.
    """
    if not hypotheses:
        return Recognition("")
    called = hypotheses[0].called
    best = next((h for h in hypotheses if h.meaning is not None and (h.called or not call_word)), None)
    if best is None:
        return Recognition("", called=called)
    best = _without_short_digits(best, hypotheses)
    rivals = (other for other in hypotheses if _digits_said(other) != best.texts)
    confidence = _logistic(min((_margin(best, other, snr_db, recent_speech) for other in rivals), default=inf))
    if confidence < LEAST_CONFIDENCE:
        return Recognition("", called=called)
    filler = max((other.score for other in hypotheses if not other.of_the_table), default=None)
    words = tuple(Word(w.text, w.start, w.end, _posterior(w, hypotheses)) for w in best.words)
    text = " ".join(word.text for word in words)
    return Recognition(text, words, confidence, best.called, None if filler is None else best.score - filler)


def _without_short_digits(best: Hypothesis, hypotheses: Sequence[Hypothesis]) -> Hypothesis:
    """The same reading without the digits that are too short to have been said, if that was heard too, or `best`."""
    said = _digits_said(best)
    same = (h for h in hypotheses if h.meaning is not None and h.called == best.called and h.texts == said)
    return next(same, best)


def _digits_said(hypothesis: Hypothesis) -> tuple[str, ...]:
    """Its words, a reading's without the digits that are too short."""
    reading = isinstance(hypothesis.meaning, Reading)
    return tuple(word.text for word in hypothesis.words if not (reading and is_digit_too_short(word)))


def _margin(best: Hypothesis, other: Hypothesis, snr_db: float, recent_speech: float) -> float:
    """The log-likelihood ratio of `best` to another hypothesis, less the margins that are asked of it.

    Another phrase that counts now, and the call word alone, are as likely as `best`; the filler model, and what cannot
    be said now, have a discount in noise.
    """
    if best.meaning == other.meaning:
        return inf
    ratio = best.score - other.score
    noise = _falling(snr_db, LOUD_NOISE_DB, QUIET_DB)
    if best.number:
        ratio -= NUMBER_MARGIN + NUMBER_MARGIN_IN_NOISE * noise
    if other.meaning is not None or not other.words:
        ratio -= RIVAL_MARGIN_IN_NOISE * _falling(snr_db, LOUDEST_NOISE_DB, LOUDER_NOISE_DB)
    else:
        discount = _filler_discount(recent_speech)
        ratio += noise * (min(discount, 0.0) if best.number else discount)
    return ratio if other.of_the_table else ratio - FILLER_MARGIN


def _filler_discount(recent_speech: float) -> float:
    """The discount in loud noise; below zero where more talk is what is to be expected."""
    discount = FILLER_DISCOUNT_IN_NOISE * _falling(recent_speech, LITTLE_SPEECH, MUCH_SPEECH)
    return discount - FILLER_MARGIN_IN_CONVERSATION * (1 - _falling(recent_speech, MUCH_SPEECH, CEASELESS_SPEECH))


def _falling(value: float, whole: float, nothing: float) -> float:
    """1 up to `whole`, from there falling to 0 at `nothing`."""
    return min(1.0, max(0.0, (nothing - value) / (nothing - whole)))


def _logistic(value: float) -> float:
    return 1 / (1 + exp(-max(-60.0, min(60.0, value))))


def _posterior(word: Word, hypotheses: Sequence[Hypothesis]) -> float:
    """The share of likelihood of the hypotheses that have this word at about this time."""
    middle = (word.start + word.end) / 2
    weights = [exp(hypothesis.score - hypotheses[0].score) for hypothesis in hypotheses]
    having = (
        weight
        for weight, hypothesis in zip(weights, hypotheses, strict=True)
        if any(other.text == word.text and other.start <= middle <= other.end for other in hypothesis.words)
    )
    return sum(having) / sum(weights)
