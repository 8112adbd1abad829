"""A conversation about several open jobs: one at a time is worked on, the others are on hold."""

from __future__ import annotations

from collections.abc import Callable, Collection
from contextlib import ExitStack
from dataclasses import replace

from sparehand.at_work.open_jobs import described, open_jobs
from sparehand.conversation.session import JobSession
from sparehand.ground.clock import Moment
from sparehand.ground.errors import FailureError
from sparehand.job.answer import Answer, Line, plain
from sparehand.job.commands import Command, GoOn, Hold, OtherJob, TechnicianJoins, TechnicianSpeaks, WhichJob
from sparehand.job.events import By
from sparehand.job.situation import Situation
from sparehand.job.state import JobState
from sparehand.log.store import EventStore, JobHeader
from sparehand.procedures.model import Procedure

TakeUp = Callable[[str, Moment], JobSession]
"""Takes an open job up on this bench."""
TurnTo = Callable[[JobSession], None]
"""Lets ears and screen be about a job."""


class SeveralJobs:
    """Answers as the job that is worked on, until another one is asked for. Jobs once taken up stay claimed."""

    def __init__(
        self,
        store: EventStore,
        session: JobSession,
        take_up: TakeUp,
        turn_to: TurnTo,
        claims: ExitStack,
        learn: Callable[[Procedure], None] = lambda _procedure: None,
    ) -> None:
        """`learn` is told of the procedure of a job that another one joined, for the names that it brings."""
        self._store = store
        self._learn = learn
        self.session = session
        self._take_up, self._turn_to = take_up, turn_to
        self._claims = claims
        self._claimed = {session.state.job}

    @property
    def over(self) -> bool:
        """Whether the present job is closed or parked."""
        return self.session.over

    @property
    def situations(self) -> frozenset[Situation]:
        """What counts as said now."""
        return self.session.situations

    @property
    def current(self) -> JobState:
        """The present job."""
        return self.session.state

    def respond(self, command: Command, now: Moment, phrases: Collection[str] = (), by: By | None = None) -> Answer:
        """The present job answers, but for what is about another."""
        if isinstance(command, OtherJob) and not self.session.state.progress.question:
            return self._switch(now)
        joined = self.current.progress.joined
        answer = self.session.respond(command, now, phrases, by)
        if self.current.progress.joined != joined:
            self._learn(self.current.plan.procedure)
        if isinstance(command, WhichJob):
            return replace(answer, lines=(*answer.lines, *self._others()))
        return answer

    def tick(self, now: Moment) -> Answer:
        """Let time pass on the present job."""
        return self.session.tick(now)

    def likely(self, now: Moment) -> tuple[str, ...]:
        """What the present job would probably say next."""
        return self.session.likely(now)

    def _others(self) -> tuple[Line, ...]:
        others = [plain(f"Also open: {described(header)}.") for header in self._round() if header.open]
        return tuple(others) or (plain("No other job is open."),)

    def _round(self) -> tuple[JobHeader, ...]:
        """The other open jobs, those that were opened after the present one first."""
        jobs = open_jobs(self._store)
        here = next((place for place, job in enumerate(jobs) if job.id == self.session.state.job), 0)
        return (*jobs[here + 1 :], *jobs[:here])

    def _switch(self, now: Moment) -> Answer:
        """To the next open job that no other window has, which is durable before the present one is put on hold."""
        job = next((header.id for header in self._round() if self._claim(header.id)), None)
        if job is None:
            return Answer((plain("No other job is open at this bench."), plain("Say which job.")), tone="refused")
        before, taken_up = self.session, self._take_up(job, now)
        if before.state.progress.hold is None:
            before.respond(Hold("other job"), now)
        before.stop(now)
        self.session = taken_up
        self._turn_to(taken_up)
        self._act_as(before.state.progress.crew.acting, now)
        which = self.session.respond(WhichJob(), now)
        back = self.session.come_back(now)
        return replace(back, lines=(*which.lines, *back.lines))

    def _act_as(self, technician: str, now: Moment) -> None:
        """Whoever switched works on the new job, and goes on with it where it was on hold for the other."""
        crew = self.session.state.progress.crew
        if technician not in crew.names:
            self.session.respond(TechnicianJoins(technician), now)
        elif technician != crew.acting:
            self.session.respond(TechnicianSpeaks(technician), now)
        if self.session.state.progress.hold == "other job":
            self.session.respond(GoOn(), now)

    def _claim(self, job: str) -> bool:
        if job not in self._claimed:
            try:
                self._claims.enter_context(self._store.claim(job))
            except FailureError:
                return False
            self._claimed.add(job)
        return True
