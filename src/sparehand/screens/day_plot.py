"""The day as a picture: a bar for each job, from its beginning to where it is ready in 50 and in 90 of 100 cases."""

from __future__ import annotations

from datetime import datetime, timedelta

from markupsafe import Markup

from sparehand.screens.today_table import at_words
from sparehand.visit.day_forecast import DayForecast, JobForecast

LEFT, RIGHT, ROW, TOP = 330.0, 1175.0, 36.0, 30.0
TICKS = (1, 2, 4, 6, 12, 24, 48)
MOST_TICKS, MOST_LETTERS = 12, 26


def day_plot(day: DayForecast) -> Markup:
    """SVG in the colour of the text.

    Nothing is told by colour: a bar is hollow from 50 to 90 of 100 cases, a promise is a line with a flag, and a job at
    risk says so.
    """
    first = min([day.at, *(row.starts for row in day.jobs)])
    last = max(moment for row in day.jobs for moment in (row.ready_most, row.promised) if moment)
    scale = _Scale(first, max(last, first + timedelta(hours=1)))
    rows = sorted(day.jobs, key=lambda row: (row.technician, row.starts))
    height = TOP + ROW * len(rows) + 8
    drawn = [_tick(scale, moment, height) for moment in scale.ticks()]
    drawn += [_row(scale, row, TOP + ROW * number, day.at) for number, row in enumerate(rows)]
    return Markup(
        '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 1200 {}" role="img" font-size="17" fill="currentColor" '
        'stroke="none" aria-label="{}">{}</svg>'
    ).format(height, "When each job is likely ready; the table below says the same", Markup("").join(drawn))


class _Scale:
    """From moments to places across."""

    def __init__(self, first: datetime, last: datetime) -> None:
        self._first, self._last = first, last

    def at(self, moment: datetime) -> float:
        return round(LEFT + (RIGHT - LEFT) * ((moment - self._first) / (self._last - self._first)), 1)

    def ticks(self) -> list[datetime]:
        hours = (self._last - self._first) / timedelta(hours=1)
        step = next((each for each in TICKS if hours / each <= MOST_TICKS), TICKS[-1])
        start = self._first.replace(minute=0, second=0, microsecond=0)
        moments = (start + timedelta(hours=step * number) for number in range(int(hours / step) + 2))
        return [moment for moment in moments if self._first <= moment <= self._last]


def _tick(scale: _Scale, moment: datetime, height: float) -> Markup:
    return Markup(
        '<g><line x1="{0}" x2="{0}" y1="22" y2="{1}" stroke="currentColor" stroke-opacity="0.25"/>'
        '<text x="{0}" y="16" text-anchor="middle">{2}</text></g>'
    ).format(scale.at(moment), height, f"{moment:%H:%M}" if moment.hour else f"{moment:%a} 0:00")


def _row(scale: _Scale, row: JobForecast, top: float, at: datetime) -> Markup:
    begins, half, most = (scale.at(moment) for moment in (row.starts, row.ready_half, row.ready_most))
    words = f"{row.name}, {row.technician}"
    words = words if len(words) <= MOST_LETTERS else f"{words[: MOST_LETTERS - 1]}…"
    bar = Markup(
        '<text x="4" y="{y}" font-weight="{weight}">{words}</text>'
        '<rect x="{begins}" y="{top}" width="{solid}" height="16" fill-opacity="0.75"/>'
        '<rect x="{half}" y="{top}" width="{hollow}" height="16" fill="none" stroke="currentColor" stroke-width="1.5"/>'
    ).format(
        y=top + 20,
        words=f"{words}, at risk" if row.at_risk else words,
        weight="700" if row.at_risk else "400",
        begins=begins,
        top=top + 6,
        solid=max(1.0, round(half - begins, 1)),
        half=half,
        hollow=max(0.0, round(most - half, 1)),
    )
    return Markup("<g>{}{}<title>{}</title></g>").format(bar, _promise(scale, row, top), _told(row, at))


def _promise(scale: _Scale, row: JobForecast, top: float) -> Markup:
    if row.promised is None:
        return Markup("")
    return Markup(
        '<path d="M{0} {1}v26m0 -26h9l-3 4l3 4h-9" fill="none" stroke="currentColor" stroke-width="2.5"/>'
    ).format(scale.at(row.promised), top + 1)


def _told(row: JobForecast, at: datetime) -> str:
    kept = f", kept in {100 * (row.chance or 0):.0f} %"
    promised = f"; promised {at_words(row.promised, at)}{kept}" if row.promised else ""
    return f"{row.name}: ready {at_words(row.ready_half, at)}, 9 in 10 by {at_words(row.ready_most, at)}{promised}"
