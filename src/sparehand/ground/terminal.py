"""What is printed: text from outside neither steers the terminal nor counts as markup, wherever it comes from."""

from __future__ import annotations

import sys
from collections.abc import Iterable
from typing import TYPE_CHECKING, Any, TextIO

if TYPE_CHECKING:
    from rich.console import Console


def printable(text: str) -> str:
    """The text with a blank for every character that does not print: a terminal would obey it, or break the line."""
    return text if text.isprintable() else "".join(sign if sign.isprintable() else " " for sign in text)


class _Printed:
    """A text stream that writes no control character but line ends and tabs.

    What paints the screen itself writes to `rich_proxied_file`, the stream behind it, as Rich does by that name.
    """

    def __init__(self, stream: TextIO) -> None:
        self.rich_proxied_file = stream

    def __getattr__(self, name: str) -> Any:
        return getattr(self.rich_proxied_file, name)

    def write(self, text: str) -> int:
        """Write `text`, made safe; gives its length."""
        self.rich_proxied_file.write("\n".join(map(_with_tabs, text.split("\n"))))
        return len(text)

    def writelines(self, lines: Iterable[str]) -> None:
        """Write each of `lines`, made safe."""
        for line in lines:
            self.write(line)


def print_safely() -> None:
    """From now on all that this process prints is made safe."""
    for name in ("stdout", "stderr"):
        stream = getattr(sys, name)
        if stream is not None and not isinstance(stream, _Printed):
            setattr(sys, name, _Printed(stream))


def unfiltered(stream: TextIO) -> TextIO:
    """The stream behind `stream`, for the sequences with which this program itself steers the terminal."""
    return getattr(stream, "rich_proxied_file", stream)


def new_console(file: TextIO | None = None, *, stderr: bool = False) -> Console:
    """A Rich console on `file` or a standard stream. Text is made safe and is no markup; its own styles still show."""
    from rich.console import Console, ConsoleOptions, RenderableType
    from rich.segment import Segment

    class SafeConsole(Console):
        def render(self, renderable: RenderableType, options: ConsoleOptions | None = None) -> Iterable[Segment]:
            for segment in super().render(renderable, options):
                safe = segment.control or segment.text.isprintable()
                yield segment if safe else segment._replace(text="\n".join(map(printable, segment.text.split("\n"))))

    return SafeConsole(file=file, stderr=stderr, markup=False, highlight=False, emoji=False)


def _with_tabs(line: str) -> str:
    return "\t".join(map(printable, line.split("\t")))
