"""The little of OpenFst's binary format that a grammar needs: word tables kept as they are, and arcs of our own.

Layout as OpenFst 1.7 and 1.8 read it: a header, the two symbol tables, then for a "vector" machine each state's final
weight and arcs, all little-endian; weights are costs (the negative logarithm of a probability).
"""

from __future__ import annotations

import struct
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from math import inf
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from sparehand.ground.errors import InputError

_FST_MAGIC = 2125659606
_SYMBOLS_MAGIC = 2125658996
_HAS_INPUT_SYMBOLS, _HAS_OUTPUT_SYMBOLS = 1, 2
_VECTOR_VERSION = 2
_ACCEPTOR_SORTED_BY_LABEL = 0x3 | 0x10000 | 0x10000000 | 0x40000000
"""Expanded and mutable; and, as OpenFst's property bits say it, an acceptor with sorted labels."""
_TRANSDUCER_SORTED_BY_INPUT = 0x3 | 0x10000000
_STATE = struct.Struct("<fq")
_ARC = np.dtype([("input", "<i4"), ("output", "<i4"), ("cost", "<f4"), ("target", "<i4")])


@dataclass(frozen=True)
class WordTables:
    """A machine's two symbol tables, byte for byte, and the words of the second with their labels."""

    raw: bytes = field(repr=False)
    labels: Mapping[str, int] = field(repr=False)


@dataclass(frozen=True)
class WeightedArc:
    """One word's way to a state, and what it costs. `output` is the word that it counts as, if that is another."""

    label: int
    cost: float
    target: int
    output: int | None = None


def read_tables(path: Path) -> WordTables:
    """The symbol tables of the machine at `path`. Raises InputError where it is none or has no tables."""
    content = path.read_bytes()
    try:
        begin = _end_of_header(content)
        middle, _ = _read_symbols(content, begin)
        end, labels = _read_symbols(content, middle)
    except (struct.error, ValueError, UnicodeDecodeError) as error:
        raise InputError(f"{path}: not a grammar with its words ({error}); install the model again") from error
    return WordTables(content[begin:end], labels)


def content_after_tables(path: Path, tables: WordTables, kind: str) -> tuple[bytes, int]:
    """The machine at `path`, and where in it its states begin. Raises InputError where it is of another type."""
    content = path.read_bytes()
    found = _read_text(content, 4)[0]
    if found != kind:
        raise InputError(f"{path}: a grammar of type {found!r}, not the publisher's; install the model again")
    return content, _end_of_header(content) + len(tables.raw)


def write_machine(
    path: Path, tables: WordTables, arcs: Sequence[Sequence[WeightedArc]], finals: Mapping[int, float]
) -> None:
    """Write a "vector" machine over the words of `tables`: `arcs` by state, from state 0, and final states' costs."""
    count = sum(len(leaving) for leaving in arcs)
    renamed = any(arc.output is not None for leaving in arcs for arc in leaving)
    properties = _TRANSDUCER_SORTED_BY_INPUT if renamed else _ACCEPTOR_SORTED_BY_LABEL
    flags = _HAS_INPUT_SYMBOLS | _HAS_OUTPUT_SYMBOLS
    with path.open("wb") as file:
        file.write(struct.pack("<i", _FST_MAGIC) + _text("vector") + _text("standard"))
        file.write(struct.pack("<iiQqqq", _VECTOR_VERSION, flags, properties, 0, len(arcs), count))
        file.write(tables.raw)
        for state, leaving in enumerate(arcs):
            file.write(_STATE.pack(finals.get(state, inf), len(leaving)))
            file.write(_packed(leaving).tobytes())


def _packed(leaving: Sequence[WeightedArc]) -> NDArray[np.void]:
    ordered = sorted(leaving, key=lambda arc: arc.label)
    rows = [(arc.label, arc.label if arc.output is None else arc.output, arc.cost, arc.target) for arc in ordered]
    return np.array(rows, _ARC)


def _end_of_header(content: bytes) -> int:
    (magic,) = struct.unpack_from("<i", content, 0)
    if magic != _FST_MAGIC:
        raise ValueError("it does not begin as one")
    at = _read_text(content, _read_text(content, 4)[1])[1]
    _, flags = struct.unpack_from("<ii", content, at)
    if flags & 3 != _HAS_INPUT_SYMBOLS | _HAS_OUTPUT_SYMBOLS:
        raise ValueError("it has no table of words")
    return at + struct.calcsize("<iiQqqq")


def _read_symbols(content: bytes, at: int) -> tuple[int, dict[str, int]]:
    (magic,) = struct.unpack_from("<i", content, at)
    if magic != _SYMBOLS_MAGIC:
        raise ValueError("its table of words is damaged")
    at = _read_text(content, at + 4)[1]
    _, count = struct.unpack_from("<qq", content, at)
    at += 16
    labels = {}
    for _ in range(count):
        word, at = _read_text(content, at)
        (labels[word],) = struct.unpack_from("<q", content, at)
        at += 8
    return at, labels


def _read_text(content: bytes, at: int) -> tuple[str, int]:
    (length,) = struct.unpack_from("<i", content, at)
    begin = at + 4
    if not 0 <= length <= len(content) - begin:
        raise ValueError("it ends too early")
    return content[begin : begin + length].decode(), begin + length


def _text(text: str) -> bytes:
    return struct.pack("<i", len(text)) + text.encode()
