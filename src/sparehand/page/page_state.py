"""What the page shows: the same glance as the terminal's, kept for whoever asks for it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from pydantic import TypeAdapter

from sparehand.ground.clock import Moment
from sparehand.job.answer import Answer, plain
from sparehand.job.experience import Experience
from sparehand.job.state import JobState
from sparehand.procedures.quantities import TorqueUnit
from sparehand.screens.glance_view import Glance, beyond, glance, in_unit, opening_glance
from sparehand.screens.job_view import Heard, HeardLine, JobView, heard_line


@dataclass(frozen=True)
class Shown:
    """One state of the page: the glance, and what was told beyond it."""

    glance: Glance
    told: str
    over: bool = False

    def json(self) -> str:
        """As the page's script reads it."""
        return _ADAPTER.dump_json(self).decode()


_ADAPTER = TypeAdapter(Shown)


class PageView(JobView):
    """Holds the latest `shown`, an immutable value that another thread may read at any time."""

    def __init__(self) -> None:
        self._experience = Experience()
        self._listening = ""
        self._heard: HeardLine | None = None
        self._answer = Answer()
        self._unit: TorqueUnit | None = None
        self._job: tuple[JobState, Moment] | None = None
        self.shown = Shown(opening_glance("", None, ""), "")

    def expects(self, experience: Experience) -> None:
        """Hold the phase clock against this."""
        self._experience = experience

    def listens(self, how: str) -> None:
        """Show whether it listens."""
        self._listening = how
        self._show()

    def heard(self, heard: Heard) -> None:
        """Show what was heard."""
        self._heard = heard_line(heard)
        self._show()

    def answered(self, answer: Answer) -> None:
        """Show the answer until the next."""
        self._answer = answer
        self._unit = answer.torque_unit or self._unit
        self._show()

    def state(self, state: JobState, now: Moment) -> None:
        """Show the job as it stands."""
        self._job = (state, now)
        self._show()

    def note(self, text: str) -> None:
        """Show a note as if it were an answer."""
        self._answer = Answer((plain(text),))
        self._show()

    def picture(self, rows: Sequence[str]) -> None:
        """Not here: whoever sees the page needs no way to it."""

    def close(self) -> None:
        """Tell the page that nothing more comes."""
        self.shown = Shown(self.shown.glance, self.shown.told, over=True)

    def _show(self) -> None:
        if self._job is None:
            self.shown = Shown(opening_glance(self._answer.shown, self._heard, self._listening), "")
            return
        state, now = in_unit(self._job[0], self._unit), self._job[1]
        told = beyond(state, self._answer)
        refused = "refused: " if told and self._answer.tone == "refused" else ""
        self.shown = Shown(glance(state, now, self._experience, self._heard, self._listening), f"{refused}{told}")
