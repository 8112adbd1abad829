"""What a fastener, a support or a step is by its name: the words are common practice of the trade, no source."""

from __future__ import annotations

import re

from sparehand.procedures.model import Fastener, Procedure
from sparehand.procedures.rules.walk import Visit

_WHEEL = re.compile(
    r"^(?:(?:road|front|rear|left|right) )?wheel (?:bolt|nut|lug nut|stud)s?\b|^lug (?:nut|bolt)s?\b", re.IGNORECASE
)
_HUB_NUT = re.compile(r"\b(?:hub|axle|drive shaft|stub axle|spindle) nut\b|\b(?:hub|drive shaft) bolt\b", re.IGNORECASE)
_SUPPORT = re.compile(
    r"\b(?:jacks?|stands?|beam|supports?|supported|props?|hoist|crane|trestles?|sling|table)\b", re.IGNORECASE
)
_MACHINE = r"(?:vehicle|car|van|truck|front|rear|axle)"
_RAISES = re.compile(rf"\b(?:raise|lift|jack up|jack) the (?:\w+ )?{_MACHINE}\b(?! (?:\w+ )?cover)", re.IGNORECASE)
_LOWERS = re.compile(
    rf"\blower the (?:\w+ )?{_MACHINE}\b|\bonto (?:its|the) wheels\b|\blet the (?:lift|{_MACHINE}) down\b",
    re.IGNORECASE,
)


def wheel_fasteners(procedure: Procedure) -> frozenset[str]:
    """Ids of what holds the wheels: by name, or as what holds a component that is needed to lower."""
    named = {fastener.id for fastener in procedure.fasteners if _WHEEL.search(fastener.name)}
    held = {id for component in procedure.components if component.needed_to_lower for id in component.held_by}
    return frozenset(named | held)


def is_hub_nut(fastener: Fastener) -> bool:
    """Whether it clamps a wheel bearing: there is one on each side."""
    return fastener.quantity == 1 and _HUB_NUT.search(fastener.name) is not None


def is_support(words: str) -> bool:
    """Whether what `hangs` says is a load on a support, not a part on a hook or a string."""
    return _SUPPORT.search(words) is not None


def raises(visit: Visit) -> bool:
    """Whether the step takes weight off the wheels."""
    return visit.step.raises is not None or _RAISES.search(visit.step.say) is not None


def lowers(visit: Visit) -> bool:
    """Whether the step puts weight on the wheels."""
    return visit.step.lowers is not None or _LOWERS.search(visit.step.say) is not None
