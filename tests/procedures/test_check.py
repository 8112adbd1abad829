"""`check` finds every defect at its line, and nothing in a sound file."""

from __future__ import annotations

from collections.abc import Collection
from pathlib import Path
from typing import get_args

import pytest

from procedures.seeding import DEMOS, Seed, changed, demo, demo_text, line_of, seeds, written
from sparehand.procedures.check import check_file, check_procedure
from sparehand.procedures.findings import FindingName, format_findings
from sparehand.procedures.load import load_procedure
from sparehand.procedures.rules.spoken import NameJudge

SEEDS = [seed for seed in seeds() if seed.finding]
NEIGHBOURS = [seed for seed in seeds() if seed.near]
PAGES = Path(__file__).parents[2] / "docs" / "checks"


def _unknown(words: Collection[str]) -> dict[str, tuple[str, ...]]:
    return {word: ("wheels",) for word in words if word == "zwurbels"}


def _alike(names: Collection[str]) -> list[tuple[str, str]]:
    return [("brake disks", "brake discs")] if "brake disks" in names else []


DANGEROUS = "arm-joint"
"""The tests' rich example, whose dangers the check names."""
HEARING = NameJudge(_unknown, _alike)
"""A recogniser that lacks one word and confuses one pair of names."""


@pytest.mark.parametrize("id", [*DEMOS, "careful-arm"])
def test_a_sound_file_raises_no_alarm(id: str) -> None:
    assert check_procedure(demo(id), HEARING) == ()


@pytest.mark.parametrize("seed", SEEDS, ids=lambda seed: f"{seed.finding} in {seed.procedure}")
def test_a_seeded_defect_is_found_at_its_line_and_brings_nothing_else(seed: Seed, tmp_path: Path) -> None:
    path = written(tmp_path, seed.text())
    line = line_of(seed.text(), seed.line) if seed.line else load_procedure(path).position(*seed.keys)[0]
    findings = check_file(path, HEARING)
    assert (seed.finding, seed.severity, line) in {(found.name, found.severity, found.line) for found in findings}
    before = {found.name for found in check_procedure(demo(seed.procedure), HEARING)}
    assert {found.name for found in findings} - before == {seed.finding} - before


@pytest.mark.parametrize("near", NEIGHBOURS, ids=lambda near: f"{near.near} in {near.procedure}")
def test_a_clean_neighbour_raises_no_alarm(near: Seed, tmp_path: Path) -> None:
    assert check_file(written(tmp_path, near.text()), HEARING) == ()


def test_the_dangers_of_an_earlier_demonstration_are_all_named() -> None:
    found = {found.name for found in check_procedure(demo(DANGEROUS))}
    assert found >= {
        "wheel-not-snug",
        "wheel-not-final",
        "height-after-rubber",
        "underneath-unsaid",
        "support-released-early",
        "spring-both-ends",
        "pressed-and-bolted",
        "gate-missing",
        "hazard-press",
    }


def test_every_kind_of_finding_has_a_seed_and_a_page() -> None:
    kinds = set(get_args(FindingName))
    assert {seed.finding for seed in SEEDS} >= {kind for kind in kinds if not kind.startswith("hazard-")}
    assert {page.stem for page in PAGES.glob("*.md")} - {"README"} == kinds


def test_a_page_says_how_severe_its_finding_is() -> None:
    heads = {
        page.stem: page.read_text(encoding="utf-8").splitlines()[2] for page in PAGES.glob("*.md") if "-" in page.stem
    }
    assert [seed.finding for seed in SEEDS if str(seed.severity) not in heads[str(seed.finding)]] == []
    listed = (PAGES / "README.md").read_text(encoding="utf-8")
    assert [
        name for name, head in heads.items() if f"({name}.md) | {head.split(' · ')[1].split()[0]}" not in listed
    ] == []


def test_a_finding_is_printed_on_one_line_with_file_line_and_column(tmp_path: Path) -> None:
    path = written(tmp_path, changed(demo_text("brake-discs-epb"), "torque: 24 N·m", "torque: 24 lbf·ft"))
    [line] = format_findings(path, check_file(path)).splitlines()
    assert line.startswith(f"{path}:{line_of(path.read_text(encoding='utf-8'), '24 lbf·ft')}:9: warning: ")
    assert line.endswith("[torque-above-bolt]")


def test_pressing_a_pedal_is_no_hazard(tmp_path: Path) -> None:
    text = demo_text("belt-drive-locking-tools")
    text = changed(text, "say: Connect the battery and", "say: Connect the battery. Press the brake pedal and")
    assert check_file(written(tmp_path, text)) == ()


def test_the_names_of_a_sound_file_are_judged_only_where_a_recogniser_is_given(tmp_path: Path) -> None:
    text = changed(demo_text("brake-discs-epb"), "[brake discs]", "[brake zwurbels]")
    assert check_file(written(tmp_path, text)) == ()
