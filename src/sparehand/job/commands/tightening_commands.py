"""Fasteners, their stages and what was read off the wrench."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class MarkDone:
    """Confirm the present step or tightening stage; `count` pieces of it, or all that remain."""

    count: int | None = None


@dataclass(frozen=True)
class Reading:
    """A value read off an instrument, as its digits were heard ("110", "46.5")."""

    digits: str


@dataclass(frozen=True)
class StartTightening:
    """Start the present fastener again at its first stage."""


TighteningCommand = MarkDone | Reading | StartTightening
