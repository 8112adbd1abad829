"""Weighing a decision: each event's claims against the record as it stands by then."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from sparehand.ground.clock import Moment
from sparehand.job.advance import advance
from sparehand.job.events import Event
from sparehand.job.state import JobState
from sparehand.job.vehicle.claims import claims_of
from sparehand.job.vehicle.contradiction import Contradiction
from sparehand.job.vehicle.preconditions import contradiction


def weighed(state: JobState, events: Iterable[Event], now: Moment) -> Contradiction | None:
    """The first thing that the record holds against the events of a decision, if anything."""
    for event in events:
        for claim in claims_of(event, state.plan):
            against = contradiction(state, claim)
            if against is not None:
                return against
        state = replace(state, progress=advance(state.progress, event, now, state.plan))
    return None
