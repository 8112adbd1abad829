"""What can be said now, and the rest of a long answer."""

from __future__ import annotations

from sparehand.job.answer import Line, plain
from sparehand.job.answering.answer_context import AnswerContext
from sparehand.job.decision import Tell
from sparehand.job.state import JobState

HELP_PHRASES = 4
"""How many phrases are said at once."""


def phrases_of_now(_state: JobState, _reply: Tell, context: AnswerContext) -> tuple[Line, ...]:
    """The likeliest phrases of now, a few at a time."""
    groups = [context.phrases[first : first + HELP_PHRASES] for first in range(0, len(context.phrases), HELP_PHRASES)]
    lines = [plain(f"{', '.join(group)}.").of_entries(len(group)) for group in groups]
    if not lines:
        return (plain("Nothing can be said now."),)
    return (lines[0].framed("You can say: ").of_entries(len(groups[0])), *lines[1:])


def rest_of_it(_state: JobState, _reply: Tell, context: AnswerContext) -> tuple[Line, ...]:
    """What the last answer left out."""
    return context.last.rest or (plain("That was all."),)
