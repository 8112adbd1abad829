"""One job on this bench: a command goes in, its events are saved, and only then there is an answer."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from uuid import UUID

from pydantic import ValidationError

from sparehand.conversation.active_phrases import situations
from sparehand.ground.bounds import first_problem
from sparehand.ground.clock import Moment
from sparehand.ground.errors import FailureError
from sparehand.ground.ids import new_event_id
from sparehand.job import events as e
from sparehand.job.answer import Answer
from sparehand.job.answering.answer_context import AnswerContext
from sparehand.job.answering.answer_resuming import asks_gap
from sparehand.job.answers import answer, coming_back
from sparehand.job.commands import Command, MarkDone, Next, NoteTaken, RepeatTorque, Tick, WhatSize
from sparehand.job.decide import decide
from sparehand.job.decision import Context, refuse
from sparehand.job.experience import Experience
from sparehand.job.noticing import noticed
from sparehand.job.situation import Situation
from sparehand.job.state import JobState, apply, fold
from sparehand.log.store import EventStore

ALIVE_EVERY_MS = 60_000
"""How often the bench writes that it still runs; the most that a power cut leaves unknown."""

LIKELY: tuple[Command, ...] = (Next(), MarkDone(), RepeatTorque(), WhatSize())
"""What is most often said at a step; the answers are made ready before anyone asks."""


class JobSession:
    """A job that is open on this bench. Events are durable before `respond` returns their answer.

    `terse` makes its answers as short for the ear as they can be; `experience` is what is expected of the job.
    """

    def __init__(self, store: EventStore, state: JobState, bench: str, experience: Experience | None = None) -> None:
        self._store = store
        self.state = state
        self._bench = bench
        self.experience = experience or Experience()
        self._last = Answer()
        self._last_at: Moment | None = None
        self.terse = False
        self._awake: Moment | None = None

    @classmethod
    def open(
        cls,
        store: EventStore,
        job: str,
        opened: e.JobOpened,
        now: Moment,
        bench: str,
        experience: Experience | None = None,
        also: Sequence[e.Event] = (),
    ) -> JobSession:
        """Begin a job, with what is recorded beside its opening. Raises FailureError where it cannot be saved."""
        first = _record(job, 0, opened.technician, bench, now, (opened, *also))
        store.append(job, 0, first)
        return cls(store, fold(first), bench, experience)

    @classmethod
    def resume(
        cls, store: EventStore, job: str, now: Moment, bench: str, experience: Experience | None = None
    ) -> JobSession:
        """Take an open job up again; the time since its last event is a gap until somebody says what it was."""
        session = cls(store, fold(store.events(job)), bench, experience)
        session._save((e.BenchStarted(),), now)
        return session

    @property
    def current(self) -> JobState:
        """The state of the job."""
        return self.state

    @property
    def over(self) -> bool:
        """Whether the job is closed or parked, so that the bench has nothing left to hear."""
        return self.state.progress.closed is not None or self.state.progress.parked

    @property
    def situations(self) -> frozenset[Situation]:
        """What counts as said now."""
        return situations(self.state)

    def respond(self, command: Command, now: Moment, phrases: Collection[str] = (), by: e.By | None = None) -> Answer:
        """Decide, save, then answer. Raises FailureError where the events cannot be saved; nothing is said then."""
        self._notice(now)
        try:
            decision = decide(self.state, command, Context(now, self.experience))
        except ValidationError as error:
            decision = refuse(f"That cannot be recorded ({first_problem(error)}).", "it in fewer words")
        if decision.events:
            self._save(decision.events, now, command.id if isinstance(command, NoteTaken) else None, by)
        setting = AnswerContext(now, self.experience, self._last, tuple(phrases), self.terse, self._last_at)
        given = answer(self.state, decision, setting)
        if given.lines:
            self._last, self._last_at = given, now
        return given

    def come_back(self, now: Moment) -> Answer:
        """What is said to somebody who takes the job up again."""
        context = AnswerContext(now, self.experience, self._last, terse=self.terse)
        self._last, self._last_at = coming_back(self.state, context), now
        return self._last

    def tick(self, now: Moment) -> Answer:
        """Let time pass: due timers ring, questions lapse, and now and then the bench writes that it is alive."""
        gap_ms = self.state.gap_ms
        given = self.respond(Tick(), now)
        self._awake = now
        if self.state.gap_ms > gap_ms and not given.lines:
            given = Answer(asks_gap(self.state), tone="heard")
        if self.state.ledger.latest.milliseconds_until(now) >= ALIVE_EVERY_MS and not self.over:
            self._save((e.BenchAlive(),), now)
        return given

    def _notice(self, now: Moment) -> None:
        """Record what happened to the bench and to its clock, before anything is decided by the time."""
        found = noticed(self._awake, self.state.ledger.latest, now)
        if found and not self.over:
            self._save(found, now)
        if self._awake is not None:
            self._awake = now

    def likely(self, now: Moment) -> tuple[str, ...]:
        """What would be said to what is asked most at this point; nothing is decided by it."""
        context, setting = (
            Context(now, self.experience),
            AnswerContext(now, self.experience, self._last, terse=self.terse, last_at=self._last_at),
        )
        return tuple(dict.fromkeys(self._foreseen(command, context, setting) for command in LIKELY))

    def _foreseen(self, command: Command, context: Context, setting: AnswerContext) -> str:
        decision = decide(self.state, command, context)
        state = self.state
        for event in self._recorded(decision.events, context.now):
            state = apply(state, event)
        return answer(state, decision, setting).spoken

    def put_aside(self, technicians: Collection[str], now: Moment) -> None:
        """Leave the job open, with these technicians on hold for another one."""
        speaking = self.state.progress.crew.acting
        for name in technicians:
            self._save((e.TechnicianActs(technician=name), e.HoldStarted(reason="other job")), now)
        self._save((e.TechnicianActs(technician=speaking), e.BenchStopped()), now)

    def amend(self, events: Sequence[e.Event], now: Moment) -> None:
        """Record what somebody at the desk puts right, on a closed job too."""
        self._save(events, now)

    def stop(self, now: Moment) -> None:
        """Leave the job open in good order."""
        if not self.over:
            self._save((e.BenchStopped(),), now)

    def _save(self, events: Sequence[e.Event], now: Moment, id: UUID | None = None, by: e.By | None = None) -> None:
        """`id` is that of the first event, where something was kept under it already.

        What fails after the commit, such as the mark, leaves events that are durable: they count.
        """
        state = self.state
        recorded = tuple(one.model_copy(update={"by": by}) for one in self._recorded(events, now))
        if id is not None:
            recorded = (recorded[0].model_copy(update={"id": id}), *recorded[1:])
        try:
            self._store.append(state.job, state.next_sequence, recorded)
        except FailureError:
            if self._store.events(state.job)[state.next_sequence :] != recorded:
                raise
        for one in recorded:
            state = apply(state, one)
        self.state = state

    def _recorded(self, events: Sequence[e.Event], now: Moment) -> tuple[e.Recorded, ...]:
        state = self.state
        return _record(state.job, state.next_sequence, state.progress.crew.acting, self._bench, now, events)


def amend(
    store: EventStore, job: str, event: e.Event, by: str, bench: str, now: Moment, made_with: e.By | None = None
) -> None:
    """Add to a job, open or closed, what was decided about it at the desk by `by`; nothing of it is edited.

    Raises FailureError where it cannot be saved.
    """
    sequence = len(store.events(job))
    (one,) = _record(job, sequence, by, bench, now, (event,))
    store.append(job, sequence, (one.model_copy(update={"by": made_with}),))


def _record(
    job: str, sequence: int, technician: str, bench: str, now: Moment, events: Sequence[e.Event]
) -> tuple[e.Recorded, ...]:
    """Events of one decision in their envelopes."""
    return tuple(
        e.Recorded(
            id=new_event_id(),
            job=job,
            sequence=sequence + place,
            batch=sequence,
            at=now,
            bench=bench,
            technician=technician,
            event=event,
        )
        for place, event in enumerate(events)
    )
