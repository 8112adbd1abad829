"""How much work a running job still needs, with its range: the outlook made before it, corrected by how today goes."""

from __future__ import annotations

from sparehand.ground.clock import Moment
from sparehand.job.answer import Line, duration
from sparehand.job.experience import Experience
from sparehand.job.ledger import milliseconds
from sparehand.job.state import JobState
from sparehand.procedures.plan import PhaseKey
from sparehand.procedures.wording import nearest
from sparehand.times.time_left import TimeLeft


def job_left(state: JobState, now: Moment, experience: Experience) -> tuple[Line, ...]:
    """The work still to do and the range of four jobs in five; nothing where nothing was foreseen or is left."""
    left = time_left(state, now, experience)
    if left is None:
        return ()
    low, high = _minutes(left.p10_minutes), _minutes(left.p90_minutes)
    return (
        _minutes(left.median_minutes).framed("The job needs about ", " more of work."),
        Line(
            f"Four in five times, {low.spoken} to {high.spoken}.",
            f"Four in five times, {low.shown} to {high.shown}.",
        ),
    )


def worked_seconds(state: JobState, now: Moment) -> dict[PhaseKey, float]:
    """The seconds of work in each phase of the plan up to `now`."""
    spans = state.ledger.up_to(now).all_spans()
    return {
        planned.key: milliseconds(tuple(span for span in spans if span.label.phase == planned.key), "work") / 1000
        for planned in state.plan.phases
    }


def time_left(state: JobState, now: Moment, experience: Experience) -> TimeLeft | None:
    """The work still to do; None where nothing was foreseen or nothing is left.

    A phase that was begun and left is counted whole, for nobody knows how much of it is done.
    """
    if experience.outlook is None or state.progress.closed:
        return None
    worked = worked_seconds(state, now)
    open_phases = [planned.key for planned in state.plan.phases if not state.phase_complete(planned)]
    current = state.progress.at.at if state.progress.at.at in open_phases else None
    return experience.outlook.left(
        {key: seconds for key, seconds in worked.items() if key not in open_phases},
        [key for key in open_phases if key != current],
        current,
        worked[current] if current else 0.0,
    )


def _minutes(minutes: float) -> Line:
    """Whole minutes, at least one: the seconds would only pretend."""
    return duration(max(1, nearest(minutes)) * 60)
