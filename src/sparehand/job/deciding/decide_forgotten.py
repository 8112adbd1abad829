"""Asking about a forgotten word, at a quiet moment and at the close, and putting the times right."""

from __future__ import annotations

from sparehand.job.decision import Context, Decision, tell
from sparehand.job.events import Question, QuestionAnswered, QuestionAsked
from sparehand.job.forgotten_phases import about_word, all_noticed, may_be_asked, noticed_now, put_right, word_about
from sparehand.job.state import JobState
from sparehand.times.forgotten_words import ForgottenWord

QUIET_MS = 15_000
"""Nothing was recorded for so long: whoever works does not wait for an answer now."""


def asks_at_a_quiet_moment(state: JobState, context: Context) -> Decision | None:
    """The question about what the times tell now; nothing while anything else is going on."""
    progress = state.progress
    busy = progress.question or progress.hold or progress.snag or progress.closed
    if busy or state.ledger.latest.milliseconds_until(context.now) < QUIET_MS:
        return None
    word = noticed_now(state, context.now, context.experience)
    return _asking(word) if word and may_be_asked(state, word) else None


def asks_at_the_close(state: JobState, context: Context) -> Decision | None:
    """The first question that is still to be asked about the finished phases."""
    words = all_noticed(state, context.now, context.experience)
    return next((_asking(word) for word in words if may_be_asked(state, word)), None)


def put_right_now(state: JobState, question: Question, context: Context) -> Decision:
    """The time is counted where it was probably spent."""
    word = word_about(state, question.about, context.now, context.experience)
    events = put_right(state, word, context.now, context.experience) if word else ()
    if not events:
        return tell("answered no", QuestionAnswered(answer="no"))
    return tell("put right", *events)


def _asking(word: ForgottenWord) -> Decision:
    question = Question(
        kind="forgotten word",
        about=about_word(word),
        side=word.key.side,
        value=round(word.seconds, 3),
        unit="s",
    )
    return tell("question", QuestionAsked(question=question))
