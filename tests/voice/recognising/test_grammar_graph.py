"""The grammar lets every phrase through at no cost, and everything else only at the price of a decoy."""

from __future__ import annotations

import struct
from math import inf
from pathlib import Path

import pytest

from sparehand.job.situation import SITUATIONS
from sparehand.voice.phrases.phrase_file import load_phrases
from sparehand.voice.recognising.decoys import DecoyCosts, Decoys
from sparehand.voice.recognising.grammar_graph import write_grammar
from sparehand.voice.recognising.openfst import WordTables

CALL = "spare hand"
COSTS = DecoyCosts(
    at_start=5.0,
    inside=3.0,
    inside_by_rarity=0.5,
    after=2.0,
    after_by_rarity=0.1,
    word=3.0,
    rarity=0.5,
    alike=1.0,
    number=4.0,
)
USUAL = 9.0
"""What a word of LANGUAGE costs that it does not list."""
TALK = frozenset({"the", "weather", "next"})
ALIKES = {"size": ("sides",), "loose": ("lose", "is"), "metres": ("sides",)}
LANGUAGE = {(None, "newton"): 13.0, ("what", "sides"): 3.0, ("is", "lose"): 5.0}


class Acceptor:
    """Reads the states of a written grammar, and finds the cheapest way to say a text."""

    def __init__(self, path: Path, tables: WordTables) -> None:
        content = path.read_bytes()
        at = content.index(tables.raw) + len(tables.raw)
        self.labels = tables.labels
        self.finals: list[float] = []
        self.arcs: list[list[tuple[int, float, int]]] = []
        while at < len(content):
            final, count = struct.unpack_from("<fq", content, at)
            rows = [struct.unpack_from("<iifi", content, at + 12 + 16 * row) for row in range(count)]
            self.finals.append(final)
            self.arcs.append([(label, cost, target) for label, _, cost, target in rows])
            at += 12 + 16 * count

    def cost(self, text: str) -> float:
        best = {0: 0.0}
        for word in text.split():
            best = self.step(self.freely(best), self.labels[word])
        best = self.freely(best)
        return min((cost + self.finals[state] for state, cost in best.items()), default=inf)

    def freely(self, best: dict[int, float]) -> dict[int, float]:
        ways = self.step(best, 0)
        return {state: min(best.get(state, inf), ways.get(state, inf)) for state in {*best, *ways}}

    def step(self, best: dict[int, float], wanted: int) -> dict[int, float]:
        reached: dict[int, float] = {}
        for state, cost in best.items():
            for label, price, target in self.arcs[state]:
                if label == wanted:
                    reached[target] = min(reached.get(target, inf), cost + price)
        return reached


@pytest.fixture(scope="module")
def acceptor(tmp_path_factory: pytest.TempPathFactory) -> Acceptor:
    table = load_phrases()
    words = sorted({*table.words(), *TALK, "sides", "lose", "stop", "not", "no"})
    tables = WordTables(b"the tables", {word: label for label, word in enumerate(words, start=1)})
    path = tmp_path_factory.mktemp("grammar") / "Gr.fst"
    decoys = Decoys(TALK, ALIKES, lambda before, word: LANGUAGE.get((before, word), USUAL))
    write_grammar(path, tables, table, decoys, COSTS, {"step": {"sides": 0.5}})
    return Acceptor(path, tables)


@pytest.mark.parametrize("text", ["next", "next step", "timer twenty minutes", "torque reading four six decimal five"])
def test_a_phrase_costs_nothing_with_or_without_the_call_word(acceptor: Acceptor, text: str) -> None:
    assert acceptor.cost(text) == 0.0
    assert acceptor.cost(f"{CALL} {text}") == 0.0


def test_the_call_word_may_stand_alone(acceptor: Acceptor) -> None:
    assert acceptor.cost(CALL) == 0.0


@pytest.mark.parametrize(
    ("text", "cost"),
    [
        ("weather the", 5.0 + 3 + 3),
        ("next weather", 2.0 + 0.1 * USUAL + 3),
        ("what weather", 3.0 + 0.5 * USUAL + 3),
        ("torque in newton weather", 3.0 + 0.5 * 3 * USUAL + 3),
        ("weather what size", inf),
    ],
)
def test_talk_pays_for_leaving_the_phrases_and_for_every_word(acceptor: Acceptor, text: str, cost: float) -> None:
    assert acceptor.cost(text) == pytest.approx(cost)


@pytest.mark.parametrize("text", ["what", "size", "torque reading", "done", "phase"])
def test_a_part_of_a_phrase_has_a_price_of_its_own(acceptor: Acceptor, text: str) -> None:
    assert load_phrases().command_for(text, SITUATIONS) is None
    assert acceptor.cost(text) == COSTS.part


def test_what_is_no_run_of_a_phrase_is_no_end(acceptor: Acceptor) -> None:
    assert acceptor.cost("size what") == inf, "the loop holds other words"


@pytest.mark.parametrize("text", ["no new part fitted", "stop the timer", "not next step", "old part fitted"])
def test_an_opposite_has_a_way_of_its_own_that_is_no_phrase(acceptor: Acceptor, text: str) -> None:
    assert load_phrases().command_for(text, SITUATIONS) is None
    assert acceptor.cost(text) == COSTS.opposite


def test_a_negation_inside_a_phrase_costs_more_where_it_is_rare(acceptor: Acceptor) -> None:
    assert acceptor.cost("new part not fitted") == pytest.approx(COSTS.opposite + COSTS.opposite_by_rarity * USUAL)


def test_what_is_heard_of_this_talker_counts_as_the_word_and_its_denial_as_a_denial(acceptor: Acceptor) -> None:
    assert acceptor.cost("next sides") == 0.5
    assert acceptor.cost("not next sides") == COSTS.opposite + 0.5


@pytest.mark.parametrize(("text", "words"), [("okay next", 1), ("so please mark done thanks mate", 4)])
def test_hesitation_and_politeness_cost_little(acceptor: Acceptor, text: str, words: int) -> None:
    assert acceptor.cost(text) == words * COSTS.edge
    assert acceptor.cost(f"{CALL} {text}") == words * COSTS.edge


def test_no_edge_lies_around_a_number(acceptor: Acceptor) -> None:
    assert acceptor.cost("okay four six") > COSTS.number + COSTS.edge
    assert acceptor.cost("four six mate") > COSTS.number + COSTS.edge


@pytest.mark.parametrize("text", ["four six decimal five", "mark done four"])
def test_a_number_that_nothing_announces_pays_once(acceptor: Acceptor, text: str) -> None:
    assert acceptor.cost(text) == 4.0


@pytest.mark.parametrize(("text", "cost"), [("what sides", 1.0 + 0.5 * 3), ("what is lose", 1.0 + 0.5 * 5)])
def test_a_near_command_has_a_way_of_its_own_that_is_no_phrase(acceptor: Acceptor, text: str, cost: float) -> None:
    assert acceptor.cost(text) == cost
    assert load_phrases().command_for(text, SITUATIONS) is None
