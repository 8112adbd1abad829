"""Choosing one of the ways past a phase, and choosing another one after all."""

from __future__ import annotations

from sparehand.job import commands as c
from sparehand.job.decision import Context, Decision, refuse, tell
from sparehand.job.events import WayChosen
from sparehand.job.extra_work import steps_put_back
from sparehand.job.open_ways import offered_here, ways_of
from sparehand.job.state import JobState
from sparehand.procedures.plan import plan_run


def choose_way(state: JobState, command: c.ChooseWay, _context: Context) -> Decision:
    """Take a way; what another one has done or taken apart stays in the run."""
    offering = next(
        (key for key in offered_here(state) if command.way in {way.id for way in ways_of(state, key)}), None
    )
    if offering is None:
        return refuse("No such way is to be chosen here.", "repeat")
    progress = state.progress
    if progress.ways.get(offering) == command.way:
        return refuse("That way is chosen already.", "next")
    chosen = {**progress.ways, offering: command.way}
    after = plan_run(state.plan.procedure, progress.operations, state.plan.sides, progress.keeps, chosen)
    keeps = steps_put_back(state, frozenset(after.steps))
    return tell("way chosen", WayChosen(at=offering, way=command.way, keeps=keeps), about=command.way)
