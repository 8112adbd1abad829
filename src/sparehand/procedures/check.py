"""Judging a procedure file: every doubt with its place, so that it can be mended before it is worked by."""

from __future__ import annotations

from pathlib import Path

from sparehand.procedures.findings import BrokenProcedureError, CheckFinding
from sparehand.procedures.load import LoadedProcedure, load_procedure
from sparehand.procedures.rules import (
    fastener_names,
    gates_needed,
    hazards,
    journey,
    loads,
    parts,
    picture_rules,
    release,
    settling,
    sides,
    spoken,
    tightening_rules,
    way_rules,
    wheels,
)
from sparehand.procedures.rules.spoken import NameJudge

_RULES = (
    fastener_names.unknown_names,
    fastener_names.ids_given_twice,
    sides.phases_never_used,
    sides.planned_minutes_missing,
    sides.sides_missing,
    sides.sides_out_of_place,
    sides.axle_out_of_place,
    sides.sided_and_not,
    sides.gates_out_of_place,
    way_rules.phases_in_a_circle,
    way_rules.ways_out_of_place,
    journey.removed_never_refitted,
    journey.fitted_never_tightened,
    journey.condition_never_established,
    journey.drained_never_filled,
    journey.marks_without_their_pair,
    parts.use_once_not_in_parts,
    parts.use_once_never_renewed,
    parts.self_locking_nuts_reused,
    tightening_rules.torques_above_bolt,
    tightening_rules.torques_below_bolt,
    tightening_rules.angles_above_a_turn,
    tightening_rules.widths_not_of_thread,
    tightening_rules.torques_outside_wrench,
    tightening_rules.angles_without_snug_torque,
    tightening_rules.angle_bolts_reuse_unsaid,
    tightening_rules.rubber_tightened_hanging,
    wheels.wheels_not_snug,
    wheels.wheels_not_final,
    wheels.wheels_never_checked_again,
    settling.heights_after_rubber,
    settling.underneath_unsaid,
    loads.bearings_loaded_slack,
    loads.supports_released_early,
    loads.springs_freed_at_both_ends,
    loads.pressed_and_bolted,
    gates_needed.gates_missing,
    hazards.hazards_without_warning,
    spoken.operations_without_spoken_name,
    spoken.spoken_names_twice,
    release.values_not_confirmed,
    release.newer_fields,
    picture_rules.pictures_not_usable,
)


def check_procedure(loaded: LoadedProcedure, hearing: NameJudge | None = None) -> tuple[CheckFinding, ...]:
    """Everything found in a procedure that could be read, in the order of the file, each place and kind once.

    With `hearing` its spoken names are judged too.
    """
    found = [finding for rule in _RULES for finding in rule(loaded)]
    if hearing is not None:
        found.extend(spoken.names_hard_to_hear(loaded, hearing))
    once = {(finding.line, finding.column, finding.name): finding for finding in reversed(found)}
    return tuple(sorted(once.values()))


def check_file(path: Path, hearing: NameJudge | None = None) -> tuple[CheckFinding, ...]:
    """Everything found in a file, be it a sound procedure or none. Raises InputError where it cannot be read at all."""
    try:
        loaded = load_procedure(path)
    except BrokenProcedureError as broken:
        return broken.findings
    return check_procedure(loaded, hearing)
