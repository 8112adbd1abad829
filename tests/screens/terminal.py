"""A terminal of the few sequences that a painted screen needs, to see what a person would see."""

from __future__ import annotations

import io
import re

from rich.console import Console

_SEQUENCE = re.compile(r"\x1b\[(?P<arguments>[\d;?]*)(?P<final>[A-Za-z])|\x1b(?P<cursor>[78])")


class Terminal:
    """Rows of cells, a cursor, and how often everything was cleared."""

    def __init__(self, columns: int, rows: int) -> None:
        self.file = io.StringIO()
        self.console = Console(file=self.file, width=columns, height=rows, force_terminal=True, legacy_windows=False)
        self.clears = 0
        self.alternate = False
        self.row = self.column = 0
        self.cells: dict[tuple[int, int], str] = {}
        self._saved = (0, 0)
        self._read = 0

    def sent(self) -> str:
        """What was sent since this was asked last."""
        everything = self.file.getvalue()
        new = everything[self._read :]
        self._read = len(everything)
        return new

    def resize(self, columns: int, rows: int) -> None:
        """The person drags the window's corner; a terminal keeps what it shows."""
        self.console.size = (columns, rows)

    def shown(self) -> list[str]:
        """The rows as a person sees them now."""
        self._take(self.sent())
        rows = range(self.console.height)
        return ["".join(self.cells.get((row, at), " ") for at in range(self.console.width)).rstrip() for row in rows]

    def _take(self, text: str) -> None:
        place = 0
        for match in _SEQUENCE.finditer(text):
            self._write(text[place : match.start()])
            place = match.end()
            if match["cursor"]:
                self._cursor(match["cursor"])
            else:
                self._control(match["arguments"], match["final"])
        self._write(text[place:])

    def _write(self, text: str) -> None:
        for sign in text:
            if sign == "\n":
                self.row, self.column = self.row + 1, 0
            else:
                assert self.column < self.console.width, "a row ran over the edge"
                self.cells[self.row, self.column] = sign
                self.column += 1

    def _cursor(self, which: str) -> None:
        if which == "7":
            self._saved = (self.row, self.column)
        else:
            self.row, self.column = self._saved

    def _control(self, arguments: str, final: str) -> None:
        match final:
            case "H":
                row, _, column = (arguments or "1;1").partition(";")
                self.row, self.column = int(row) - 1, int(column or 1) - 1
            case "J":
                self.clears += 1
                self.cells.clear()
            case "h" | "l" if arguments == "?1049":
                self.alternate = final == "h"
            case "m":
                pass
            case _:
                raise AssertionError(f"a sequence that a plain terminal may not know: {arguments}{final}")
