"""What is found wrong or doubtful in a procedure file, with the place and what to do."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from sparehand.ground.errors import InputError

Severity = Literal["error", "warning"]
FindingName = Literal[
    "not-readable",
    "format-unknown",
    "wrong-value",
    "unknown-name",
    "id-given-twice",
    "phase-never-used",
    "sides-missing",
    "side-not-there",
    "sided-and-not",
    "phases-in-a-circle",
    "way-not-possible",
    "gate-per-side",
    "gate-never-asked",
    "mark-never-made",
    "mark-never-found",
    "removed-never-refitted",
    "fitted-never-tightened",
    "condition-never-established",
    "drained-never-filled",
    "use-once-not-in-parts",
    "use-once-never-renewed",
    "self-locking-nut-reused",
    "torque-above-bolt",
    "torque-below-bolt",
    "angle-above-turn",
    "width-not-of-thread",
    "torque-outside-wrench",
    "angle-without-snug-torque",
    "angle-bolt-reuse-unsaid",
    "rubber-tightened-hanging",
    "wheel-not-snug",
    "wheel-not-final",
    "wheel-recheck-missing",
    "height-after-rubber",
    "underneath-unsaid",
    "bearing-loaded-slack",
    "support-released-early",
    "spring-both-ends",
    "pressed-and-bolted",
    "gate-missing",
    "hazard-press",
    "hazard-heat",
    "hazard-lift",
    "hazard-jack",
    "hazard-rolling",
    "hazard-spring",
    "hazard-high-voltage",
    "hazard-restraint",
    "hazard-fuel",
    "hazard-refrigerant",
    "hazard-exhaust-gas",
    "hazard-moving-parts",
    "hazard-hot-parts",
    "hazard-dust",
    "planned-minutes-missing",
    "no-spoken-name",
    "spoken-name-twice",
    "word-not-known",
    "names-sound-alike",
    "value-not-confirmed",
    "newer-field",
    "picture-not-usable",
]
"""Every kind of finding; each has a page of its name in docs/checks."""


@dataclass(frozen=True, order=True)
class CheckFinding:
    """One finding. `name` is also the name of the page that explains it; line and column count from 1."""

    line: int
    column: int
    name: FindingName
    severity: Severity
    message: str
    remedy: str

    def __str__(self) -> str:
        return f"{self.line}:{self.column}: {self.severity}: {self.message}; {self.remedy} [{self.name}]"


class BrokenProcedureError(InputError):
    """A file that is no procedure at all; `findings` says all that is wrong, the message the first of it."""

    def __init__(self, path: Path, findings: tuple[CheckFinding, ...]) -> None:
        self.path = path
        self.findings = findings
        more = f" (and {len(findings) - 1} more: run `sparehand check {path}`)" if len(findings) > 1 else ""
        super().__init__(f"{path}:{findings[0]}{more}")


def format_findings(path: Path, findings: Iterable[CheckFinding]) -> str:
    """One line a finding, each with file, line and column; empty where there is none."""
    return "\n".join(f"{path}:{finding}" for finding in findings)
