"""The choice of a way past a phase: whether one is open where the technician is, and what was chosen."""

from __future__ import annotations

from sparehand.job.state import JobState
from sparehand.procedures.model import Phase
from sparehand.procedures.phase_order import choices_before, way_at
from sparehand.procedures.plan import PhaseKey
from sparehand.procedures.ways import Way


def offered_here(state: JobState) -> tuple[PhaseKey, ...]:
    """The choices that the present phase offers, or that lead to it."""
    there = {planned.key for planned in state.plan.phases}
    return tuple(key for key in choices_before(state.plan.procedure, state.progress.at.at) if key in there)


def open_choice(state: JobState) -> PhaseKey | None:
    """The first choice here that nobody has made."""
    return next((key for key in offered_here(state) if key not in state.progress.ways), None)


def ways_of(state: JobState, key: PhaseKey) -> tuple[Way, ...]:
    """The ways that a phase of the run offers."""
    return state.plan.procedure.phase(key.phase).ways


def chosen_ways(state: JobState) -> tuple[tuple[PhaseKey, Phase, Way], ...]:
    """Every choice made in the run, with the phase that offered it."""
    phases = {planned.key: planned.phase for planned in state.plan.phases}
    return tuple(
        (key, phases[key], way_at(phases[key], key, state.progress.ways))
        for key in state.progress.ways
        if key in phases
    )
