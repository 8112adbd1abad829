"""What the record holds against a claim, and the way on."""

from __future__ import annotations

from dataclasses import dataclass

from sparehand.job.state import JobState
from sparehand.procedures.plan import StepKey


@dataclass(frozen=True)
class Contradiction:
    """`against` is a sentence about the vehicle, `way_on` says what to do first, and `say` what leads there."""

    against: str
    way_on: str
    say: str = ""

    @property
    def words(self) -> str:
        """Both sentences."""
        return f"{self.against} {self.way_on}".strip()


def at_step(state: JobState, key: StepKey | None) -> str:
    """What to say to get to a step; nothing where it is the present one, or in no phase that has a spoken name."""
    if key is None or key == state.progress.at:
        return ""
    here = state.plan.phase(key.at).phase
    if key.at == state.progress.at.at:
        places = state.phase.step_keys()
        return "go back" if places.index(key) < places.index(state.progress.at) else ""
    if key.at.phase == state.progress.at.at.phase:
        return "to the other side"
    return f"go to {here.spoken[0]}" if here.spoken else ""
