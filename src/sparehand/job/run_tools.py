"""The tools of a job: which its steps use, and which of the borrowed ones are out."""

from __future__ import annotations

from sparehand.job.state import JobState
from sparehand.procedures.model import Tool


def tools_of_run(state: JobState) -> tuple[Tool, ...]:
    """The tools that the steps of the run use."""
    used = {id for planned in state.plan.phases for step in planned.phase.steps for id in step.tools}
    return tuple(tool for tool in state.plan.procedure.tools if tool.id in used)


def borrowed_out(state: JobState) -> tuple[Tool, ...]:
    """The borrowed tools that a finished step used and nobody has said to be back."""
    used = {id for key in state.progress.done if key in state.plan.steps for id in state.plan.step(key).tools}
    back = state.progress.tools_back
    return tuple(tool for tool in tools_of_run(state) if tool.borrowed and tool.id in used and tool.id not in back)
