"""The loose list in a technician's words: grouped by side and state, with numerals that agree."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from sparehand.job.answer import Line, counted, numbered, plain, together
from sparehand.job.answering.budgets import LIST_ENTRIES
from sparehand.job.fasteners import LooseFastener
from sparehand.job.state import JobState
from sparehand.procedures import wording
from sparehand.procedures.labels import plural_of
from sparehand.procedures.model import Fastener, Side


def loose_by_side(state: JobState) -> tuple[Line, ...]:
    """What is loose, a few entries a line, as in "Left: five wheel bolts and the link nut out."."""
    entries = state.loose
    sides: list[Side | None] = [*state.plan.sides, None]
    lines = [line for side in sides for line in _of_side(state, side, [one for one in entries if one.key.side == side])]
    return tuple(lines) if entries else ()


def some(fastener: Fastener, count: int) -> Line:
    """So many of a fastener: "five wheel bolts"; "the link nut" where there is only one of it."""
    if fastener.quantity == 1:
        return plain(f"the {fastener.name}")
    return counted(count, fastener.name, plural_of(fastener))


def state_words(state: JobState, entry: LooseFastener) -> Line:
    """What state a loose fastener is in: out, hand tight, slack by a turn, or how far its tightening has come."""
    if entry.fastening.fitted and entry.state == "hand tight" and _slackened(state, entry):
        return plain("slack by a turn")
    reached = entry.fastening.reached
    done = sum(count >= entry.fastener.quantity for count in reached)
    if entry.state.startswith("stage"):
        return numbered("at stage {done} of {all}", done=done, all=len(reached))
    if entry.state.endswith(" done"):
        return numbered("with {some} of {all} done", some=max(reached), all=entry.fastener.quantity)
    return plain(entry.state)


def _of_side(state: JobState, side: Side | None, entries: Sequence[LooseFastener]) -> Iterator[Line]:
    """The lines of one side; a side of the job on which nothing is loose says so, where there are two."""
    head = f"{side.capitalize()}: " if side else ""
    if not entries and side and len(state.plan.sides) > 1:
        yield plain(f"{head}nothing.")
    for first in range(0, len(entries), LIST_ENTRIES):
        chunk = entries[first : first + LIST_ENTRIES]
        groups: dict[Line, list[Line]] = {}
        for one in chunk:
            groups.setdefault(state_words(state, one), []).append(some(one.fastener, one.fastener.quantity))
        grouped = together((_in_state(things, words) for words, things in groups.items()), ", ")
        yield grouped.framed(head, ".").of_entries(len(chunk))


def _in_state(things: Sequence[Line], words: Line) -> Line:
    spoken = wording.listed([thing.spoken for thing in things])
    shown = wording.listed([thing.shown for thing in things])
    return Line(f"{spoken} {words.spoken}", f"{shown} {words.shown}")


def _slackened(state: JobState, entry: LooseFastener) -> bool:
    """Whether the last finished step that touched the fastener only slackened it."""
    for key in reversed(state.plan.steps):
        step = state.plan.step(key)
        touched = entry.key.fastener in (*step.removes, *step.fits, *step.slackens)
        if touched and key in state.progress.done and key.at.side == entry.key.side:
            return entry.key.fastener in step.slackens
    return False
