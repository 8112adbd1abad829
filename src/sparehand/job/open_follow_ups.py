"""The follow-ups that can be ticked in a job: of earlier jobs of the vehicle, then its own."""

from __future__ import annotations

from sparehand.job.experience import Experience
from sparehand.job.state import JobState
from sparehand.job.visit_lines import FollowUpNote, all_follow_ups

Numbered = tuple[str | None, FollowUpNote]
"""The earlier job (None: this one) and what is to follow it."""


def follow_ups_of(state: JobState) -> tuple[FollowUpNote, ...]:
    """All follow-ups of a job: those that its operations bring, then those that somebody added."""
    return all_follow_ups(state.progress.visit, state.follow_ups)


def numbered_follow_ups(state: JobState, experience: Experience) -> tuple[Numbered, ...]:
    """Those that are open, in the order in which they are numbered aloud."""
    done = {(one.job, one.follow_up) for one in state.progress.visit.others_done}
    earlier = tuple(pair for pair in experience.follow_ups if (pair[0], pair[1].id) not in done)
    return (*earlier, *((None, note) for note in follow_ups_of(state) if note.done_on is None))
