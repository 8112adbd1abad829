"""The latest exchange: the last phrase, and everything that was answered to it or told since."""

from __future__ import annotations

from dataclasses import dataclass, replace

from sparehand.ground.clock import Moment
from sparehand.job.answer import Answer, plain
from sparehand.procedures.quantities import TorqueUnit
from sparehand.screens.job_view import Heard, HeardLine, heard_line

ANSWER_STAYS_MS = 30_000
"""How long an answer stays on a screen at least, where no other phrase comes."""
READING_MS_A_WORD = 600
"""How long a word of a longer answer stays: slow reading, with eyes that come back to the screen now and then."""
PAGE_MS = 6_000


@dataclass(frozen=True)
class _Told:
    answer: Answer
    since: Moment | None = None

    def over(self, now: Moment) -> bool:
        """Whether it has been seen for long enough."""
        if self.since is None:
            return False
        stays = max(ANSWER_STAYS_MS, READING_MS_A_WORD * len(self.answer.shown.split()))
        return self.since.milliseconds_until(now) > stays


class Exchange:
    """Keeps phrase and answers together: no answer outlives its phrase, and none is lost to a later one."""

    def __init__(self) -> None:
        self.heard: HeardLine | None = None
        self.unit: TorqueUnit | None = None
        self._told: tuple[_Told, ...] = ()
        self._now: Moment | None = None

    def hears(self, heard: Heard) -> None:
        """Another phrase takes the last answers away; talk that is left alone does not, while one is to be read."""
        line = heard_line(heard)
        if line.text:
            self._told = ()
        if line.text or not self._told:
            self.heard = line

    def answers(self, answer: Answer) -> None:
        """One more answer, and the unit that its torques are in."""
        self.unit = answer.torque_unit or self.unit
        if answer.shown:
            self._told = (*self._told, _Told(answer))

    def notes(self, text: str) -> None:
        """Something that nobody said."""
        self.answers(Answer((plain(text),)))

    def passes(self, now: Moment) -> None:
        """Time passes; what was seen for long enough goes."""
        self._now = now
        dated = (told if told.since else replace(told, since=now) for told in self._told)
        self._told = tuple(told for told in dated if not told.over(now))

    @property
    def shown(self) -> str:
        """All that was told, in words."""
        return " ".join(told.answer.shown for told in self._told)

    @property
    def page(self) -> int:
        """The page of a long answer that is to be seen now, counted up without end."""
        since = next((told.since for told in self._told), None)
        return since.milliseconds_until(self._now) // PAGE_MS if since and self._now else 0

    def beyond(self, visible: str, drawn: frozenset[str]) -> str:
        """What was told beyond what is `visible` in words and `drawn` as numbers; a refusal always in full."""
        parts = []
        seen = visible.casefold()
        for answer in (told.answer for told in self._told):
            refused = answer.tone == "refused"
            lines = [line.shown for line in answer.lines if line.shown]
            new = [one for one in lines if refused or not (one.casefold() in seen or one.casefold() in drawn)]
            parts.append(" ".join((["refused:"] if refused else []) + new))
        return " ".join(filter(None, parts))
