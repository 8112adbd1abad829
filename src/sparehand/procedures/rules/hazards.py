"""Steps that can hurt carry a warning, or what guards against the hazard."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from sparehand.procedures.findings import CheckFinding
from sparehand.procedures.load import LoadedProcedure
from sparehand.procedures.rules.hazard_families import FAMILIES, HazardFamily, has_hazard
from sparehand.procedures.rules.walk import Visit, all_steps, finding, journeys


def hazards_without_warning(loaded: LoadedProcedure) -> Iterator[CheckFinding]:
    """A step with a hazard, by what it declares or by its words, that nothing warns of or guards against."""
    tools = {tool.id: tool.name for tool in loaded.procedure.tools}
    for visits in _stretches(loaded):
        for place, visit in enumerate(visits):
            for family in FAMILIES:
                if has_hazard(visit.step, family) and not _guarded(family, visits, place, tools):
                    message = f"the step '{visit.step.id}' {family.does}, and nothing guards against it"
                    keys = (*visit.keys, "hazards" if family.hazard in visit.step.hazards else "say")
                    yield finding(loaded, keys, family.finding, "error", message, family.remedy)


def _stretches(loaded: LoadedProcedure) -> Iterator[tuple[Visit, ...]]:
    """The steps of each operation, then those of each phase that none of them passed."""
    passed: set[str] = set()
    for _, visits in journeys(loaded):
        passed |= {visit.phase.id for visit in visits}
        yield visits
    every = tuple(all_steps(loaded))
    for phase in loaded.procedure.phases:
        if phase.id not in passed:
            yield tuple(visit for visit in every if visit.phase.id == phase.id)


def _guarded(family: HazardFamily, visits: tuple[Visit, ...], place: int, tools: Mapping[str, str]) -> bool:
    here = visits[place]
    if family.guard is None:
        return bool(here.step.warnings)
    within = {
        "step": (here,),
        "phase": tuple(visit for visit in visits if visit.phase.id == here.phase.id),
        "earlier": visits[: place + 1],
    }[family.reach]
    return any(family.guard.search(text) for visit in within for text in _texts(visit, tools, family.by_deed))


def _texts(visit: Visit, tools: Mapping[str, str], by_deed: bool) -> Iterator[str]:
    yield visit.step.say
    yield from (tools.get(id, "") for id in visit.step.tools)
    if not by_deed:
        yield from (alert.text for alert in (*visit.step.warnings, *visit.step.cautions))
