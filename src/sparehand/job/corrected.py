"""The spans of a job as corrections tell them: no millisecond comes or goes, it only counts elsewhere."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from sparehand.job.account import Label, Span
from sparehand.job.events import TimeCorrected


def corrected(spans: tuple[Span, ...], corrections: Iterable[TimeCorrected]) -> tuple[Span, ...]:
    """The spans after each correction in turn; where there is less work than it names, all there is."""
    for correction in corrections:
        spans = _moved(spans, correction)
    return spans


def _moved(spans: tuple[Span, ...], correction: TimeCorrected) -> tuple[Span, ...]:
    """Take from the latest work first, plain work before that of a snag."""
    left = correction.milliseconds
    after = list(spans)
    order = [place for place, span in enumerate(spans) if _is_meant(span.label, correction)]
    for place in sorted(order, key=lambda place: (spans[place].label.snag is not None, -place)):
        taken = min(left, after[place].milliseconds)
        after[place] = replace(after[place], milliseconds=after[place].milliseconds - taken)
        left -= taken
    hold = correction.hold if correction.counted_as == "hold" else None
    label = Label(correction.counted_as, correction.to_phase, correction.technician, hold=hold)
    return (*(span for span in after if span.milliseconds), Span(label, correction.milliseconds - left))


def _is_meant(label: Label, correction: TimeCorrected) -> bool:
    return (label.kind, label.phase, label.technician) == ("work", correction.phase, correction.technician)
