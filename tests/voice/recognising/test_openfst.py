"""The binary grammar holds the arcs that were given, and the word tables byte for byte."""

from __future__ import annotations

import struct
from pathlib import Path

import pytest
from hypothesis import given, strategies as st

from sparehand.ground.errors import InputError
from sparehand.voice.recognising.openfst import WeightedArc, WordTables, read_tables, write_machine

TEXT = struct.Struct("<i")


def text(value: str) -> bytes:
    return TEXT.pack(len(value.encode())) + value.encode()


def table(words: dict[str, int]) -> bytes:
    rows = b"".join(text(word) + struct.pack("<q", label) for word, label in words.items())
    return struct.pack("<i", 2125658996) + text("words.txt") + struct.pack("<qq", len(words), len(words)) + rows


def tables(words: dict[str, int]) -> WordTables:
    return WordTables(table(words) * 2, words)


words = st.dictionaries(st.text(min_size=1, max_size=8), st.integers(1, 2**31 - 1), max_size=20)


@given(words)
def test_tables_come_back_byte_for_byte(tmp_path_factory: pytest.TempPathFactory, words: dict[str, int]) -> None:
    path = tmp_path_factory.mktemp("fst") / "g.fst"
    given = tables({"<eps>": 0, **words})
    write_machine(path, given, [[]], {0: 0.0})
    assert read_tables(path) == given


def test_states_and_arcs_lie_as_openfst_reads_them(tmp_path: Path) -> None:
    given = tables({"<eps>": 0, "next": 7, "step": 3})
    write_machine(tmp_path / "g.fst", given, [[WeightedArc(7, 0.5, 1), WeightedArc(0, 2.0, 1)], []], {1: 0.25})
    content = (tmp_path / "g.fst").read_bytes()
    header = struct.pack("<i", 2125659606) + text("vector") + text("standard")
    assert content.startswith(header + struct.pack("<ii", 2, 3))
    states = content[-(12 + 2 * 16 + 12) :]
    assert states[:12] == struct.pack("<fq", float("inf"), 2)
    assert states[12:28] == struct.pack("<iifi", 0, 0, 2.0, 1), "arcs are sorted by label"
    assert states[28:44] == struct.pack("<iifi", 7, 7, 0.5, 1)
    assert states[44:] == struct.pack("<fq", 0.25, 0)


def test_a_word_may_count_as_another_and_then_only_what_comes_in_is_said_to_be_sorted(tmp_path: Path) -> None:
    write_machine(tmp_path / "g.fst", tables({"steep": 7, "step": 3}), [[WeightedArc(7, 0.5, 0, 3)]], {0: 0.0})
    content = (tmp_path / "g.fst").read_bytes()
    assert content[-16:] == struct.pack("<iifi", 7, 3, 0.5, 0)
    (properties,) = struct.unpack_from("<Q", content, content.index(b"standard") + 8 + 8)
    assert not properties & 0x10000, "an acceptor would give out what came in"


@pytest.mark.parametrize("kept", [0, 3, 30, 60, 120])
def test_a_cut_or_foreign_file_is_refused(tmp_path: Path, kept: int) -> None:
    path = tmp_path / "g.fst"
    write_machine(path, tables({"<eps>": 0, "next": 7}), [[]], {0: 0.0})
    path.write_bytes(path.read_bytes()[:kept] if kept else b"RIFF of another kind, long enough to be read")
    with pytest.raises(InputError, match="install the model again"):
        read_tables(path)
