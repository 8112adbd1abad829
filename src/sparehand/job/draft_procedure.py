"""The draft of a procedure from its first job: what was told, with the logged times as planned minutes."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence, Set
from functools import reduce

from sparehand.ground.errors import InputError
from sparehand.job import events as e
from sparehand.job.growing_procedure import RIDE_HEIGHT, unnamed_step, with_name, with_step_changed
from sparehand.job.job_notes import Note
from sparehand.job.state import JobState, apply
from sparehand.procedures.format_fields import LEVEL
from sparehand.procedures.model import Item, Phase, Procedure
from sparehand.procedures.yaml_text import Keys

LEAST_MINUTES = 0.5
"""No phase is planned shorter; one that took no time was opened and left."""


def draft(
    history: Sequence[e.Recorded],
    worked_minutes: Mapping[str, float],
    names: Iterable[Note],
    pictures: Iterable[Note] = (),
) -> Procedure:
    """The procedure as the job left it. `worked_minutes` are those of each phase, `names` what things are called.

    Each step shows the last of the `pictures` that were taken at it, which `picture_beside` says the place of.

    Raises InputError for a job that followed a written procedure.
    """
    state: JobState | None = None
    reached: dict[str, tuple[str, ...]] = {}
    for recorded in history:
        state = apply(state, recorded)
        if isinstance(recorded.event, e.ConditionChanged) and recorded.event.holds:
            at = state.progress.at
            reached[at.at.phase] = (*reached.get(at.at.phase, ()), at.step)
    if state is None or state.progress.grown is None:
        raise InputError("this job followed a written procedure; a draft is made of one begun with `work --new`")
    grown, names = state.progress.grown, tuple(names)
    for note in names:
        grown = with_name(grown, note.kind, note.at, note.number, note.words)
    grown = reduce(_pictured, pictures, grown)
    for planned in state.plan.phases:
        for key in planned.step_keys():
            if key.step in reached.get(key.at.phase, ()):
                grown = with_step_changed(grown, key, lambda step: step.model_copy(update={"establishes": RIDE_HEIGHT}))
    named = {(note.at.at.phase, note.at.step if note.kind == "step" else None) for note in names}
    return _tidied(*_without_blanks(grown, worked_minutes, named))


def picture_beside(procedure: Procedure, note: Note) -> str:
    """Where a picture that was taken at a step goes, from the folder of the file on."""
    return f"{procedure.id}/{note.at.at.phase}-{note.at.step}.jpg"


def _pictured(grown: Procedure, note: Note) -> Procedure:
    path = picture_beside(grown, note)
    pictured = with_step_changed(grown, note.at, lambda step: step.model_copy(update={"picture": path}))
    return pictured.model_copy(update={"level": LEVEL})


def sound_beside(procedure: Procedure, names: Iterable[Note], folder: str) -> dict[Keys, str]:
    """Where the recording of each name lies, behind what it names in the file."""
    remarks: dict[Keys, str] = {}
    for note in names:
        keys = _keys(procedure, note)
        if keys and note.sound_ms:
            remarks[keys] = f"sound: {folder}/{note.name}.wav"
    return remarks


def _keys(procedure: Procedure, note: Note) -> Keys | None:
    if note.kind == "fastener":
        return ("fasteners", note.number - 1, "name") if note.number else None
    phase = next((place for place, one in enumerate(procedure.phases) if one.id == note.at.at.phase), None)
    if phase is None or note.kind not in ("phase", "step"):
        return None
    if note.kind == "phase":
        return ("phases", phase, "title")
    steps = [step.id for step in procedure.phases[phase].steps]
    return ("phases", phase, "steps", steps.index(note.at.step), "say")


def _without_blanks(
    grown: Procedure, minutes: Mapping[str, float], named: Set[tuple[str, str | None]]
) -> tuple[Procedure, Mapping[str, float]]:
    """Without the steps and phases that were opened and never told of; their time counts in the phase after them."""
    kept: list[Phase] = []
    worked: dict[str, float] = {}
    carried = 0.0
    for phase in grown.phases:
        steps = tuple(step for step in phase.steps if step != unnamed_step(step.id) or (phase.id, step.id) in named)
        carried += minutes.get(phase.id, 0.0)
        if not steps and (phase.id, None) not in named and (kept or phase is not grown.phases[-1]):
            continue
        kept.append(phase.model_copy(update={"steps": steps or phase.steps[:1]}))
        worked[phase.id], carried = carried, 0.0
    worked[kept[-1].id] += carried
    only = grown.operations[0].model_copy(update={"phases": tuple(phase.id for phase in kept)})
    return grown.model_copy(update={"operations": (only,), "phases": tuple(kept)}), worked


def _tidied(grown: Procedure, worked_minutes: Mapping[str, float]) -> Procedure:
    """With minutes, with the parts that use-once fasteners call for, and without what nothing needs."""
    waits = any(stage.condition for fastener in grown.fasteners for stage in fastener.tightening)
    establishes = any(step.establishes for phase in grown.phases for step in phase.steps)
    parts = tuple(
        Item(id=fastener.id, name=fastener.name, quantity=fastener.quantity, use_once=True)
        for fastener in grown.fasteners
        if fastener.use_once
    )
    return grown.model_copy(
        update={
            "phases": tuple(_tidy(phase, worked_minutes.get(phase.id, 0.0), parts) for phase in grown.phases),
            "parts": parts,
            "conditions": grown.conditions if waits or establishes else (),
        }
    )


def _tidy(phase: Phase, minutes: float, parts: tuple[Item, ...]) -> Phase:
    use_once = [part.id for part in parts]
    steps = tuple(
        step.model_copy(update={"renews": tuple(id for id in step.fits if id in use_once)}) for step in phase.steps
    )
    planned = max(LEAST_MINUTES, round(2 * minutes) / 2)
    return phase.model_copy(update={"planned_minutes": planned, "steps": steps})
