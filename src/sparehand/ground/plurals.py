"""Counts with their things in agreement: "no jobs" is never "1 jobs"."""

from __future__ import annotations


def agreeing(count: int, thing: str, things: str | None = None) -> str:
    """The noun that agrees with a count: "job" for one, else "jobs"; `things` where the plural has no mere s."""
    return thing if count == 1 else things or f"{thing}s"


def how_many(count: int, thing: str, things: str | None = None) -> str:
    """A number of things in figures: "0 jobs", "1 job", "2 jobs"."""
    return f"{count} {agreeing(count, thing, things)}"


def are(count: int) -> str:
    """The verb that agrees with a count."""
    return "is" if count == 1 else "are"
