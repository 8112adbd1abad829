"""Tables for the terminal of how forecasts did, and of how many more jobs they need."""

from __future__ import annotations

from rich import box
from rich.console import Group, RenderableType
from rich.table import Table
from rich.text import Text

from sparehand.ground.plurals import how_many
from sparehand.labour.judging.backtest import Backtest
from sparehand.labour.judging.sample_size import NearlyAll, SampleSize

LOSSES = "CRPS: how far the whole forecast was from what happened; pinball loss: of its percentiles; lower is better"


def backtest_tables(tested: Backtest) -> RenderableType:
    """What to do first, then who forecast best, how often ranges held, the losses, and where outcomes fell."""
    about = tested.procedure or "every procedure"
    unfinished = f"; {tested.unfinished} unfinished left out" if tested.unfinished else ""
    return Group(
        Text(tested.advice, "bold"),
        Text(tested.verdict),
        Text(f"{about}: {how_many(tested.jobs, 'job')}, each forecast from those before it{unfinished}"),
        _coverage(tested),
        _scores(tested),
        Text(f"outcomes by tenth of their forecast, lowest first: {', '.join(str(count) for count in tested.pit)}"),
    )


def sample_size_table(answer: SampleSize) -> RenderableType:
    """How many jobs there are, how many more are needed by either convention, and what nearly all stay below."""
    table = _table(("the median known within",), ("jobs, textbook", "jobs, sampled", "more to time"))
    for row in answer.needed:
        table.add_row(f"{row.within:.0%}", str(row.textbook), str(row.sampled), str(row.more_jobs))
    return Group(
        Text(answer.advice, "bold"),
        Text(f"{', '.join(answer.operations)}: {answer.jobs} finished jobs"),
        Text(f"spread of the log times {answer.log_sd:.2f}, {answer.log_sd_is}"),
        table,
        Text("textbook: two standard deviations, divisor n; sampled: 1.96, divisor n - 1"),
        *_promises(answer.nearly_all),
    )


def _coverage(tested: Backtest) -> Table:
    table = _table(("range meant to hold",), ("held", "chance alone gives"))
    for row in tested.coverage:
        table.add_row(f"{row.nominal:.0%} of jobs", f"{row.held:.0%}", f"{row.low:.0%} to {row.high:.0%}")
    return table


def _scores(tested: Backtest) -> Table:
    table = _table(("forecast by",), ("CRPS, h", "pinball loss, h"))
    for row in tested.scores:
        table.add_row(row.forecast, f"{row.crps_hours:.3f}", f"{row.pinball_hours:.3f}")
    table.caption = LOSSES
    return table


def _promises(nearly: NearlyAll) -> list[Text]:
    what = f"{100 * nearly.share:.0f} of 100 jobs stay below"
    sure = f"with {nearly.confidence:.0%} confidence"
    free, curved = nearly.distribution_free_hours, nearly.lognormal_hours
    return [
        Text(
            f"{what} {free:.2f} h {sure}, whatever their distribution"
            if free is not None
            else f"{what}: not to be said {sure} of any distribution before "
            f"{how_many(nearly.distribution_free_needs_jobs, 'job')}"
        ),
        Text(
            f"{what} {curved:.2f} h {sure}, if log times are normal" if curved is not None else f"{what}: too few jobs"
        ),
    ]


def _table(words: tuple[str, ...], numbers: tuple[str, ...]) -> Table:
    table = Table(box=box.SIMPLE_HEAD)
    for column in words:
        table.add_column(column)
    for column in numbers:
        table.add_column(column, justify="right")
    return table
