"""Each operation journeys from its first step to its last: what comes out goes in again and is tightened."""

from __future__ import annotations

from collections.abc import Iterator

from sparehand.procedures.findings import CheckFinding
from sparehand.procedures.load import LoadedProcedure
from sparehand.procedures.model import Fastener
from sparehand.procedures.rules.walk import Visit, finding, journeys, made_final
from sparehand.procedures.yaml_text import Keys

Touched = dict[str, Keys]
"""Fasteners (or other things) by id, with the place of the step that left them so."""


def removed_never_refitted(loaded: LoadedProcedure) -> Iterator[CheckFinding]:
    """A fastener taken out that no later step of the operation puts back."""
    known = {fastener.id for fastener in loaded.procedure.fasteners}
    for operation, visits in journeys(loaded):
        out: Touched = {}
        for visit in visits:
            out.update({id: keys for keys, id in visit.names("removes") if id in known})
            for _, id in visit.names("fits", "tightens"):
                out.pop(id, None)
        for id, keys in out.items():
            message = f"'{id}' comes out here and no later step of {operation.id} fits it again"
            yield finding(loaded, keys, "removed-never-refitted", "error", message, "add a step that `fits` it")


def fitted_never_tightened(loaded: LoadedProcedure) -> Iterator[CheckFinding]:
    """A fastener put in or slackened that no later step tightens, or for which the file has no tightening."""
    fasteners = {fastener.id: (number, fastener) for number, fastener in enumerate(loaded.procedure.fasteners)}
    for operation, visits in journeys(loaded):
        waiting: Touched = {}
        for visit in visits:
            for _, id in visit.names("removes"):
                waiting.pop(id, None)
            waiting.update({id: keys for keys, id in visit.names("slackens", "fits") if id in fasteners})
            for _, id in visit.names("tightens"):
                if id in fasteners and made_final(visit, fasteners[id][1]):
                    waiting.pop(id, None)
        for id, keys in waiting.items():
            number, fastener = fasteners[id]
            yield from _left_hand_tight(loaded, fastener, ("fasteners", number), keys, operation.id)


def _left_hand_tight(
    loaded: LoadedProcedure, fastener: Fastener, defined: Keys, fitted: Keys, operation: str
) -> Iterator[CheckFinding]:
    if fastener.tightening:
        message = f"'{fastener.id}' is left hand tight here and no later step of {operation} tightens it"
        yield finding(loaded, fitted, "fitted-never-tightened", "error", message, "add a step that `tightens` it")
    elif fastener.thread is not None:
        message = f"'{fastener.id}' has a thread and is fitted, but has no tightening"
        yield finding(loaded, defined, "fitted-never-tightened", "error", message, "add `tightening` with its stages")


def condition_never_established(loaded: LoadedProcedure) -> Iterator[CheckFinding]:
    """A tightening that waits for a condition which does not hold at its step."""
    fasteners = {fastener.id: fastener for fastener in loaded.procedure.fasteners}
    for operation, visits in journeys(loaded):
        holding: set[str] = set()
        for visit in visits:
            holding.discard(visit.step.ends or "")
            holding.add(visit.step.establishes or "")
            for keys, id in visit.names("tightens"):
                stages = fasteners[id].tightening if id in fasteners else ()
                stages = stages[:1] if visit.step.snug_only else stages
                for condition in sorted({stage.condition for stage in stages if stage.condition} - holding):
                    message = (
                        f"'{id}' waits for {condition}, which no step of {operation.id} before this one establishes"
                    )
                    remedy = f"add a step that establishes {condition} before it, or drop the condition"
                    yield finding(loaded, keys, "condition-never-established", "error", message, remedy)


def drained_never_filled(loaded: LoadedProcedure) -> Iterator[CheckFinding]:
    """A fluid let out that no later step of the operation fills again."""
    for operation, visits in journeys(loaded):
        out: Touched = {}
        for visit in visits:
            out.update({id: keys for keys, id in visit.names("drains")})
            for _, id in visit.names("fills"):
                out.pop(id, None)
        for id, keys in out.items():
            message = f"'{id}' is drained here and no later step of {operation.id} fills it again"
            yield finding(loaded, keys, "drained-never-filled", "error", message, "add a step that `fills` it")


def marks_without_their_pair(loaded: LoadedProcedure) -> Iterator[CheckFinding]:
    """A mark made and never used, or looked for and never made, within an operation."""
    for operation, visits in journeys(loaded):
        made: Touched = {}
        used: set[str] = set()
        for visit in visits:
            if visit.step.makes_mark is not None:
                made.setdefault(visit.step.makes_mark, (*visit.keys, "makes_mark"))
            yield from _never_made(loaded, visit, made)
            used.add(visit.step.finds_mark or "")
        for mark, keys in made.items():
            if mark not in used:
                message = f"the mark '{mark}' is made here and no later step of {operation.id} finds it"
                remedy = "add `finds_mark` to the step that needs it"
                yield finding(loaded, keys, "mark-never-found", "warning", message, remedy)


def _never_made(loaded: LoadedProcedure, visit: Visit, made: Touched) -> Iterator[CheckFinding]:
    mark = visit.step.finds_mark
    if mark is not None and mark not in made:
        message = f"the mark '{mark}' is looked for here, but no earlier step makes it"
        remedy = "add `makes_mark` before it is undone"
        yield finding(loaded, (*visit.keys, "finds_mark"), "mark-never-made", "error", message, remedy)
