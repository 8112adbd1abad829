"""A procedure file is read with the place of every value, and what is hostile is refused quickly and cheaply."""

from __future__ import annotations

import hashlib
import tracemalloc
from contextlib import suppress
from pathlib import Path

import pytest
from hypothesis import given, strategies as st

from procedures.seeding import DEMOS, changed, demo, demo_text, line_of, written
from sparehand.ground.errors import InputError
from sparehand.procedures.findings import BrokenProcedureError
from sparehand.procedures.load import MAX_BYTES, load_procedure, set_aside_words
from sparehand.procedures.yaml_text import MAX_DEPTH, MAX_NODES, YamlTextError, read_yaml

MEMORY_BOUND_BYTES = 64 * 1024 * 1024

HOSTILE = {
    "an alias bomb": b"a: &a [x, x, x, x, x, x, x, x, x]\n" + b"b: &b [*a, *a, *a, *a, *a, *a, *a]\n" * 30,
    "an anchor": b"format: 1\nid: &x y\n",
    "a merge key with an alias": b"format: 1\n<<: *x\n",
    "a python tag": b"format: !!python/object/apply:os.system ['true']\n",
    "a tag of its own": b"format: !thing 1\n",
    "a tag on a key": b"!thing format: 1\n",
    "deep flow lists": b"[" * 100_000,
    "deep flow lists, a line each": b"[\n" * 9_000,
    "deep flow mappings": b"{a: " * 400 + b"\n",
    "deep block lists": b"- " * 900 + b"\n",
    "a huge scalar": b"title: " + b"x" * (MAX_BYTES - 10),
    "a huge quoted scalar": b'title: "' + b"x" * (MAX_BYTES - 20) + b'"\n',
    "a huge block scalar": b"title: |\n" + b"  x\n" * 60_000,
    "a long block scalar": b"title: |\n" + b"  xxxxxxxxxxxxxxxxxxxx\n" * 3_000,
    "a huge key": b"x" * (MAX_BYTES - 10) + b": 1\n",
    "very many values": (b"- [" + b"1," * 900 + b"]\n") * 20,
    "a number of many digits": b"format: " + b"9" * 3_000 + b"\n",
    "a file too large": b"#" * (MAX_BYTES + 1),
    "a NUL": b"format: 1\nid: a\0b\n",
    "not UTF-8": b"format: 1\ntitle: caf\xe9\n",
    "UTF-16": "format: 1\n".encode("utf-16"),
    "a control character": b"format: 1\ntitle: a\x07b\n",
    "a field given twice": b"format: 1\nid: a\nid: b\n",
    "a list as a key": b"? [a, b]\n: 1\n",
    "two documents": b"format: 1\n---\nformat: 1\n",
    "a directive": b"%YAML 9.9\n---\nformat: 1\n",
    "an unclosed quote": b'title: "abc\n',
    "a tab as indentation": b"operations:\n\t- id: a\n",
    "nothing": b"",
    "only a comment": b"# nothing\n",
    "a list": b"- 1\n",
    "no format": b"id: a\n",
    "format true": b"format: true\n",
}


@pytest.mark.parametrize("raw", HOSTILE.values(), ids=HOSTILE.keys())
def test_what_is_hostile_is_refused_in_one_line_and_bounded_memory(raw: bytes, tmp_path: Path) -> None:
    path = written(tmp_path, raw)
    tracemalloc.start()
    try:
        with pytest.raises(InputError) as refusal:
            load_procedure(path)
        assert tracemalloc.get_traced_memory()[1] < MEMORY_BOUND_BYTES
    finally:
        tracemalloc.stop()
    assert "\n" not in str(refusal.value)
    assert str(refusal.value).startswith(str(path))


@pytest.mark.parametrize(
    ("raw", "place"),
    [
        (b"format: 1\nid: a\0b\n", (2, 6)),
        (b"format: 1\ntitle: caf\xe9\n", (2, 11)),
        (b"format: 1\ntitle: a\x07b\n", (2, 9)),
        (b"format: 1\nid: a\nid: b\n", (3, 1)),
        (b"format: 1\nid: &x y\n", (2, 5)),
    ],
)
def test_a_refusal_names_the_place(raw: bytes, place: tuple[int, int], tmp_path: Path) -> None:
    with pytest.raises(BrokenProcedureError) as refusal:
        load_procedure(written(tmp_path, raw))
    [finding] = refusal.value.findings
    assert (finding.line, finding.column) == place


@given(st.text(max_size=200) | st.text(alphabet="[]{}:,-&*!|>%'\"#? \n\tab1", max_size=80))
def test_any_text_is_read_or_refused(text: str) -> None:
    with suppress(YamlTextError):
        placed = read_yaml(text)
        assert len(placed.places) <= MAX_NODES
        assert max(map(len, placed.places)) <= MAX_DEPTH + 1


