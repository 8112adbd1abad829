"""Word costs are read from the publisher's grammar as it lies on the disk."""

from __future__ import annotations

import struct
from pathlib import Path

import numpy as np
import pytest

from sparehand.ground.errors import InputError
from sparehand.voice.recognising.ngram import WordCosts
from sparehand.voice.recognising.openfst import WordTables
from voice.recognising.test_openfst import tables, text

WORDS = {"<eps>": 0, "what": 1, "size": 2, "sides": 3}
COUNTS = (2, 4, 0)
TREE = [1, 0, 1, 0, 0]
BELONGING = [0, 1, 1, 1, 0, 1, 0]


def bits(values: list[int]) -> bytes:
    return np.packbits(np.array(values + [0] * (64 - len(values)), np.uint8), bitorder="little").tobytes()


def grammar(kind: str = "ngram") -> tuple[bytes, WordTables]:
    """Two contexts: none, with three words after it, and "what", with "size" after it."""
    words = tables(WORDS)
    head = struct.pack("<i", 2125659606) + text(kind) + text("standard") + struct.pack("<iiQqqq", 4, 3, 0, 1, 2, 0)
    body = struct.pack("<3Q", *COUNTS) + bits(TREE) + bits(BELONGING) + bits([0, 0])
    body += np.array([0, 1, 0], "<i4").tobytes() + np.array([1, 2, 3, 2], "<i4").tobytes()
    body += np.array([0.0, 0.5, 0.0], "<f4").tobytes() + np.array([2.0, 6.0, 7.0, 1.5], "<f4").tobytes()
    return head + words.raw + body, words


def costs(folder: Path, content: bytes, words: WordTables) -> WordCosts:
    path = folder / "Gr.fst"
    path.write_bytes(content)
    return WordCosts(path, words)


def test_a_word_alone_costs_what_stands_in_the_empty_context(tmp_path: Path) -> None:
    assert costs(tmp_path, *grammar()).alone == {"what": 2.0, "size": 6.0, "sides": 7.0}


def test_a_word_after_another_costs_what_stands_there(tmp_path: Path) -> None:
    assert costs(tmp_path, *grammar()).after("what", "size") == 1.5


def test_a_pair_that_the_grammar_lacks_costs_the_way_back_and_the_word(tmp_path: Path) -> None:
    assert costs(tmp_path, *grammar()).after("what", "sides") == 0.5 + 7.0


@pytest.mark.parametrize("before", [None, "size"])
def test_without_a_known_context_a_word_stands_alone(tmp_path: Path, before: str | None) -> None:
    assert costs(tmp_path, *grammar()).after(before, "sides") == 7.0


def test_a_grammar_of_another_type_is_refused(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="a grammar of type 'vector', not the publisher's"):
        costs(tmp_path, *grammar("vector"))


def test_a_grammar_that_is_cut_short_is_refused(tmp_path: Path) -> None:
    content, words = grammar()
    with pytest.raises(InputError, match="cut short; install the model again"):
        costs(tmp_path, content[:-6], words)
