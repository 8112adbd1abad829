"""The torque wrench in hand, an extension on it, and a second person's look."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class UseWrench:
    """Tighten with this wrench of the shop's list from now on."""

    wrench: str


@dataclass(frozen=True)
class ExtensionInLine:
    """An extension in line with the wrench, as long as the digits that were heard, in millimetres."""

    digits: str


@dataclass(frozen=True)
class ExtensionAtRightAngle:
    """An extension at a right angle to the wrench."""


@dataclass(frozen=True)
class ExtensionOff:
    """No extension is on the wrench any more."""


@dataclass(frozen=True)
class SecondCheck:
    """A second person has checked the tightening of this step; by name where it was said."""

    technician: str = ""


@dataclass(frozen=True)
class ToolsBack:
    """Every tool of the job was counted and is back, the borrowed ones too."""


@dataclass(frozen=True)
class PressSizeFits:
    """An adapter of this size in millimetres, as its digits were heard, fits at the present step."""

    digits: str


@dataclass(frozen=True)
class HelperFor:
    """A second person helped for so many minutes, without joining the job."""

    minutes: int


ToolingCommand = (
    UseWrench
    | ExtensionInLine
    | ExtensionAtRightAngle
    | ExtensionOff
    | SecondCheck
    | ToolsBack
    | PressSizeFits
    | HelperFor
)
