"""What is known of the vehicle's condition, and the one question about its corrosion."""

from __future__ import annotations

from collections.abc import Sequence

from sparehand.job.answer import Line, plain, quantity
from sparehand.job.answering.answer_visit import UNITS
from sparehand.job.events import Event, Question, StepDone, TighteningConfirmed
from sparehand.job.state import JobState
from sparehand.procedures.plan import StepKey

_CORROSION = {"none": "no corrosion", "light": "light corrosion", "heavy": "heavy corrosion"}
_SUPPORT = {"lift": "on a lift", "stands": "on stands"}


def conditions(state: JobState) -> tuple[Line, ...]:
    """Everything that is known of the vehicle's condition, so that a wrong word is heard."""
    vehicle = state.vehicle
    known = [_CORROSION.get(vehicle.corrosion, ""), _SUPPORT.get(vehicle.support, "")]
    if vehicle.odometer is not None:
        known.append(f"odometer {vehicle.odometer} {UNITS.get(vehicle.odometer_unit or '', '')}".strip())
    return (plain(f"Written down: {', '.join(filter(None, known))}."),)


def asks_corrosion(state: JobState, events: Sequence[Event]) -> tuple[Line, ...]:
    """Asked once, when the first fastener has turned and nobody has said how corroded the vehicle is."""
    if state.vehicle.corrosion != "unknown":
        return ()
    turned = [key for key in state.progress.done if _turns(state, key)]
    now = [event for event in events if isinstance(event, StepDone) and _turns(state, event.step)]
    confirmed = [event for event in events if isinstance(event, TighteningConfirmed)]
    earlier = len(turned) - len(now) + len(state.progress.tightenings) - len(confirmed)
    if earlier or not (now or confirmed):
        return ()
    return (plain("How corroded is it? Say no rust, light rust, or heavy rust."),)


def _turns(state: JobState, key: StepKey) -> bool:
    step = state.plan.step(key)
    return bool(step.slackens or step.removes)


def asks_odometer(asked: Question) -> Line:
    """The odometer heard, read back digit by digit."""
    unit = f" {UNITS[asked.unit]}" if asked.unit else ""
    return quantity(asked.value or 0.0, "").framed("I heard odometer ", f"{unit}.")
