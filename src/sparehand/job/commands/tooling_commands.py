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
