"""Whether events make a job: what came from outside is folded before it is taken, and what cannot be is named."""

from __future__ import annotations

from collections.abc import Sequence

from sparehand.job.events import Recorded
from sparehand.job.state import JobState, fold
from sparehand.log.store import DamagedLogError
from sparehand.log.timesheet import timesheet

_FAILURES = (ArithmeticError, AttributeError, LookupError, RuntimeError, TypeError, ValueError)
"""What a fold may raise over events that no bench ever decided; it checks nothing, for a bench's own always fit."""


def replay(history: Sequence[Recorded]) -> JobState:
    """The state that the events lead to. Raises DamagedLogError where they lead to none, or to no timesheet."""
    try:
        state = fold(history)
        timesheet(state)
    except _FAILURES as error:
        where = f"job {history[0].job}" if history else "a job without events"
        raise DamagedLogError(f"{where} cannot be replayed ({type(error).__name__}: {error})") from error
    return state
