"""The glance screen: the whole terminal, painted row by row where a row has changed."""

from __future__ import annotations

from collections.abc import Sequence

from rich.color import ColorSystem
from rich.console import Console
from rich.style import Style
from rich.text import Text

from sparehand.ground.clock import Moment
from sparehand.ground.terminal import printable
from sparehand.job.answer import Answer
from sparehand.job.experience import Experience
from sparehand.job.state import JobState
from sparehand.screens.exchange import Exchange
from sparehand.screens.glance_layout import (
    LEAST_COLUMNS,
    LEAST_SCREEN_ROWS,
    Size,
    laid_out,
    pictured,
    prompt_row,
    visible_text,
)
from sparehand.screens.glance_view import drawn_sentences, glance, in_unit, opening_glance
from sparehand.screens.job_view import Heard

_OPEN, _CLEAR = "\x1b[?1049h", "\x1b[2J"
_SAVE_CURSOR, _RESTORE_CURSOR, _LEAVE = "\x1b7", "\x1b8", "\x1b[?1049l"


def can_glance(console: Console) -> bool:
    """Whether the terminal can show the glance screen: it can be painted at will and is large enough."""
    large = console.width >= LEAST_COLUMNS and console.height >= LEAST_SCREEN_ROWS
    return console.is_terminal and not console.is_dumb_terminal and not console.legacy_windows and large


class GlanceScreen:
    """A view of a job for across the bay. Only rows that changed are sent, so that it is quiet over a slow line.

    The cursor waits on a row of its own for words typed beside the microphone. A terminal that is lost stops the
    painting and nothing else.
    """

    def __init__(self, console: Console) -> None:
        self._console = console
        self._experience = Experience()
        self._listening = ""
        self._exchange = Exchange()
        self._texts: list[str] = []
        self._picture: tuple[str, ...] = ()
        self._job: tuple[JobState, Moment] | None = None
        self._rows: tuple[str, ...] = ()
        self._size: Size | None = None
        self._lost = False

    def expects(self, experience: Experience) -> None:
        """Hold the phase clock against this."""
        self._experience = experience

    def listens(self, how: str) -> None:
        """Show this word as the sign that it listens."""
        self._listening = how
        if self._size is not None:
            self._paint()

    def heard(self, heard: Heard) -> None:
        """Show what was heard, and give typed words their row back."""
        self._exchange.hears(heard)
        self._picture = ()
        self._texts.clear()
        self._rows = ()
        self._paint()

    def answered(self, answer: Answer) -> None:
        """Show what an answer tells beyond the glance."""
        self._exchange.answers(answer)
        self._texts.append(answer.shown)
        self._paint()

    def state(self, state: JobState, now: Moment) -> None:
        """Show the job as it stands at `now`."""
        self._job = (state, now)
        self._exchange.passes(now)
        self._paint()

    def note(self, text: str) -> None:
        """Show a note as if it were an answer."""
        self._exchange.notes(text)
        self._texts.append(text)
        self._paint()

    def picture(self, rows: Sequence[str]) -> None:
        """Show rows of blocks in place of the glance, where they fit."""
        self._picture = tuple(rows)
        self._paint()

    def close(self) -> None:
        """Give the terminal back as it was, and leave on it what was told last."""
        if self._size is None:
            return
        self._send(_LEAVE)
        self._size = None
        if not self._lost:
            for text in filter(None, self._texts):
                self._console.print(Text(printable(text)))

    def _paint(self) -> None:
        size = Size(self._console.width, self._console.height)
        first = self._size is None
        if size != self._size:
            self._rows = ()
        rows = tuple(_ansi(row) for row in self._layout(size))
        changed = [place for place, row in enumerate(rows) if place >= len(self._rows) or self._rows[place] != row]
        painted = "".join(f"\x1b[{place + 1};1H{rows[place]}" for place in changed)
        park = f"\x1b[{prompt_row(size) + 1};4H" if not self._rows else ""
        if painted:
            opening = _OPEN + _CLEAR if first else ""
            self._send(f"{opening}{_SAVE_CURSOR}{painted}{_RESTORE_CURSOR}{park}")
        self._rows, self._size = rows, size

    def _layout(self, size: Size) -> tuple[Text, ...]:
        if self._picture and len(self._picture) <= size.rows and len(self._picture[0]) <= size.columns:
            return pictured(self._picture, size)
        latest = self._exchange
        if self._job is None:
            return laid_out(opening_glance(" ".join(self._texts), latest.heard, self._listening), "", size)
        state, now = in_unit(self._job[0], latest.unit), self._job[1]
        seen = glance(state, now, self._experience, latest.heard, self._listening)
        return laid_out(seen, latest.beyond(visible_text(seen, size), drawn_sentences(state, seen)), size, latest.page)

    def _send(self, sequence: str) -> None:
        if self._lost:
            return
        try:
            self._console.file.write(sequence)
            self._console.file.flush()
        except (OSError, ValueError):
            self._lost = True


def _ansi(row: Text) -> str:
    """A row with the sequences for bold and reverse around it."""
    return Style.parse(str(row.style)).render(row.plain, color_system=ColorSystem.STANDARD)
