"""What is done with the vehicle down on its wheels: heights, bonded rubber, and how to reach it.

Common practice, no source.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from sparehand.procedures.findings import CheckFinding
from sparehand.procedures.load import LoadedProcedure
from sparehand.procedures.rules.telling import lowers, raises, wheel_fasteners
from sparehand.procedures.rules.walk import Visit, finding, journeys, made_final

_HEIGHT = re.compile(r"\bheight\b|\bhub\b.*\barch\b|\bground clearance\b", re.IGNORECASE)
_REACHED = re.compile(
    r"\bpit\b|\bramps?\b|\bfour[- ]post\b|\bdrive[- ]on\b|\bplatform\b|\bfrom (?:above|the side|behind)\b|\bcreeper\b"
    r"|\b(?:under|reach)\w*\b.*\bwheels\b.*\b(?:stand|block|plate)s?\b",
    re.IGNORECASE,
)


def heights_after_rubber(loaded: LoadedProcedure) -> Iterator[CheckFinding]:
    """A height measured only after bonded rubber was tightened: a wrong one could not be mended any more."""
    rubber = {fastener.id: fastener for fastener in loaded.procedure.fasteners if fastener.bonded_rubber}
    for _, visits in journeys(loaded):
        tight: list[str] = []
        for visit in visits:
            measure = visit.step.measure
            if measure is not None and _HEIGHT.search(f"{measure.asks} {visit.step.say}"):
                if tight:
                    message = f"the height is measured here, after '{tight[0]}', which clamps bonded rubber, is final"
                    remedy = "measure it before, when the vehicle has settled"
                    yield finding(loaded, (*visit.keys, "measure"), "height-after-rubber", "error", message, remedy)
                break
            tight += [id for _, id in visit.names("tightens") if id in rubber and made_final(visit, rubber[id])]


def underneath_unsaid(loaded: LoadedProcedure) -> Iterator[CheckFinding]:
    """A tightening with the wheels down, other than a wheel's, where nothing says how to get at it."""
    waits = {
        fastener.id for fastener in loaded.procedure.fasteners if any(stage.condition for stage in fastener.tightening)
    } - wheel_fasteners(loaded.procedure)
    tools = {tool.id: tool.name for tool in loaded.procedure.tools}
    for _, visits in journeys(loaded):
        down, said = False, False
        for visit in visits:
            down = (down or lowers(visit)) and not raises(visit)
            said = down and (said or _says_how(visit, tools))
            for keys, id in visit.names("tightens"):
                if down and not said and id in waits and not visit.step.snug_only:
                    message = f"'{id}' is tightened with the wheels down, and nothing says how to get at it"
                    remedy = "say it before: over a pit, on ramps or a drive-on lift, or from where it is reached"
                    yield finding(loaded, keys, "underneath-unsaid", "warning", message, remedy)


def _says_how(visit: Visit, tools: dict[str, str]) -> bool:
    step = visit.step
    texts = (
        step.say,
        *(alert.text for alert in (*step.warnings, *step.cautions)),
        *(tools.get(id, "") for id in step.tools),
    )
    return any(_REACHED.search(text) for text in texts)
