"""A labour quote for the terminal: the figure, its risk, and where the hours go."""

from __future__ import annotations

from rich import box
from rich.console import Group, RenderableType
from rich.table import Table
from rich.text import Text

from sparehand.ground.plurals import how_many
from sparehand.labour.forecasting.quote_records import Quote


def quote_table(quote: Quote) -> RenderableType:
    """The figure first, then each phase, then snags and what else could be done at the same time."""
    return Group(*_head(quote), _phases(quote), *_tail(quote))


def delay_words(quote: Quote) -> str:
    """The wait besides the labour, for "ready when"; nothing where no job has been held."""
    if quote.delay is None or quote.delay.median_hours is None or quote.delay.p90_hours is None:
        return ""
    return (
        f"For when it is ready: {100 * quote.delay.chance:.0f} of 100 jobs are held; a held job waits"
        f" {quote.delay.median_hours:.1f} h (median), one in ten more than {quote.delay.p90_hours:.1f} h."
    )


def _head(quote: Quote) -> list[Text]:
    sides = f", {' and '.join(quote.sides)}" if quote.sides else ""
    leans = "no job yet: this repeats the plan" if quote.basis == "plan" else f"from {how_many(quote.jobs_used, 'job')}"
    low, high = quote.percentiles["10"], quote.percentiles["90"]
    past = [Text(quote.past_forecasts, "bold")] if quote.past_forecasts else []
    return [
        Text(f"{', '.join(quote.operations)}{sides}: {quote.flat_rate_hours:.1f} flat-rate hours", "bold"),
        Text(
            f"{leans}; median {quote.median_hours:.2f} h, four in five jobs between {low:.2f} and {high:.2f} h; "
            f"the chance of running over {quote.figure_hours:g} h is {quote.chance_over:.0%}"
        ),
        Text(
            f"mean {quote.mean_hours:.2f} h; at {quote.figure_hours:g} h a job runs over by"
            f" {quote.expected_loss_hours:.2f} h on average"
        ),
        *past,
    ]


def _phases(quote: Quote) -> Table:
    table = Table(box=box.SIMPLE_HEAD)
    for column in ("phase", "side"):
        table.add_column(column)
    for column in ("median min", "four in five, min", "jobs"):
        table.add_column(column, justify="right")
    for row in quote.phases:
        spread = f"{row.p10_minutes:.0f} to {row.p90_minutes:.0f}"
        table.add_row(row.phase, row.side or "", f"{row.median_minutes:.0f}", spread, str(row.jobs))
    return table


def _tail(quote: Quote) -> list[Text]:
    lines = [
        Text(f"chance of a snag, {snag.kind} in {snag.phase}: {snag.chance:.0%}, about {snag.minutes:.0f} min")
        for snag in quote.snags[:3]
    ]
    if quote.shared_minutes >= 1:
        lines.append(Text(f"shared access saves {quote.shared_minutes:.0f} min against doing the operations apart"))
    lines.extend(
        Text(
            f"{way.title}: {way.flat_rate_hours:.1f} flat-rate hours, median {way.median_hours:.2f} h; "
            f"chosen in {way.chance:.0%} of jobs"
        )
        for way in quote.ways
    )
    lines.extend(
        Text(f"at the same time, {other.operation} would add {other.marginal_hours:.2f} h") for other in quote.also
    )
    lines.extend(Text(words) for words in (delay_words(quote), *quote.notes[1:]) if words)
    return [*lines, Text("Labour only, holds apart. The maker's data and licensed practice prevail.", "italic")]
