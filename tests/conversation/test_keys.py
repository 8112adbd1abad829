"""The key that opens the ears: tapped or held, on a real terminal too."""

from __future__ import annotations

import os
import queue

import pytest
from hypothesis import given, strategies as st

from sparehand.conversation.keys import (
    FIRST_REPEAT_SECONDS,
    LET_GO_SECONDS,
    KeyReader,
    KeyTiming,
    Press,
    can_read_keys,
    keys_of,
)

PAGE_DOWN = "\x1b[6~"


def reader() -> tuple[KeyReader, list[str]]:
    echoed: list[str] = []
    return KeyReader(echoed.append), echoed


def test_a_key_that_comes_down_once_is_tapped() -> None:
    timing = KeyTiming()
    assert timing.down(10.0) == Press("tapped")
    assert timing.passing(20.0) is None


def test_a_key_that_repeats_is_held_since_it_came_down_and_let_go_after_its_last_repeat() -> None:
    timing = KeyTiming()
    timing.down(10.0)
    assert timing.down(10.5) == Press("held", 0.5)
    assert [timing.down(10.5 + place * 0.03) for place in range(1, 20)] == [None] * 19
    assert timing.passing(11.07 + LET_GO_SECONDS / 2) is None
    assert timing.passing(11.07 + LET_GO_SECONDS + 0.01) == Press("let go")
    assert timing.down(30.0) == Press("tapped")


@given(st.lists(st.floats(0.01, 5.0), max_size=60))
def test_a_held_key_is_always_let_go_once(gaps: list[float]) -> None:
    timing, at, presses = KeyTiming(), 0.0, []
    for gap in gaps:
        presses.append(timing.passing(at + gap))
        at += gap
        presses.append(timing.down(at))
    presses.append(timing.passing(at + 10))
    told = [press.how for press in presses if press is not None and press.how != "tapped"]
    assert told == ["held", "let go"] * (len(told) // 2)


def test_taps_farther_apart_than_a_repeat_are_taps() -> None:
    timing = KeyTiming()
    apart = FIRST_REPEAT_SECONDS + 0.01
    assert [timing.down(place * apart) for place in range(5)] == [Press("tapped")] * 5


def test_letters_make_a_line_and_what_types_nothing_is_the_key() -> None:
    keys, echoed = reader()
    typed = [
        one
        for place, sent in enumerate(("\r", PAGE_DOWN, "next", " step", "\x7f", "\r", " ", "\t"))
        for one in keys.take(sent, place * 10.0)
    ]
    assert typed == [Press("tapped"), Press("tapped"), "next ste", Press("tapped"), Press("tapped")]
    assert "".join(echoed) == "next step\b \b\r\x1b[K"


def test_a_pedal_that_types_a_letter_is_the_key_where_no_line_has_begun() -> None:
    keys = KeyReader(lambda _: None, also="b")
    assert list(keys.take("b", 0.0)) == [Press("tapped")]
    assert list(keys.take("go back\r", 10.0)) == ["go back"]


@pytest.mark.skipif(not hasattr(os, "openpty"), reason="no pseudo-terminals on this system")
def test_a_terminal_gives_its_keys_and_is_as_before_afterwards() -> None:
    import termios

    master, slave = os.openpty()
    typed: queue.Queue[str | Press] = queue.Queue()
    with os.fdopen(slave, "r+b", buffering=0) as raw, os.fdopen(os.dup(slave)) as stream:
        before = termios.tcgetattr(raw)
        assert can_read_keys(stream)
        with keys_of(stream, typed.put, typed.put):
            os.write(master, PAGE_DOWN.encode())
            assert typed.get(timeout=30) == Press("tapped")
            os.write(master, b"mark done\r")
            assert typed.get(timeout=30) == "mark done"
            os.write(master, "für\r".encode()[:2])
            os.write(master, b"\xff" + "für\r".encode()[2:])
            assert typed.get(timeout=30) in ("für", "fr"), "a byte that is no letter is left out"
        assert termios.tcgetattr(raw) == before
    os.close(master)
