"""Who comes to a job, leaves it, and speaks."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class TechnicianSpeaks:
    """The named one speaks from now on, until another says so; one microphone does not tell voices apart."""

    technician: str


@dataclass(frozen=True)
class TechnicianJoins:
    """One more works on the job, and speaks from now on."""

    technician: str


@dataclass(frozen=True)
class TechnicianLeaves:
    """The named one works on the job no more."""

    technician: str


@dataclass(frozen=True)
class HandOver:
    """The one who speaks leaves the job to another."""

    technician: str


@dataclass(frozen=True)
class WhoIsHere:
    """Say who is on the job, and who speaks."""


PeopleCommand = TechnicianSpeaks | TechnicianJoins | TechnicianLeaves | HandOver | WhoIsHere
