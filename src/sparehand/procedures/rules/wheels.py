"""Wheels: snug crosswise while raised, final before the vehicle is driven or bounced, checked again afterwards.

Common practice, no source.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from sparehand.procedures.findings import CheckFinding
from sparehand.procedures.load import LoadedProcedure
from sparehand.procedures.rules.telling import lowers, wheel_fasteners
from sparehand.procedures.rules.walk import finding, journeys, made_final
from sparehand.procedures.yaml_text import Keys

_MOVES = re.compile(
    r"\bbounce\b|\b(?:test|road)[- ](?:drive|test)\b"
    r"|\b(?:drive it|(?:rock|drive|roll|push) the (?:vehicle|car|van|truck|body))\b",
    re.IGNORECASE,
)
_AGAIN = re.compile(
    r"\b(?:wheels?|lug)\b.*\b(?:bolt|nut|stud)s?\b|\b(?:bolt|nut|torque)s?\b.*\bwheels?\b", re.IGNORECASE
)
FEW = 2
"""So many fasteners have no crosswise order."""


def wheels_not_snug(loaded: LoadedProcedure) -> Iterator[CheckFinding]:
    """A wheel still hand tight when the vehicle comes down on it, or tightened in no said order."""
    wheels = wheel_fasteners(loaded.procedure)
    for _, visits in journeys(loaded):
        by_hand: dict[str, Keys] = {}
        for visit in visits:
            by_hand |= {id: keys for keys, id in visit.names("slackens", "fits") if id in wheels}
            for _, id in visit.names("removes", "tightens"):
                by_hand.pop(id, None)
            for id, keys in by_hand.items() if lowers(visit) else ():
                message = f"'{id}' is only hand tight when '{visit.step.id}' brings the vehicle down on its wheels"
                remedy = "add a step that tightens it `snug_only` before, while the wheel is clear"
                yield finding(loaded, keys, "wheel-not-snug", "error", message, remedy)
    for number, fastener in enumerate(loaded.procedure.fasteners):
        unsaid = [place for place, stage in enumerate(fastener.tightening) if stage.order is None]
        if fastener.id in wheels and fastener.quantity > FEW and unsaid:
            message = f"no order is given for '{fastener.id}', which holds a wheel"
            keys = ("fasteners", number, "tightening", unsaid[0])
            yield finding(loaded, keys, "wheel-not-snug", "error", message, "add `order: crosswise` to the stage")


def wheels_not_final(loaded: LoadedProcedure) -> Iterator[CheckFinding]:
    """A vehicle driven, rolled or bounced on a wheel that is not at its final torque."""
    fasteners = {fastener.id: fastener for fastener in loaded.procedure.fasteners}
    wheels = wheel_fasteners(loaded.procedure)
    for _, visits in journeys(loaded):
        waiting: set[str] = set()
        for visit in visits:
            waiting |= {id for _, id in visit.names("slackens", "removes", "fits") if id in wheels}
            waiting -= {id for _, id in visit.names("tightens") if id in wheels and made_final(visit, fasteners[id])}
            if waiting and _MOVES.search(visit.step.say):
                message = f"the vehicle is moved on its wheels here, but '{min(waiting)}' is not final"
                remedy = "tighten it finally before"
                yield finding(loaded, (*visit.keys, "say"), "wheel-not-final", "error", message, remedy)


def wheels_never_checked_again(loaded: LoadedProcedure) -> Iterator[CheckFinding]:
    """An operation that fits a wheel, without a follow-up that checks its bolts again."""
    texts = {follow_up.id: follow_up.text for follow_up in loaded.procedure.follow_ups}
    wheels = wheel_fasteners(loaded.procedure)
    for operation, visits in journeys(loaded):
        fits = any(id in wheels for visit in visits for _, id in visit.names("fits"))
        if fits and not any(_AGAIN.search(texts.get(id, "")) for id in operation.follow_ups):
            message = f"{operation.id} fits a wheel, but no follow-up checks its bolts again"
            remedy = "add a follow-up, with the distance that the maker gives"
            yield finding(
                loaded,
                ("operations", loaded.procedure.operations.index(operation)),
                "wheel-recheck-missing",
                "warning",
                message,
                remedy,
            )
