"""Names: each reference leads somewhere, no id is given twice."""

from __future__ import annotations

import difflib
from collections.abc import Collection, Iterator, Sequence

from sparehand.procedures.findings import CheckFinding
from sparehand.procedures.load import LoadedProcedure
from sparehand.procedures.model import Procedure
from sparehand.procedures.record import Record
from sparehand.procedures.references import LISTS, STEP_LISTS, STEP_SINGLES
from sparehand.procedures.rules.walk import Visit, all_steps, finding
from sparehand.procedures.yaml_text import Keys

Reference = tuple[Keys, str, str]
"""Where a name is used, the list it must be in, and the name."""


def unknown_names(loaded: LoadedProcedure) -> Iterator[CheckFinding]:
    """A name that the list it belongs to does not have."""
    known = {name: _ids(loaded.procedure, name) for name in LISTS}
    for keys, where, id in _references(loaded):
        if id not in known[where]:
            yield finding(
                loaded,
                keys,
                "unknown-name",
                "error",
                f"'{id}' is not among the {_words(where)}",
                _near(id, known[where]),
            )


def ids_given_twice(loaded: LoadedProcedure) -> Iterator[CheckFinding]:
    """An id that stands for two things."""
    procedure = loaded.procedure
    for name in LISTS:
        items = ((((name, number, "id"), item.id)) for number, item in enumerate(getattr(procedure, name)))
        yield from _repeats(loaded, items, f"the {_words(name)}")
    for number, phase in enumerate(procedure.phases):
        steps = ((("phases", number, "steps", place, "id"), step.id) for place, step in enumerate(phase.steps))
        yield from _repeats(loaded, steps, f"the steps of {phase.id}")
        ways = ((("phases", number, "ways", place, "id"), way.id) for place, way in enumerate(phase.ways))
        yield from _repeats(loaded, ways, f"the ways of {phase.id}")
    yield from _repeats(loaded, _alert_ids(loaded), "the warnings and cautions")
    for field in ("inspect", "measure"):
        asked = (
            ((*visit.keys, field, "id"), question.id)
            for visit in all_steps(loaded)
            if (question := getattr(visit.step, field)) is not None
        )
        yield from _repeats(loaded, asked, "the inspections" if field == "inspect" else "the measurements")


def _references(loaded: LoadedProcedure) -> Iterator[Reference]:
    procedure = loaded.procedure
    for field in ("phases", "follow_ups"):
        yield from _listed("operations", procedure.operations, field, field)
    yield from _listed("phases", procedure.phases, "after", "phases")
    for number, phase in enumerate(procedure.phases):
        for field in ("phases", "follow_ups"):
            for (_, way, *rest), where, id in _listed("ways", phase.ways, field, field):
                yield ("phases", number, "ways", way, *rest), where, id
    for visit in all_steps(loaded):
        yield from _step_references(visit)
    yield from _fastener_references(procedure)
    yield from _listed("components", procedure.components, "held_by", "fasteners")
    yield from _gate_references(procedure)
    for name in ("parts", "consumables"):
        yield from _listed(name, getattr(procedure, name), "operations", "operations")


def _listed(name: str, items: Sequence[Record], field: str, where: str) -> Iterator[Reference]:
    """The ids in one list field of every item of the list `name`."""
    for number, item in enumerate(items):
        for place, id in enumerate(getattr(item, field)):
            yield (name, number, field, place), where, id


def _fastener_references(procedure: Procedure) -> Iterator[Reference]:
    for number, fastener in enumerate(procedure.fasteners):
        if fastener.wrench is not None:
            yield ("fasteners", number, "wrench"), "tools", fastener.wrench
        for place, stage in enumerate(fastener.tightening):
            if stage.condition is not None:
                yield ("fasteners", number, "tightening", place, "condition"), "conditions", stage.condition


def _gate_references(procedure: Procedure) -> Iterator[Reference]:
    """What gates are about: ids of three lists, or words of `hangs`; what is none of them is sought as a fastener."""
    known = {words for phase in procedure.phases for step in phase.steps for words in step.hangs}
    known |= {id for name in ("components", "conditions") for id in _ids(procedure, name)}
    return (
        reference for reference in _listed("gates", procedure.gates, "about", "fasteners") if reference[2] not in known
    )


def _step_references(visit: Visit) -> Iterator[Reference]:
    for field, where in STEP_LISTS.items():
        for keys, id in visit.names(field):
            yield keys, where, id
    proposed = visit.step.inspect.proposes if visit.step.inspect else None
    if proposed and "." not in proposed:
        yield (*visit.keys, "inspect", "proposes"), "operations", proposed
    for field, where in STEP_SINGLES.items():
        id = getattr(visit.step, field)
        if id is not None:
            yield (*visit.keys, field), where, id


def _alert_ids(loaded: LoadedProcedure) -> Iterator[tuple[Keys, str]]:
    for visit in all_steps(loaded):
        for field in ("warnings", "cautions"):
            for place, alert in enumerate(getattr(visit.step, field)):
                yield (*visit.keys, field, place, "id"), alert.id


def _repeats(loaded: LoadedProcedure, items: Iterator[tuple[Keys, str]], among: str) -> Iterator[CheckFinding]:
    seen: dict[str, int] = {}
    for keys, id in items:
        line = loaded.position(*keys)[0]
        if id in seen:
            message = f"'{id}' is already among {among} (line {seen[id]})"
            yield finding(loaded, keys, "id-given-twice", "error", message, "give one of them another id")
        seen.setdefault(id, line)


def _ids(procedure: Procedure, name: str) -> tuple[str, ...]:
    return tuple(item.id for item in getattr(procedure, name))


def _near(id: str, known: Collection[str]) -> str:
    near = difflib.get_close_matches(id, known, n=2, cutoff=0.6)
    return f"did you mean {' or '.join(near)}?" if near else "add it there, or correct the name"


def _words(name: str) -> str:
    return name.replace("_", "-")
