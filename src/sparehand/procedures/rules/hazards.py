"""Steps that can hurt or break something carry a warning or a caution."""

from __future__ import annotations

import re
from collections.abc import Iterator

from sparehand.procedures.findings import CheckFinding
from sparehand.procedures.load import LoadedProcedure
from sparehand.procedures.rules.walk import all_steps, finding

_BEGINS = r"(?:^|[.,;:]\s+|\band\s+|\bthen\s+)"
_PATTERNS = {
    "press": re.compile(_BEGINS + r"press\b(?!\s+(?:\w+\s+){0,3}(?:pedal|button|switch|key|brake)\b)", re.IGNORECASE),
    "heat": re.compile(_BEGINS + r"heat\b", re.IGNORECASE),
    "lift": re.compile(
        _BEGINS + r"(?:raise|lift|lower)\s+the\s+(?:vehicle|car|van|axle|engine|gearbox)\b", re.IGNORECASE
    ),
    "spring": re.compile(_BEGINS + r"(?:compress|release)\b[^.]*\bspring\b", re.IGNORECASE),
}
_DOES = {"press": "presses", "heat": "heats", "lift": "lifts or lowers", "spring": "works on a loaded spring"}


def hazards_without_warning(loaded: LoadedProcedure) -> Iterator[CheckFinding]:
    """A step that presses, heats, lifts or releases a spring, by what it declares or by its words, without an alert."""
    for visit in all_steps(loaded):
        step = visit.step
        if step.warnings or step.cautions:
            continue
        by_words = [hazard for hazard, pattern in _PATTERNS.items() if pattern.search(step.say)]
        hazards = tuple(dict.fromkeys((*step.hazards, *by_words)))
        if hazards:
            does = " and ".join(_DOES[hazard] for hazard in hazards)
            message = f"the step '{step.id}' {does}, but has no warning or caution"
            keys = (*visit.keys, "hazards" if step.hazards else "say")
            remedy = "add `warnings` or `cautions` to it"
            yield finding(loaded, keys, "hazard-without-warning", "error", message, remedy)
