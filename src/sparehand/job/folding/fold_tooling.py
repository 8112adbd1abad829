"""The torque wrench in hand, an extension on it, and a second person's look."""

from __future__ import annotations

from dataclasses import replace

from sparehand.ground.clock import Moment
from sparehand.job import events as e
from sparehand.job.progress import Progress, answered
from sparehand.procedures.plan import RunPlan


def wrench_chosen(event: e.WrenchChosen, progress: Progress, _at: Moment, _plan: RunPlan) -> Progress:
    """Another wrench is in hand, without an extension."""
    return replace(progress, wrench=event.wrench, extension_mm=None)


def extension_changed(event: e.ExtensionChanged, progress: Progress, _at: Moment, _plan: RunPlan) -> Progress:
    """The extension on the wrench."""
    return replace(progress, extension_mm=event.extension_mm, question=None)


def tightening_checked(event: e.TighteningChecked, progress: Progress, _at: Moment, _plan: RunPlan) -> Progress:
    """A second person looked at a tightening."""
    return replace(progress, checked=(*progress.checked, event))


def tools_counted(event: e.ToolsCounted, progress: Progress, _at: Moment, _plan: RunPlan) -> Progress:
    """The tools are back."""
    return replace(progress, tools_back=progress.tools_back | set(event.tools))


def press_size_fitted(event: e.PressSizeFitted, progress: Progress, _at: Moment, _plan: RunPlan) -> Progress:
    """The question about the size is answered."""
    return answered(progress, event.at.step)
