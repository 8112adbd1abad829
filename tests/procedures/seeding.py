"""The demo procedures, and the defects that are put into copies of them."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from pydantic import BaseModel, ConfigDict, Field

from job.table import procedure_file
from sparehand.ground.places import bundled
from sparehand.procedures.findings import FindingName, Severity
from sparehand.procedures.load import LoadedProcedure, load_procedure
from sparehand.procedures.yaml_text import read_yaml

DEMOS = ("belt-drive-locking-tools", "brake-discs-epb", "engine-mounts", "wheel-bearing-press")


class Seed(BaseModel):
    """One defect of seeds.yaml; what its fields mean is said there."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    finding: FindingName | None = None
    near: FindingName | None = None
    severity: Severity | None = Field(alias="is", default=None)
    procedure: str = Field(alias="in")
    drop: tuple[str, ...] = ()
    after: dict[str, str] = {}
    replace: dict[str, str] = {}
    line: str | None = None
    keys: tuple[str | int, ...] = ()

    def text(self) -> str:
        """The demo procedure with the defect in it."""
        text = demo_text(self.procedure)
        for old, new in self.replace.items():
            text = changed(text, old, new)
        for line, added in self.after.items():
            text = changed(text, *_with_line_after(text, line, added))
        for dropped in self.drop:
            indent = _indent_of(text, dropped)
            text = changed(text, f"\n{indent}{dropped}\n", "\n")
        return text


def seeds() -> list[Any]:
    """Every entry of seeds.yaml."""
    entries = read_yaml(Path(__file__).with_name("seeds.yaml").read_text(encoding="utf-8")).data
    assert isinstance(entries, list)
    return [Seed.model_validate(entry) for entry in entries]


def demo_text(id: str) -> str:
    """The text of a demo procedure, or of the tests' rich example."""
    return procedure_file(id).read_text(encoding="utf-8")


def demo(id: str) -> LoadedProcedure:
    """A demo procedure as it comes with Sparehand, or the tests' rich example."""
    return load_procedure(procedure_file(id))


def changed(text: str, old: str, new: str) -> str:
    """The text with `old` changed to `new`; it must be in it exactly once."""
    assert text.count(old) == 1, f"{old!r} is {text.count(old)} times in the text"
    return text.replace(old, new)


def line_of(text: str, words: str) -> int:
    """The line, from 1, on which `words` stand; they must stand on one line only."""
    lines = [number for number, line in enumerate(text.splitlines(), 1) if words in line]
    assert len(lines) == 1, f"{words!r} stands on lines {lines}"
    return lines[0]


def written(folder: Path, text: str | bytes) -> Path:
    """A procedure file with that text, beside the pictures of the demo procedures."""
    path = folder / "procedure.yaml"
    for picture in bundled("procedures").rglob("*.png"):
        copy = folder / picture.relative_to(bundled("procedures"))
        copy.parent.mkdir(exist_ok=True)
        copy.write_bytes(picture.read_bytes())
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    return path


def _with_line_after(text: str, line: str, added: str) -> tuple[str, str]:
    whole = f"{_indent_of(text, line)}{line}\n"
    return f"\n{whole}", f"\n{whole}{_indent_of(text, line)}{added}\n"


def _indent_of(text: str, line: str) -> str:
    before = text[: text.index(f" {line}\n") + 1] if f" {line}\n" in text else ""
    return before[before.rfind("\n") + 1 :]
