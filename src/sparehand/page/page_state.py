"""What the page shows: the same glance as the terminal's, kept for whoever asks for it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from uuid import UUID

from pydantic import TypeAdapter

from sparehand.ground.clock import Moment
from sparehand.job.answer import Answer
from sparehand.job.deciding.decide_noting import MOST_PICTURES
from sparehand.job.experience import Experience
from sparehand.job.found_faults import fault_words
from sparehand.job.state import JobState
from sparehand.procedures.plan import StepKey
from sparehand.screens.exchange import Exchange
from sparehand.screens.glance_view import Glance, drawn_sentences, glance, in_unit, opening_glance
from sparehand.screens.job_view import Heard, JobView
from sparehand.screens.vehicle_plan import vehicle_plan

ASKED_FOR_MS = 120_000
"""How long a picture is asked for."""


@dataclass(frozen=True)
class ShownPicture:
    """A picture of the present step by its id: the file's own, or one that was taken."""

    id: UUID
    words: str
    taken: bool


@dataclass(frozen=True)
class PicturePlace:
    """What a picture belongs to that is taken now. `number` is that of the request for it; 0 is nobody's request."""

    number: int
    job: str
    at: StepKey
    asked: Moment


@dataclass(frozen=True)
class Shown:
    """One state of the page: the glance, what was told beyond it, and the plan of the vehicle as SVG.

    `picture_asked` is the number of the request for a picture that is open, 0 where none is.
    """

    glance: Glance
    told: str
    plan: str = ""
    pictures: tuple[ShownPicture, ...] = ()
    picture_asked: int = 0
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
        self._requests = 0
        self._request: PicturePlace | None = None
        self.watching = 0
        """How many devices are being sent what is shown."""
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
        request = self._request
        if request and (request.job != state.job or request.asked.milliseconds_until(now) > ASKED_FOR_MS):
            self._request = None
        self._exchange.passes(now)
        self._show()

    def note(self, text: str) -> None:
        """Show a note as if it were an answer."""
        self._exchange.notes(text)
        self._show()

    def picture(self, rows: Sequence[str]) -> None:
        """Not here: whoever sees the page needs no way to it."""

    def asks_picture(self) -> bool:
        """Ask everybody who has the page open; the first picture counts."""
        place = self.picture_place(0)
        if place is None or not self.watching:
            return False
        self._requests += 1
        self._request = replace(place, number=self._requests)
        self._show()
        return True

    def picture_place(self, number: int) -> PicturePlace | None:
        """What the picture for that request belongs to; None where that is settled, or there is no job."""
        if number or self._job is None:
            return self._request if self._request and self._request.number == number else None
        state, now = self._job
        return PicturePlace(0, state.job, state.progress.at, now)

    def settle(self, number: int) -> bool:
        """A picture is there; whether it is the first for that request, which is settled by it."""
        first = self.picture_place(number) is not None
        if number and first:
            self._request = None
            self._show()
        return first

    def has_picture(self, id: UUID) -> bool:
        """Whether a picture belongs to the present job."""
        state = self._job[0] if self._job else None
        return state is not None and id in (
            *state.pictures.values(),
            *(one.picture for one in state.progress.pictures),
        )

    @property
    def full(self) -> bool:
        """Whether the job takes no more pictures."""
        return self._job is not None and len(self._job[0].progress.pictures) >= MOST_PICTURES

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
        pictures = () if seen.warning else tuple(_pictures(state))
        asked = self._request.number if self._request else 0
        self.shown = Shown(seen, told, vehicle_plan(seen.loose_at), pictures, asked)


def _pictures(state: JobState) -> Iterator[ShownPicture]:
    """Those of the present step, the file's own first."""
    own = state.pictures.get(state.step.picture or "")
    if own:
        yield ShownPicture(own, f"Picture of this step: {state.step.say}", taken=False)
    for one in state.progress.pictures:
        if one.at == state.progress.at:
            fault = next((fault for fault in state.progress.faults if fault.number == one.finding), None)
            what = fault_words(state.plan.procedure, fault.found) if fault else "at this step"
            yield ShownPicture(one.picture, f"Taken: {what}", taken=True)


def _in_words(seen: Glance) -> str:
    """What the page says of a glance in any case."""
    return " ".join((seen.warning, seen.step, seen.question, *seen.cautions, *seen.to_answer, *seen.coming))
