"""A forgotten word shows in the times: a phase that took none, or one that never ends."""

from __future__ import annotations

import math

import pytest

from sparehand.procedures.plan import PhaseKey
from sparehand.times.forgotten_words import forgotten_word, longest_plausible_seconds
from sparehand.times.time_left import Outlook, PhaseOutlook

ACCESS, LINK, REFIT = PhaseKey("access"), PhaseKey("link", "left"), PhaseKey("refit")
TODAY = Outlook(
    tuple(
        PhaseOutlook(key, math.log(60.0 * minutes), 0.06) for key, minutes in ((ACCESS, 20), (LINK, 30), (REFIT, 25))
    ),
    0.04,
)


def test_plausible_times_raise_no_question() -> None:
    assert forgotten_word(TODAY, (), ACCESS, 0.0) is None
    assert forgotten_word(TODAY, ((ACCESS, 700.0), (LINK, 3000.0)), REFIT, 2400.0) is None


def test_a_phase_over_at_once_says_that_the_one_before_it_ended_late() -> None:
    word = forgotten_word(TODAY, ((ACCESS, 3000.0), (LINK, 6.0)), REFIT, 10.0)
    assert word is not None
    assert (word.key, word.sign, word.neighbour) == (LINK, "took no time", ACCESS)
    assert word.usual_seconds == pytest.approx(1800.0)


def test_a_first_phase_over_at_once_has_no_one_before_it() -> None:
    word = forgotten_word(TODAY, ((ACCESS, 3.0),), LINK, 0.0)
    assert word is not None
    assert word.neighbour is None


def test_a_phase_that_runs_on_past_all_likelihood_is_asked_about_while_it_runs() -> None:
    limit = longest_plausible_seconds(TODAY, LINK)
    assert 2 * 1800 < limit < 6 * 1800
    assert forgotten_word(TODAY, ((ACCESS, 1200.0),), LINK, limit - 1, REFIT) is None
    word = forgotten_word(TODAY, ((ACCESS, 1200.0),), LINK, limit + 1, REFIT)
    assert word is not None
    assert (word.key, word.sign, word.neighbour) == (LINK, "runs long", REFIT)


def test_what_was_not_foreseen_is_never_asked_about() -> None:
    other = PhaseKey("something-else")
    assert forgotten_word(TODAY, ((other, 0.1),), other, 1e9) is None
