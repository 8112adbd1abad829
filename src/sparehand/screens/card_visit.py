"""What a job card says of the visit around the work: lines beside the procedure, who pays, and what is to follow."""

from __future__ import annotations

from collections.abc import Iterator

from sparehand.job.answering.answer_visit import due_words
from sparehand.job.ledger import milliseconds
from sparehand.job.open_follow_ups import follow_ups_of
from sparehand.job.state import JobState
from sparehand.job.visit_lines import FollowUpNote, VisitLine
from sparehand.procedures.wording import duration_shown
from sparehand.screens.card_rows import LineRow


def line_rows(state: JobState) -> Iterator[LineRow]:
    """Each line, with its time where it took somebody's."""
    for line in state.progress.visit.lines:
        yield LineRow(line.number, line.work, _time(state, line), ", ".join(_said(line)), line.payer)


def follow_up_words(state: JobState) -> tuple[str, ...]:
    """Each follow-up with when it is due, or how it ended."""
    added = {note: ended_words(note) or due_words(note) for note in follow_ups_of(state)}
    return tuple(f"{note.words.rstrip('.')}{more}" if more else note.words for note, more in added.items())


def ended_words(note: FollowUpNote) -> str:
    """How a follow-up ended, to follow its words."""
    return f", done on {note.done_on:%Y-%m-%d}{f': {note.result}' if note.result else ''}" if note.done_on else ""


def line_seconds(state: JobState, line: VisitLine) -> float:
    """The time of a line in seconds: what was counted for it, work or wait, and what was put in at the desk."""
    spans = [span for span in state.ledger.all_spans() if span.label.phase == line.key]
    return (milliseconds(spans, "work") + milliseconds(spans, "hold")) / 1000 + 60 * (line.minutes or 0)


def _time(state: JobState, line: VisitLine) -> str:
    seconds = line_seconds(state, line)
    return f"{duration_shown(seconds)}{', runs' if line.runs else ''}" if seconds or line.runs else ""


def _said(line: VisitLine) -> Iterator[str]:
    if line.result:
        yield line.result
    if line.reference:
        yield f"reference {line.reference}"
    if line.distance is not None:
        yield f"{line.distance:g} {line.distance_unit}"
    if line.amount is not None:
        yield f"{line.amount:f} in the shop's money"
