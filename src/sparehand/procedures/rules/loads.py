"""What carries a load is tight before the load comes, and is not undone at both ends while it is loaded.

Common practice, no source.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from sparehand.procedures.findings import CheckFinding
from sparehand.procedures.load import LoadedProcedure
from sparehand.procedures.rules.hazard_families import declares_or_says
from sparehand.procedures.rules.telling import is_hub_nut, is_support, lowers, raises
from sparehand.procedures.rules.walk import finding, journeys
from sparehand.procedures.yaml_text import Keys

_SPRUNG = re.compile(r"\b(?:arm|spring|axle|link|strut|suspension)\b", re.IGNORECASE)


def bearings_loaded_slack(loaded: LoadedProcedure) -> Iterator[CheckFinding]:
    """A hub nut slack while the wheel carries weight: undone before raising, or slack at lowering."""
    nuts = {fastener.id: fastener for fastener in loaded.procedure.fasteners if is_hub_nut(fastener)}
    for _, visits in journeys(loaded):
        carries = any(raises(visit) for visit in visits)
        slack: set[str] = set()
        for visit in visits:
            carries = carries and not raises(visit)
            for keys, id in visit.names("slackens", "removes"):
                if id in nuts and carries:
                    message = f"'{id}' is undone while its wheel carries weight"
                    remedy = "break it loose with the wheel raised and the brake held"
                    yield finding(loaded, keys, "bearing-loaded-slack", "warning", message, remedy)
            slack |= {id for _, id in visit.names("slackens", "removes", "fits") if id in nuts}
            slack -= set(visit.step.tightens)
            if slack and lowers(visit):
                message = f"'{min(slack)}' is slack when the weight comes on its bearing"
                remedy = "tighten it before, at least by its first stage, with the wheel clear and the brake held"
                yield finding(loaded, (*visit.keys, "say"), "bearing-loaded-slack", "error", message, remedy)


def supports_released_early(loaded: LoadedProcedure) -> Iterator[CheckFinding]:
    """A support taken away before the fasteners that were undone or fitted on it are at least snug.

    A spring may be let down on it with its fastener out.
    """
    for _, visits in journeys(loaded):
        carriers: dict[str, set[str]] = {}
        loose: set[str] = set()
        out: set[str] = set()
        for visit in visits:
            step = visit.step
            carriers |= {words: set() for words in step.hangs if is_support(words)}
            for held in carriers.values():
                held.update(() if held else (*step.slackens, *step.removes, *step.fits))
            out = (out | set(step.removes)) - {*step.fits, *step.tightens}
            loose = (loose | {*step.slackens, *step.removes, *step.fits}) - set(step.tightens)
            let_down = out if declares_or_says(step, "hazard-spring") else set()
            for keys, words in visit.names("releases"):
                early = sorted((carriers.pop(words, set()) & loose) - let_down)
                if early:
                    message = f"'{words}' ends here, but '{early[0]}', which carries its load, is not tight"
                    remedy = "tighten it, at least by a snug first stage, before the support goes"
                    yield finding(loaded, keys, "support-released-early", "error", message, remedy)


def springs_freed_at_both_ends(loaded: LoadedProcedure) -> Iterator[CheckFinding]:
    """A second joint undone while a loaded arm or spring, freed at one end, rests on a support."""
    for _, visits in journeys(loaded):
        supports: set[str] = set()
        freed: set[str] = set()
        for visit in visits:
            springs = declares_or_says(visit.step, "hazard-spring")
            supports |= {
                words for words in visit.step.hangs if is_support(words) and (springs or _SPRUNG.search(words))
            }
            second = [(keys, id) for keys, id in visit.names("slackens", "removes") if id not in freed]
            for keys, id in second if freed else ():
                message = f"'{id}' is undone while a loaded part, freed by '{min(freed)}', rests on a support"
                remedy = "lower the support until the spring is free and release it first, or refit the first end"
                yield finding(loaded, keys, "spring-both-ends", "error", message, remedy)
            if supports and springs and not freed:
                freed = {id for _, id in second}
            supports -= set(visit.step.releases)
            freed = freed - set(visit.step.tightens) if supports else set()


def pressed_and_bolted(loaded: LoadedProcedure) -> Iterator[CheckFinding]:
    """A part that is pressed in, and several bolts of its name: one of the two holds it, not both."""
    parts = {part.id: part.name for part in loaded.procedure.parts}
    for _, visits in journeys(loaded):
        pressed = {
            parts[id].split()[-1].lower(): parts[id]
            for visit in visits
            if declares_or_says(visit.step, "hazard-press")
            for _, id in visit.names("renews")
            if id in parts
        }
        fitted = {id for visit in visits for _, id in visit.names("fits")}
        for number, fastener in enumerate(loaded.procedure.fasteners):
            several = fastener.id in fitted and fastener.quantity > 1 and not fastener.bonded_rubber
            held = [pressed[word] for word in fastener.name.lower().split()[:-1] if word in pressed]
            if several and held:
                message = f"the {held[0]} is pressed in and is also held by '{fastener.id}'"
                keys: Keys = ("fasteners", number)
                remedy = "look up which of the two the maker has; call bolts of another part by its name"
                yield finding(loaded, keys, "pressed-and-bolted", "warning", message, remedy)
