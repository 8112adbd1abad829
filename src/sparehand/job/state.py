"""The state of a job: a fold over what was recorded, and nothing else."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from uuid import UUID

from sparehand.ground.clock import Moment
from sparehand.ground.errors import FailureError
from sparehand.job import events as e
from sparehand.job.account import Label
from sparehand.job.advance import advance
from sparehand.job.crew import Crew, Member
from sparehand.job.events import Recorded
from sparehand.job.fasteners import LooseFastener, interrupted, loose_list
from sparehand.job.ledger import Ledger
from sparehand.job.progress import SEEN_FIELDS, Progress
from sparehand.job.run_plan import plan_after
from sparehand.job.visit_lines import WITHOUT_TECHNICIAN, follow_ups_brought
from sparehand.procedures.model import FollowUp, Side, Step
from sparehand.procedures.phase_key import joined_id
from sparehand.procedures.plan import PlannedPhase, RunPlan, plan_run


@dataclass(frozen=True)
class UndoPoint:
    """What an undo of the decision `batch` would bring back."""

    batch: int
    event: e.Event
    progress: Progress
    ledger: Ledger


@dataclass(frozen=True)
class JobState:
    """A job as it stands after its last event."""

    job: str
    opened: e.JobOpened
    opened_at: Moment
    plan: RunPlan
    progress: Progress
    ledger: Ledger
    next_sequence: int
    undo: tuple[UndoPoint, ...] = ()

    @property
    def step(self) -> Step:
        """The present step."""
        return self.plan.step(self.progress.at)

    @property
    def phase(self) -> PlannedPhase:
        """The present phase."""
        return self.plan.phase(self.progress.at.at)

    @property
    def side(self) -> Side | None:
        """The present side, where the phase has one."""
        return self.progress.at.at.side

    @property
    def rework_of(self) -> str | None:
        """The earlier job that this one puts right, if it does."""
        return self.progress.rework_of or self.opened.rework_of

    @property
    def vehicle(self) -> e.Vehicle:
        """The vehicle as it was entered at the opening, with what was seen of it since."""
        said = {name: getattr(self.progress.seen, name) for name in SEEN_FIELDS}
        known = {name: value for name, value in said.items() if value is not None}
        return self.opened.vehicle.model_copy(update=known)

    @property
    def loose(self) -> tuple[LooseFastener, ...]:
        """The loose list."""
        return loose_list(self.plan.procedure, self.progress.fastenings)

    @property
    def follow_ups(self) -> tuple[FollowUp, ...]:
        """What its operations bring after them, and the ways that were chosen."""
        return follow_ups_brought(self.plan, self.progress.ways)

    @property
    def pictures(self) -> Mapping[str, UUID]:
        """What its steps show, by their paths in the plan's procedure."""
        joined = {
            joined_id(one.procedure.id, path): id for one in self.progress.joined for path, id in one.pictures.items()
        }
        return {**self.opened.pictures, **joined}

    @property
    def gap_ms(self) -> int:
        """How long the gap was that the technician who acts has yet to explain; 0 where there is none."""
        return self.ledger.gap_ms(self.progress.crew.acting)

    def phase_complete(self, planned: PlannedPhase) -> bool:
        """Whether every step of the phase is done."""
        return not planned.cut and all(key in self.progress.done for key in planned.step_keys())


_NOT_UNDOABLE = (
    e.BenchStarted,
    e.BenchStopped,
    e.BenchAlive,
    e.BenchSlept,
    e.ClockStepped,
    e.QuestionAsked,
    e.QuestionAnswered,
    e.TimerRang,
    e.WordsWritten,
    e.LessonReviewed,
    e.LessonRetired,
    e.FirstJobBegun,
)
"""What nobody said, or what only led up to something: undo looks past these."""

_AT_THE_DESK = (
    e.WordsWritten,
    e.LessonReviewed,
    e.LessonRetired,
    e.LineAdded,
    e.LineNoted,
    e.PayerChosen,
    e.FollowUpScheduled,
    e.FollowUpDone,
    e.EstimateApproved,
)
"""What is written outside of the work, perhaps long after: no time of the job passes by it."""


