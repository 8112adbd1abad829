"""Answers about who is on the job."""

from __future__ import annotations

from sparehand.job.answer import Line, plain
from sparehand.job.answering.answer_overview import open_on_vehicle
from sparehand.job.answering.answer_resuming import asks_gap, check_by_hand
from sparehand.job.crew import Member
from sparehand.job.state import JobState


def crew(state: JobState) -> tuple[Line, ...]:
    """Who speaks, who else is on the job, and what is still to be said of the speaker's time."""
    who = state.progress.crew
    others = (plain(f"{member.name} is on the job too{_halted(member)}.") for member in who.members)
    others = (line for member, line in zip(who.members, others, strict=True) if member.name != who.acting)
    acting = next(member for member in who.members if member.name == who.acting)
    speaking = plain(f"{acting.name} is speaking{_halted(acting)}.")
    return (speaking.of_entries(1), *(line.of_entries(1) for line in others), *asks_gap(state))


def left(state: JobState, name: str) -> tuple[Line, ...]:
    """Who has gone, and who is still there."""
    return (plain(f"{name} has left the job."), *crew(state))


def handed_over(state: JobState, name: str) -> tuple[Line, ...]:
    """Who has the job now, and all that they must know of the vehicle."""
    condition = (line.kept_whole() for line in open_on_vehicle(state))
    return (plain(f"{name} has the job now."), *condition, *check_by_hand(state))


def _halted(member: Member) -> str:
    return f", on hold for {member.hold}" if member.hold else ""
