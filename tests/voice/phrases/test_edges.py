"""Hesitation and politeness around a phrase change nothing, and make no phrase of anything."""

import pytest

from sparehand.job import commands as c
from sparehand.job.situation import SITUATIONS
from sparehand.voice.phrases.edges import Edges
from sparehand.voice.phrases.phrase_file import load_phrases

TABLE = load_phrases()


@pytest.mark.parametrize(
    ("text", "meant"),
    [
        ("okay next", c.Next()),
        ("so please next thanks mate", c.Next()),
        ("mark done mate", c.MarkDone()),
        ("timer ten minutes please", c.StartTimer(10)),
        ("right side", c.ChooseSides(("right",))),
        ("right right side", c.ChooseSides(("right",))),
        ("Okay, what size, please?", c.WhatSize()),
        ("okay please", None),
        ("okay so please next", None),
        ("next the please", None),
    ],
)
def test_edges_are_passed_over(text: str, meant: c.Command | None) -> None:
    assert TABLE.command_for(text, SITUATIONS) == meant


@pytest.mark.parametrize(("text", "more"), [("okay mark done", True), ("mark done please", False), ("okay", True)])
def test_only_a_phrase_without_a_word_after_it_may_go_on(text: str, more: bool) -> None:
    assert TABLE.may_go_on(text, SITUATIONS) is more


def test_what_loses_fewest_words_comes_first() -> None:
    edges = Edges(("a", "b"), ("z",))
    assert list(edges.inner(("a", "b", "c", "z")))[:2] == [("a", "b", "c", "z"), ("a", "b", "c")]
    assert list(edges.inner(())) == [()]
    assert () not in list(edges.inner(("a", "z")))
