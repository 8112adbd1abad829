"""What is shipped: the wheel works by itself, and the source archive holds what the wheel and the tests are made of."""

from __future__ import annotations

import tarfile
import zipfile
from pathlib import Path

import pytest
from hatchling.builders.sdist import SdistBuilder
from hatchling.builders.wheel import WheelBuilder

TOP = Path(__file__).parents[1]


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> frozenset[str]:
    """The names in the wheel."""
    (built,) = WheelBuilder(str(TOP)).build(directory=str(tmp_path_factory.mktemp("wheel")), versions=["standard"])
    with zipfile.ZipFile(built) as archive:
        return frozenset(archive.namelist())


@pytest.fixture(scope="module")
def sdist(tmp_path_factory: pytest.TempPathFactory) -> frozenset[str]:
    """The names in the source archive, without the folder at its top."""
    (built,) = SdistBuilder(str(TOP)).build(directory=str(tmp_path_factory.mktemp("sdist")), versions=["standard"])
    with tarfile.open(built) as archive:
        return frozenset(name.partition("/")[2] for name in archive.getnames())


def files(room: str) -> set[str]:
    """What lies in a folder of the source, apart from what was compiled."""
    found = (path for path in (TOP / room).rglob("*") if path.is_file() and "__pycache__" not in path.parts)
    return {str(path.relative_to(TOP)) for path in found}


def test_the_wheel_carries_the_program_and_its_data(wheel: frozenset[str]) -> None:
    assert {name.removeprefix("src/") for name in files("src/sparehand")} <= wheel
    assert {f"sparehand/data/{name}" for name in files("procedures") | files("models")} <= wheel


def test_the_wheel_carries_the_licence_and_nothing_of_tests_and_manual(wheel: frozenset[str]) -> None:
    assert any(name.endswith("licenses/LICENSE") for name in wheel)
    assert {name.split("/")[0] for name in wheel if ".dist-info" not in name} == {"sparehand"}


@pytest.mark.parametrize("room", ["src", "tests", "procedures", "models", "docs"])
def test_the_source_archive_holds_every_room(sdist: frozenset[str], room: str) -> None:
    assert files(room) <= sdist


def test_the_source_archive_holds_what_stands_at_the_top(sdist: frozenset[str]) -> None:
    assert {"README.md", "DEVELOPERS.md", "LICENSE", "pyproject.toml", "PKG-INFO"} <= sdist


def test_nothing_that_was_made_is_shipped(sdist: frozenset[str], wheel: frozenset[str]) -> None:
    assert [name for name in sdist | wheel if name.endswith((".pyc", ".sqlite", ".wav", ".pdf"))] == []
