"""What is found wrong or doubtful in a procedure file, with the place and what to do."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from sparehand.errors import InputError

Severity = Literal["error", "warning"]


@dataclass(frozen=True, order=True)
class CheckFinding:
    """One finding. `name` is also the name of the page that explains it; line and column count from 1."""

    line: int
    column: int
    name: str
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
