"""The labour report: one HTML file that stands alone, with every plot's numbers in a table below it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from statistics import median

from markupsafe import Markup

from sparehand.labour.forecasting.effects import Effects, effects
from sparehand.labour.forecasting.quote_records import Quote
from sparehand.labour.judging.backtest import Backtest, backtest
from sparehand.procedures.model import Procedure
from sparehand.screens.day_table import BAND_COLUMNS, band_cells
from sparehand.screens.labour_plots import Interval, hours_plot, intervals_plot, shares_plot, steps_plot
from sparehand.screens.pages import page_template
from sparehand.screens.quote_table import delay_words
from sparehand.times.job_times import JobTimes, PhaseTime
from sparehand.times.what_counts import left_out_reason
from sparehand.visit.calibration import Band

ENOUGH_TO_TEST = 5
"""Fewer jobs than this say nothing about past forecasts."""


@dataclass(frozen=True)
class PhaseRow:
    """One line of the table of phases, worded."""

    name: str
    planned: str
    logged: str
    expected: str
    range: str
    jobs: int


@dataclass(frozen=True)
class WhereRow:
    """Mean minutes of one phase by what they were."""

    name: str
    work: float
    snags: float
    holds: float


def labour_report(
    quote: Quote,
    jobs: Sequence[JobTimes],
    procedure: Procedure | None,
    others: Sequence[Procedure] = (),
    people: bool = False,
    bands: Sequence[Band] = (),
    at_desk: bool = False,
) -> str:
    """The report on `quote` as HTML; of `jobs`, those of its procedure are shown.

    `others` are the procedures whose plans the quote used. `people` adds what to plan for by technician, where a shop
    has turned that on and a technician has enough jobs. `bands` are how the promises of such jobs were kept; `at_desk`
    the page has a way back to the desk's pages, which is not printed.
    """
    planned = {phase.id: 60 * (phase.planned_minutes or 0) for phase in procedure.phases} if procedure else {}
    every = [job for job in jobs if job.procedure == quote.procedure and not job.rework]
    left_out = [(job, reason) for job in every if (reason := left_out_reason(job, planned))]
    own = [job for job in every if not left_out_reason(job, planned)]
    names = {phase.id: phase.title for phase in procedure.phases} if procedure else {}
    operations = {operation.id: operation.title for operation in procedure.operations} if procedure else {}
    where = _where(own, names)
    found = effects(quote.procedure, jobs, _files(procedure, others), technicians=people)
    past = backtest(quote.procedure, jobs, _files(procedure, others)) if len(own) >= ENOUGH_TO_TEST else None
    plots = {
        "hours": _drawn(hours_plot(quote.draws_hours, quote.figure_hours, quote.median_hours))
        if quote.draws_hours
        else "",
        "phases": _drawn(_phases_plot(quote, names, procedure)),
        "where": _drawn(_where_plot(where)) if where else "",
        "effects": _drawn(_effects_plot(found)) if found.conditions or found.technicians else "",
        "calibration": _drawn(_calibration_plot(past)) if past else "",
    }
    page = page_template("labour_report.html.j2")
    return page.render(
        title=procedure.title if procedure else quote.procedure,
        what=_what(quote, operations),
        demo=bool(procedure and procedure.demo),
        quote=quote,
        plots=plots,
        phases=_phase_rows(quote, own, names, procedure),
        where=where,
        delay=delay_words(quote),
        names=names,
        operations=operations,
        left_out=left_out,
        unfinished=sum(not all(part.complete for part in job.phases) for job in own),
        effects=(*found.conditions, *found.technicians),
        people=bool(found.technicians),
        calibration=past,
        bands=[band_cells(band) for band in bands],
        band_columns=BAND_COLUMNS,
        at_desk=at_desk,
    )


def _files(procedure: Procedure | None, others: Sequence[Procedure]) -> list[Procedure]:
    return [each for each in (procedure, *others) if each is not None]


def _effects_plot(found: Effects) -> str:
    rows = [Interval(row.name, row.low, row.median, row.high) for row in (*found.conditions, *found.technicians)]
    words = "Each effect as times as much time, with its four-in-five range; the dotted line at 1 changes nothing."
    return intervals_plot(rows, "times as much time", "", words, at=1.0)


def _calibration_plot(past: Backtest) -> str:
    words = "How often ranges held against how often they were said to; on the dotted line they agree."
    said, held = ([0.0, *(100 * getattr(row, name) for row in past.coverage), 100.0] for name in ("nominal", "held"))
    return steps_plot(said, held, ("said to hold, %", "held, %"), words)


def _what(quote: Quote, operations: Mapping[str, str]) -> str:
    chosen = ", ".join(operations.get(operation, operation) for operation in quote.operations) or "the whole procedure"
    sides = f", {' and '.join(quote.sides)}" if quote.sides else ""
    who = quote.technician or "anyone"
    return f"{chosen}{sides}. By {who}; corrosion {quote.conditions.corrosion}; on {_support(quote)}."


def _support(quote: Quote) -> str:
    return {"lift": "a lift", "stands": "stands"}.get(quote.conditions.support, "a lift or stands")


def _planned(phase: str, procedure: Procedure | None) -> float | None:
    return next((each.planned_minutes for each in procedure.phases if each.id == phase), None) if procedure else None


def _name(names: Mapping[str, str], phase: str, side: str | None) -> str:
    return f"{names.get(phase, phase)}{f', {side}' if side else ''}"


def _phases_plot(quote: Quote, names: Mapping[str, str], procedure: Procedure | None) -> str:
    rows = [
        Interval(
            _name(names, row.phase, row.side),
            row.p10_minutes,
            row.median_minutes,
            row.p90_minutes,
            _planned(row.phase, procedure),
        )
        for row in quote.phases
    ]
    return intervals_plot(
        rows, "minutes", "plan", "Expected minutes of each phase with the range of four jobs in five; see the table."
    )


def _phase_rows(
    quote: Quote, own: Sequence[JobTimes], names: Mapping[str, str], procedure: Procedure | None
) -> list[PhaseRow]:
    rows = []
    for row in quote.phases:
        planned = _planned(row.phase, procedure)
        logged = [part.work_seconds / 60 for part in _parts(own, row.phase) if part.complete]
        rows.append(
            PhaseRow(
                name=_name(names, row.phase, row.side),
                planned=f"{planned:.0f}" if planned else "none",
                logged=f"{median(logged):.0f}" if logged else "none",
                expected=f"{row.median_minutes:.0f}",
                range=f"{row.p10_minutes:.0f} to {row.p90_minutes:.0f}",
                jobs=row.jobs,
            )
        )
    return rows


def _parts(own: Sequence[JobTimes], phase: str) -> list[PhaseTime]:
    return [part for job in own for part in job.phases if part.phase == phase]


def _where(own: Sequence[JobTimes], names: Mapping[str, str]) -> list[WhereRow]:
    phases = dict.fromkeys(part.phase for job in own for part in job.phases)
    rows = []
    for phase in phases:
        parts = _parts(own, phase)
        having = sum(any(part.phase == phase for part in job.phases) for job in own)
        snags = sum(min(snag.seconds, part.work_seconds) for part in parts for snag in part.snags) / 60 / having
        work = sum(part.work_seconds for part in parts) / 60 / having
        holds = sum(part.held_seconds for part in parts) / 60 / having
        rows.append(WhereRow(names.get(phase, phase), max(0.0, work - snags), snags, holds))
    return rows


def _where_plot(where: Sequence[WhereRow]) -> str:
    parts = [
        ("work", [row.work for row in where]),
        ("snags", [row.snags for row in where]),
        ("holds", [row.holds for row in where]),
    ]
    words = "Mean minutes a job of each phase, split into work, snags and holds; see the table."
    return shares_plot([row.name for row in where], parts, "mean minutes a job", words)


def _drawn(svg: str) -> Markup:
    """A plot, which `labour_plots` drew with every name escaped."""
    return Markup(svg)  # noqa: S704 - drawn here, every name in it escaped
