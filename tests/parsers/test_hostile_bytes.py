"""No bytes end a parser: each takes them or refuses them in one line. A small fuzzer, bounded for every run."""

from __future__ import annotations

import tempfile
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings, strategies as st

from parsers.samples import PARSERS, Parser

EXAMPLES = 40
"""Inputs a parser and run; `tests/bench/edges.py` tries as many as it is asked to."""
INSERTED = (
    b"\0",
    b"\xff\xfe",
    b"\x1b[2J",
    "\u202e\ud7ff\U0010ffff".encode(),
    b"NaN",
    b"-1",
    b"1e308",
    b"9" * 400,
    b"[" * 3_000,
    b"{" * 3_000,
    b"[[[x]]]\n",
    b'"',
    b"'",
    b"\\ud800",
    b"../../x",
    b"&a [*a, *a]",
    b"!!python/object:x {}",
    b"0001-01-01T00:00:00+14:00",
    b"9999-12-31T23:59:59-12:00",
    b",;:\r\n\t",
    b" " * 5_000,
)
"""What has ended parsers before, of any kind."""

changes = st.lists(
    st.tuples(
        st.sampled_from(("insert", "replace", "cut", "double", "flip")),
        st.integers(0, 10_000),
        st.one_of(st.sampled_from(INSERTED), st.binary(max_size=12)),
    ),
    max_size=4,
)


def changed(sample: bytes, wanted: list[tuple[str, int, bytes]]) -> bytes:
    """The sample with changes, each at a place told in ten thousandths of its length."""
    for how, where, what in wanted:
        at = len(sample) * where // 10_000
        match how:
            case "insert":
                sample = sample[:at] + what + sample[at:]
            case "replace":
                sample = sample[:at] + what + sample[at + len(what) :]
            case "cut":
                sample = sample[:at]
            case "double":
                sample = sample + sample[at:]
            case _:
                sample = sample[:at] + bytes(255 - byte for byte in sample[at : at + 4]) + sample[at + 4 :]
    return sample


def one_line_or_taken(parser: Parser, content: bytes) -> bool:
    """Whether the parser took it; a refusal is one line, anything else goes on as what it is."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "given"
        path.write_bytes(content)
        try:
            parser.reads(path)
        except parser.refuses as error:
            said = str(error)
        else:
            return True
    assert said.isprintable() or parser.refuses is ValueError, said
    return False


@pytest.mark.parametrize("parser", PARSERS.values(), ids=PARSERS)
def test_no_bytes_end_a_parser(parser: Parser) -> None:
    sample = parser.sample()

    @settings(max_examples=EXAMPLES, deadline=None, suppress_health_check=list(HealthCheck))
    @given(wanted=changes)
    def tried(wanted: list[tuple[str, int, bytes]]) -> None:
        one_line_or_taken(parser, changed(sample, wanted))

    tried()


@pytest.mark.parametrize("parser", PARSERS.values(), ids=PARSERS)
def test_the_sound_sample_of_a_parser_is_taken(parser: Parser) -> None:
    assert one_line_or_taken(parser, parser.sample())
