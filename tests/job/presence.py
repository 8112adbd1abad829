"""How long each technician was on a job, counted from its history alone."""

from __future__ import annotations

from collections import defaultdict
from itertools import pairwise

from sparehand.job import events as e
from sparehand.job.account import Span


def elapsed_of(spans: tuple[Span, ...]) -> dict[str, int]:
    """The total of each technician's spans, in milliseconds."""
    total: dict[str, int] = defaultdict(int)
    for span in spans:
        total[span.label.technician] += span.milliseconds
    return {name: milliseconds_ for name, milliseconds_ in total.items() if milliseconds_}


def presence(history: list[e.Recorded]) -> dict[str, int]:
    """The time each was there: what was taken back never happened, and after the close nobody is."""
    kept: list[e.Recorded] = []
    for recorded in history:
        if isinstance(recorded.event, e.Undone):
            kept = [one for one in kept if one.batch < recorded.event.batch]
        else:
            kept.append(recorded)
    comings = {one.sequence: one.event for one in kept}
    there: set[str] = set()
    total: dict[str, int] = defaultdict(int)
    for before, after in pairwise(history):
        if isinstance(before.event, e.JobClosed) and not isinstance(after.event, e.Undone):
            continue
        match comings.get(before.sequence):
            case e.JobOpened(technician=name) | e.TechnicianJoined(technician=name):
                there.add(name)
            case e.TechnicianLeft(technician=name):
                there.discard(name)
        for name in there:
            total[name] += before.at.milliseconds_until(after.at)
    return {name: milliseconds_ for name, milliseconds_ in total.items() if milliseconds_}
