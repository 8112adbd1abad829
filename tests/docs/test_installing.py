"""What is said about installing: the unit is one, the bill lists what runs, the source carries what it must."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
import tomllib
from importlib.metadata import version
from pathlib import Path

import pytest
from packaging.requirements import Requirement

TOP = Path(__file__).parents[2]
INSTALL = TOP / "docs" / "install"


@pytest.fixture(scope="module")
def bill() -> str:
    """The bill of materials of this environment."""
    command = [sys.executable, str(INSTALL / "bill_of_materials.py")]
    return subprocess.run(command, check=True, capture_output=True, text=True).stdout


def test_the_bill_of_materials_is_valid_cyclonedx(bill: str) -> None:
    from cyclonedx.schema import SchemaVersion
    from cyclonedx.validation.json import JsonStrictValidator

    assert JsonStrictValidator(SchemaVersion.V1_6).validate_str(bill) is None


def test_the_bill_of_materials_names_every_dependency_with_version_and_licence(bill: str) -> None:
    listed = {component["name"].lower().replace("_", "-"): component for component in json.loads(bill)["components"]}
    project = tomllib.loads((TOP / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    for needed in map(Requirement, project["dependencies"]):
        component = listed[needed.name.lower()]
        assert component["version"] == version(needed.name)
        assert "not stated" not in str(component["licenses"]), needed.name


def test_the_unit_of_a_bench_is_one_that_systemd_takes(tmp_path: Path) -> None:
    if shutil.which("systemd-analyze") is None:
        pytest.skip("no systemd on this machine")
    unit = INSTALL / "sparehand-bench.service"
    checked = subprocess.run(
        ["systemd-analyze", "verify", "--user", str(unit)],
        env=os.environ | {"XDG_RUNTIME_DIR": str(tmp_path)},
        capture_output=True,
        text=True,
        timeout=60,
    )
    about_it = [line for line in checked.stderr.splitlines() if unit.name in line]
    assert about_it == []


def test_the_container_copies_nothing_that_the_source_lacks() -> None:
    recipe = (INSTALL / "Containerfile").read_text(encoding="utf-8")
    assert "libportaudio2" in recipe
    assert 'ENTRYPOINT ["sparehand"]' in recipe
