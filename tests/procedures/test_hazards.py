"""Bare hazards are found in a step's own words, and their neighbours raise no alarm."""

from __future__ import annotations

from pathlib import Path
from typing import get_args

import pytest
from pydantic import BaseModel, ConfigDict

from procedures.seeding import written
from sparehand.procedures.check import check_file
from sparehand.procedures.model import Hazard
from sparehand.procedures.yaml_text import read_yaml


class Warned(BaseModel):
    """A step with its hazard and what guards against it."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    say: str
    warning: str


class Family(BaseModel):
    """An entry of hazards.yaml; what its fields mean is said there."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    family: Hazard
    bare: tuple[str, ...]
    clean: tuple[str, ...]
    warned: Warned


_ENTRIES = read_yaml(Path(__file__).with_name("hazards.yaml").read_text(encoding="utf-8")).data
assert isinstance(_ENTRIES, list)
FAMILIES = [Family.model_validate(entry) for entry in _ENTRIES]
BARE = [(family.family, say) for family in FAMILIES for say in family.bare]
CLEAN = [say for family in FAMILIES for say in family.clean]


def found_in(folder: Path, say: str, more: str = "") -> set[str]:
    """The names of what `check` finds in a procedure of one step."""
    text = f"""format: 1
id: bench-piece
title: Bench piece
demo: true
vehicle: Ternby Moss van (invented)
source: {{title: Invented, edition: "1", answered_for_by: Nobody}}
operations: [{{id: whole, title: Whole, spoken: [whole job], phases: [only]}}]
phases:
  - id: only
    title: Only phase
    planned_minutes: 5
    steps:
      - id: only
        say: {say!r}
{more}"""
    return {finding.name for finding in check_file(written(folder, text))}


def test_every_hazard_is_a_family_with_seeds_and_neighbours() -> None:
    assert [family.family for family in FAMILIES if len(family.bare) < 3 or len(family.clean) < 2] == []
    assert {family.family for family in FAMILIES} == set(get_args(Hazard))


@pytest.mark.parametrize(("hazard", "say"), BARE)
def test_a_bare_hazard_is_found(hazard: Hazard, say: str, tmp_path: Path) -> None:
    assert f"hazard-{hazard}" in found_in(tmp_path, say)


@pytest.mark.parametrize("say", CLEAN)
def test_a_neighbour_raises_no_alarm(say: str, tmp_path: Path) -> None:
    assert found_in(tmp_path, say) == set()


@pytest.mark.parametrize("family", FAMILIES, ids=lambda family: family.family)
def test_a_hazard_that_is_warned_of_is_none(family: Family, tmp_path: Path) -> None:
    more = f"        hazards: [{family.family}]\n        warnings: [{{id: told, text: {family.warned.warning!r}}}]\n"
    assert found_in(tmp_path, family.warned.say, more) == set()


@pytest.mark.parametrize("hazard", get_args(Hazard))
def test_a_declared_hazard_is_found_whatever_the_words(hazard: Hazard, tmp_path: Path) -> None:
    assert found_in(tmp_path, "Go on.", f"        hazards: [{hazard}]\n") == {f"hazard-{hazard}"}


def test_a_caution_about_damage_is_no_warning_of_injury(tmp_path: Path) -> None:
    more = "        cautions: [{id: collar, text: Press on the collar only.}]\n"
    assert found_in(tmp_path, "Press the bush in.", more) == {"hazard-press"}


def test_a_phase_that_no_operation_names_is_read_too(tmp_path: Path) -> None:
    more = """  - id: spare
    title: Spare phase
    planned_minutes: 5
    steps: [{id: away, say: Press the bush out.}]
"""
    assert found_in(tmp_path, "Go on.", more) == {"hazard-press", "phase-never-used"}
