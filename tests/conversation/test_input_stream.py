"""What comes to the bench from outside of the microphone: whatever bytes it is made of, the reading goes on."""

from __future__ import annotations

import io
from datetime import UTC, datetime
from typing import cast

import pytest

from sparehand.conversation.input_stream import Keyboard, KeyPress, Report, TimePassed, TypedLine
from sparehand.ground.clock import Clock, start_of_run


def clock() -> Clock:
    return start_of_run(datetime(2030, 1, 7, 8, tzinfo=UTC), "test")


def typed(raw: bytes) -> list[str]:
    """The lines of an input that ends."""
    keyboard = Keyboard(io.TextIOWrapper(io.BytesIO(raw), encoding="utf-8"))
    return [item.text if isinstance(item, TypedLine) else "(key)" for item in keyboard.arriving(clock()) if told(item)]


def told(item: object) -> bool:
    return isinstance(item, TypedLine | KeyPress)


@pytest.mark.parametrize(
    ("raw", "lines"),
    [
        (b"next\n", ["next"]),
        (b"\n", ["(key)"]),
        (b"\xff\xfe where\nnext\n", ["\ufffd\ufffd where", "next"]),
        (b"next\xc3", ["next\ufffd"]),
        (b"\x00\x1b[A\nnext\n", ["\x00\x1b[A", "next"]),
    ],
)
def test_bytes_that_are_no_text_end_neither_the_reading_nor_the_input(raw: bytes, lines: list[str]) -> None:
    assert typed(raw) == lines


def test_a_line_without_end_comes_in_pieces() -> None:
    assert {len(piece) for piece in typed(b"x" * 25_000)} == {10_000, 5_000}


class LostTerminal(io.StringIO):
    """A terminal that goes away while it is read."""

    def readline(self, _size: int | None = -1, /) -> str:  # type: ignore[override]
        raise OSError(5, "Input/output error")


def test_a_terminal_that_is_lost_is_told_and_ends_the_input() -> None:
    arrived = [item for item in Keyboard(LostTerminal()).arriving(clock()) if not isinstance(item, TimePassed)]
    assert [cast(Report, item).text for item in arrived] == ["the keyboard is lost"]


def test_what_other_threads_report_comes_beside_the_typing() -> None:
    keyboard = Keyboard(None)
    keyboard.press("next")
    keyboard.report("the page failed")
    now = clock().now()
    assert list(keyboard.waiting(now)) == [TypedLine("next", now), Report("the page failed", now)]
