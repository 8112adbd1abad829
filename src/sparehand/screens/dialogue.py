"""The conversation as plain lines, one under the other: for a demo, and where the output is no terminal."""

from __future__ import annotations

from collections.abc import Sequence

from rich.console import Console
from rich.progress import Progress, ProgressColumn, Task, TaskID, TextColumn
from rich.table import Table
from rich.text import Text

from sparehand.ground.clock import Moment
from sparehand.ground.terminal import printable
from sparehand.job.answer import Answer
from sparehand.job.experience import Experience
from sparehand.job.state import JobState
from sparehand.screens.job_view import DARK_ON_LIGHT, Heard, command_words, heard_line

_WHO_COLUMNS = 12
_BAR_COLUMNS = 24


class _BlockBar(ProgressColumn):
    """A bar told by its filling, so that it reads the same without colours."""

    def render(self, task: Task) -> Text:
        filled = round(_BAR_COLUMNS * task.percentage / 100)
        return Text("█" * filled + "░" * (_BAR_COLUMNS - filled))


class DialogueView:
    """Prints what is said by whom as it happens; who speaks is told by a word, not by a colour."""

    def __init__(self, console: Console) -> None:
        self._console = console
        self._said: str | None = None
        self._bar: Progress | None = None
        self._task: TaskID | None = None

    def expects(self, experience: Experience) -> None:
        """Lines show no clock to hold against it."""

    def listens(self, how: str) -> None:
        """Lines do not stay; a note tells it where it is wanted."""

    def said(self, text: str) -> None:
        """What the technician really says, where that is known; what is heard next is held against it."""
        self._missed()
        self._said = text
        self._line("technician", text, "bold")

    def heard(self, heard: Heard) -> None:
        """What was heard, with how sure; misheard where it is known to be something else than was said."""
        said, self._said = self._said, None
        line = heard_line(heard)
        if not line.text:
            self._line("not heard" if said else "heard", line.why_not)
            return
        who = "misheard as" if said is not None and _plain(said) != _plain(line.text) else line.source
        means = f" ({command_words(heard.command)})" if who == "misheard as" and heard.command is not None else ""
        self._line(who, f"{line.sentence}{means}")

    def answered(self, answer: Answer) -> None:
        """What the assistant answers, and whether that is a refusal."""
        if answer.shown.strip():
            self._line("refused" if answer.tone == "refused" else "assistant", answer.shown)

    def state(self, state: JobState, now: Moment) -> None:
        """Lines show what was said, not how the job stands."""

    def note(self, text: str) -> None:
        """Something that nobody said."""
        self._line("", text, "italic")

    def picture(self, rows: Sequence[str]) -> None:
        """Rows of blocks, once."""
        for row in rows:
            self._console.print(Text(row, style=DARK_ON_LIGHT), soft_wrap=True)

    def progress(self, done_seconds: float, total_seconds: float) -> None:
        """How much of the sound has been heard; drawn below the lines, and only on a terminal."""
        if not self._console.is_terminal:
            return
        bar = self._bar or self._start_bar()
        if self._task is None:
            self._task = bar.add_task("sound", total=total_seconds, clock="")
        clock = f"{_clock(done_seconds)} of {_clock(total_seconds)}"
        bar.update(self._task, completed=done_seconds, total=total_seconds, clock=clock)

    def close(self) -> None:
        """Take the progress bar down."""
        self._missed()
        if self._bar is not None:
            self._bar.stop()
        self._bar = self._task = None

    def _missed(self) -> None:
        """Nothing came of what was said last: not even a sound was made out."""
        if self._said is not None:
            self._line("not heard", "nothing was made out")
        self._said = None

    def _start_bar(self) -> Progress:
        columns = (TextColumn("sound heard"), _BlockBar(), TextColumn("{task.fields[clock]}"))
        self._bar = Progress(*columns, console=self._console)
        self._bar.start()
        return self._bar

    def _line(self, who: str, what: str, style: str = "") -> None:
        grid = Table.grid(padding=(0, 1))
        grid.add_column(width=_WHO_COLUMNS, justify="right", no_wrap=True)
        grid.add_column(ratio=1, overflow="fold")
        grid.add_row(Text(who), Text(printable(what), style))
        self._console.print(grid)


def _plain(text: str) -> str:
    """The words alone, so that capitals and commas are no mishearing."""
    return " ".join("".join(sign for sign in text.lower() if sign.isalnum() or sign.isspace()).split())


def _clock(seconds: float) -> str:
    return f"{int(seconds) // 60}:{int(seconds) % 60:02d}"