def apply(state: JobState | None, recorded: Recorded) -> JobState:
    """The state after one more event. Raises FailureError where the sequence has a gap or does not begin a job."""
    event = recorded.event
    if isinstance(event, e.JobOpened):
        return _open(recorded, event)
    if state is None or recorded.sequence != state.next_sequence:
        raise FailureError(
            f"job {recorded.job}: event {recorded.sequence} does not follow; run `sparehand log verify {recorded.job}`"
        )
    if isinstance(event, e.Undone):
        return replace(_take_back(state, event, recorded.at), next_sequence=recorded.sequence + 1)
    progress = advance(state.progress, event, recorded.at, state.plan)
    return replace(
        state,
        plan=plan_after(state.opened.procedure, state.plan, state.progress, progress),
        progress=progress,
        ledger=_ledger(state, progress, recorded),
        undo=_with_undo_point(state, recorded),
        next_sequence=recorded.sequence + 1,
    )


def fold(history: Iterable[Recorded]) -> JobState:
    """The state after a whole history. Raises FailureError for one that is empty or has a gap."""
    state: JobState | None = None
    for recorded in history:
        state = apply(state, recorded)
    if state is None:
        raise FailureError("the job has no events; see `sparehand hours` for the jobs there are")
    return state


def _open(recorded: Recorded, event: e.JobOpened) -> JobState:
    plan = plan_run(event.procedure, event.operations, event.sides)
    first = plan.steps[0]
    crew = Crew.of(event.technician)
    return JobState(
        job=recorded.job,
        opened=event,
        opened_at=recorded.at,
        plan=plan,
        progress=Progress(at=first, unit=event.torque_unit, crew=crew, operations=plan.operations, sides=plan.sides),
        ledger=Ledger.of(Label("work", first.at, event.technician), recorded.at),
        next_sequence=recorded.sequence + 1,
    )


def _ledger(state: JobState, after: Progress, recorded: Recorded) -> Ledger:
    if isinstance(recorded.event, _AT_THE_DESK) or _elsewhere(recorded.event):
        return state.ledger
    labels = {} if after.closed else {member.name: _label(after, member) for member in after.crew.members}
    return _carried_on(state, recorded).under(labels)


def _carried_on(state: JobState, recorded: Recorded) -> Ledger:
    """The ledger up to an event, with what the event itself says of time."""
    at, ledger = recorded.at, state.ledger
    match recorded.event:
        case e.BenchStarted():
            return ledger.across_stop(at)
        case e.BenchSlept(asleep_ms=asleep_ms):
            return ledger.across_sleep(at, asleep_ms)
        case e.ClockStepped(by_ms=by_ms):
            return ledger.clock_stepped(by_ms, at)
        case e.TimeCorrected():
            return ledger.corrected(recorded.event)
        case e.GapExplained(was=was):
            return ledger.up_to(at).explained(state.progress.crew.acting, was)
        case _:
            return ledger.up_to(at)


def _elsewhere(event: e.Event) -> bool:
    return isinstance(event, e.LineStarted | e.LineEnded) and event.work == WITHOUT_TECHNICIAN


def _label(progress: Progress, member: Member) -> Label:
    line = progress.visit.occupying(member.name)
    at = line.key if line else progress.at.at
    if member.hold:
        return Label("hold", at, member.name, hold=member.hold)
    if line:
        return Label("hold" if line.work == "waiting" else "work", at, member.name)
    return Label("work", at, member.name, snag=progress.snag)


def _with_undo_point(state: JobState, recorded: Recorded) -> tuple[UndoPoint, ...]:
    """One point a decision: the state before the first of its events."""
    if isinstance(recorded.event, _NOT_UNDOABLE):
        return state.undo
    if state.undo and state.undo[-1].batch == recorded.batch:
        return state.undo
    progress = replace(state.progress, question=None)
    return (*state.undo, UndoPoint(recorded.batch, recorded.event, progress, state.ledger))


def _take_back(state: JobState, event: e.Undone, at: Moment) -> JobState:
    point = next((point for point in reversed(state.undo) if point.batch == event.batch), None)
    if point is None:
        raise FailureError(f"job {state.job}: there is nothing to undo at {event.batch}; the log is damaged")
    fastenings = interrupted(point.progress.fastenings, state.plan.procedure)
    timers = tuple(
        timer for timer in point.progress.timers if timer in state.progress.timers or timer.remaining_ms(at) > 0
    )
    return replace(
        state,
        plan=plan_after(state.opened.procedure, state.plan, state.progress, point.progress),
        progress=replace(point.progress, fastenings=fastenings, timers=timers),
        ledger=state.ledger.up_to(at).taken_back_to(point.ledger).up_to(at),
        undo=state.undo[: state.undo.index(point)],
    )