def test_every_problem_of_a_file_is_found_with_its_place(tmp_path: Path) -> None:
    text = changed(demo_text("arm-joint"), "torque: 80 N·m", "torque: eighty")
    text = changed(text, "demo: true", "demo: maybe")
    path = written(tmp_path, text)
    with pytest.raises(BrokenProcedureError, match="and 1 more: run `sparehand check") as refusal:
        load_procedure(path)
    lines = [finding.line for finding in refusal.value.findings]
    assert lines == [line_of(text, "demo: maybe"), line_of(text, "torque: eighty")]


def test_a_newer_format_is_refused_with_what_to_do(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="format 3 is not read here, only formats 1 and 2; use a newer Sparehand"):
        load_procedure(written(tmp_path, "format: 3\nfoo: bar\n"))


def test_a_missing_file_is_one_line(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="cannot be read"):
        load_procedure(tmp_path / "none.yaml")


@pytest.mark.parametrize("id", DEMOS)
def test_a_demo_procedure_loads_with_its_hash_and_is_marked_as_demo_data(id: str) -> None:
    loaded = demo(id)
    assert loaded.procedure.id == id == loaded.path.stem
    assert loaded.procedure.demo
    assert "(invented" in loaded.procedure.vehicle
    assert loaded.sha256 == hashlib.sha256(loaded.path.read_bytes()).hexdigest()
    assert loaded.text == demo_text(id)


def test_a_position_is_that_of_the_key_or_of_the_nearest_thing_around() -> None:
    loaded = demo("arm-joint")
    line = line_of(loaded.text, "torque: 42 N·m")
    assert loaded.position("fasteners", 1, "tightening", 0, "torque") == (line, 9)
    assert loaded.position("fasteners", 1, "tightening", 0, "condition") == (line, 9)
    assert loaded.position("nowhere") == loaded.position()


def test_quoted_scalars_stay_text_and_plain_ones_are_read() -> None:
    placed = read_yaml("a: '1'\nb: 1\nc: 1.5\nd: true\ne: null\nf: 'true'\ng: yes\nh: 1e3\ni:\n")
    assert placed.data == {
        "a": "1",
        "b": 1,
        "c": 1.5,
        "d": True,
        "e": None,
        "f": "true",
        "g": "yes",
        "h": 1000.0,
        "i": None,
    }


def test_a_field_of_format_2_asks_for_format_2(tmp_path: Path) -> None:
    text = changed(demo_text("arm-joint"), "ends: ride-height", "ends: ride-height\n        raises: vehicle")
    with pytest.raises(BrokenProcedureError, match="'raises' came with format 2; write `format: 2` at the top"):
        load_procedure(written(tmp_path, text))
    raised = load_procedure(written(tmp_path, changed(text, "format: 1", "format: 2"))).procedure
    assert raised.phases[0].steps[0].raises == "vehicle"


@pytest.mark.parametrize(
    ("old", "new", "field"),
    [
        ("thread: M16x1.5", "thread: 5/8-18 UNF", "thread"),
        ("use_once: true\n    thread_state", "low_torque: a seal\n    thread_state", "low_torque"),
    ],
)
def test_an_inch_thread_and_a_reason_for_a_low_torque_ask_for_format_2(
    old: str, new: str, field: str, tmp_path: Path
) -> None:
    text = changed(demo_text("belt-drive-locking-tools"), old, new)
    with pytest.raises(BrokenProcedureError, match=f"'{field}' came with format 2"):
        load_procedure(written(tmp_path, text))
    fastener = load_procedure(written(tmp_path, changed(text, "format: 1", "format: 2"))).procedure.fastener(
        "crank-bolt"
    )
    assert getattr(fastener, field) == new.splitlines()[0].partition(": ")[2]


def test_a_field_of_a_higher_level_is_set_aside_and_told_in_one_line(tmp_path: Path) -> None:
    text = changed(demo_text("belt-drive-locking-tools"), "demo: true", "demo: true\nlevel: 99\nsmells_of: oil")
    loaded = load_procedure(written(tmp_path, text))
    assert loaded.procedure.operations == demo("belt-drive-locking-tools").procedure.operations
    assert set_aside_words(loaded).count("\n") == 0
    assert "'smells_of' (line " in set_aside_words(loaded)


def test_a_misspelt_field_of_a_known_level_is_refused(tmp_path: Path) -> None:
    text = changed(demo_text("belt-drive-locking-tools"), "demo: true", "demo: true\nlevel: 2\nsmells_of: oil")
    with pytest.raises(BrokenProcedureError, match="smells_of"):
        load_procedure(written(tmp_path, text))


def test_a_higher_level_excuses_no_other_fault(tmp_path: Path) -> None:
    text = changed(demo_text("belt-drive-locking-tools"), "demo: true", "demo: 7\nlevel: 99\nsmells_of: oil")
    with pytest.raises(BrokenProcedureError):
        load_procedure(written(tmp_path, text))
