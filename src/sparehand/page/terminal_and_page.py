"""The page beside the terminal: both are told the same, and the terminal shows the code that a device needs."""

from __future__ import annotations

from collections.abc import Sequence

from sparehand.ground.clock import Moment
from sparehand.job.answer import Answer
from sparehand.job.experience import Experience
from sparehand.job.state import JobState
from sparehand.page.page_state import PageView
from sparehand.page.pairing import Pairing
from sparehand.screens.job_view import Heard, JobView


class TerminalAndPage(JobView):
    """Tells two views. The code stands beside the terminal's listening sign until a device has used it."""

    def __init__(self, terminal: JobView, page: PageView, pairing: Pairing) -> None:
        self._terminal, self._page, self._pairing = terminal, page, pairing
        self._listening = ""
        self._code = pairing.code

    def expects(self, experience: Experience) -> None:
        """Tell both."""
        self._terminal.expects(experience)
        self._page.expects(experience)

    def listens(self, how: str) -> None:
        """Tell both; only the terminal shows the code."""
        self._listening = how
        self._terminal.listens(f"{how}, page code {self._code}" if self._code else how)
        self._page.listens(how)

    def heard(self, heard: Heard) -> None:
        """Tell both."""
        self._terminal.heard(heard)
        self._page.heard(heard)

    def answered(self, answer: Answer) -> None:
        """Tell both."""
        self._terminal.answered(answer)
        self._page.answered(answer)

    def state(self, state: JobState, now: Moment) -> None:
        """Tell both, and take the code away once it is used up."""
        if self._code != self._pairing.code:
            self._code = self._pairing.code
            self._terminal.picture(())
            self.listens(self._listening)
        self._terminal.state(state, now)
        self._page.state(state, now)

    def note(self, text: str) -> None:
        """Tell both."""
        self._terminal.note(text)
        self._page.note(text)

    def picture(self, rows: Sequence[str]) -> None:
        """Show it on the terminal alone."""
        self._terminal.picture(rows)

    def asks_picture(self) -> bool:
        """Ask on the page."""
        return self._page.asks_picture()

    def close(self) -> None:
        """Close both."""
        self._page.close()
        self._terminal.close()
