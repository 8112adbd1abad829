"""What the page shows: the same glance as the terminal's, kept for whoever asks for it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from pydantic import TypeAdapter

from sparehand.ground.clock import Moment
from sparehand.job.answer import Answer
from sparehand.job.experience import Experience
from sparehand.job.state import JobState
from sparehand.screens.exchange import Exchange
from sparehand.screens.glance_view import Glance, drawn_sentences, glance, in_unit, opening_glance
from sparehand.screens.job_view import Heard, JobView
from sparehand.screens.vehicle_plan import vehicle_plan


@dataclass(frozen=True)
class Shown:
    """One state of the page: the glance, what was told beyond it, and the plan of the vehicle as SVG."""

    glance: Glance
    told: str
    plan: str = ""
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
        self._exchange = Exchange()
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
        self._exchange.hears(heard)
        self._show()

    def answered(self, answer: Answer) -> None:
        """Show the answer for a while, until the next phrase."""
        self._exchange.answers(answer)
        self._show()

    def state(self, state: JobState, now: Moment) -> None:
        """Show the job as it stands."""
        self._job = (state, now)
        self._exchange.passes(now)
        self._show()

    def note(self, text: str) -> None:
        """Show a note as if it were an answer."""
        self._exchange.notes(text)
        self._show()

    def picture(self, rows: Sequence[str]) -> None:
        """Not here: whoever sees the page needs no way to it."""

    def close(self) -> None:
        """Tell the page that nothing more comes."""
        self.shown = replace(self.shown, over=True)

    def _show(self) -> None:
        latest = self._exchange
        if self._job is None:
            self.shown = Shown(opening_glance(latest.shown, latest.heard, self._listening), "")
            return
        state, now = in_unit(self._job[0], latest.unit), self._job[1]
        seen = glance(state, now, self._experience, latest.heard, self._listening)
        told = latest.beyond(_in_words(seen), drawn_sentences(state, seen))
        self.shown = Shown(seen, told, vehicle_plan(seen.loose_at))


def _in_words(seen: Glance) -> str:
    """What the page says of a glance in any case."""
    return " ".join((seen.warning, seen.step, seen.question, *seen.cautions, *seen.to_answer, *seen.coming))
