"""How far the shop's forecasts can be trusted: tested on past jobs, and how many more jobs would settle them."""

from __future__ import annotations

from pathlib import Path

from sparehand.desk.run_options import asked_procedure, asked_sides
from sparehand.ground.choices import listed
from sparehand.ground.places import LOG_FILE, data_folder
from sparehand.ground.terminal import new_console
from sparehand.log.sqlite import SqliteEventStore
from sparehand.shop.earlier_jobs import other_procedures, shop_times


def print_backtest(procedure: str | None, *, as_json: bool, data: Path | None) -> None:
    """Forecasts of each past job from those before it, of one procedure or (None) of all.

    Raises InputError for an unknown procedure, and where no job was finished.
    """
    from sparehand.labour.judging.backtest import backtest
    from sparehand.screens.forecast_tables import backtest_tables

    folder = data_folder(data)
    store = SqliteEventStore(folder / LOG_FILE, read_only=True)
    chosen = asked_procedure(procedure, store, folder) if procedure else None
    name = chosen.id if chosen else procedure
    jobs = shop_times(store)
    files = other_procedures({job.procedure for job in jobs}, name or "", folder)
    tested = backtest(name, jobs, files if chosen is None else (chosen, *files))
    if as_json:
        print(tested.model_dump_json())
    else:
        new_console().print(backtest_tables(tested))


def print_sample_size(procedure: str, operations: str, sides: str, *, as_json: bool, data: Path | None) -> None:
    """Jobs still to be timed until the median is known, and the hours that nearly all jobs stay below.

    Raises InputError for an unknown procedure, operation or side.
    """
    from sparehand.labour.forecasting.quote_records import QuoteRequest
    from sparehand.labour.judging.sample_size import sample_size
    from sparehand.screens.forecast_tables import sample_size_table

    folder = data_folder(data)
    store = SqliteEventStore(folder / LOG_FILE, read_only=True)
    chosen = asked_procedure(procedure, store, folder)
    request = QuoteRequest(
        procedure=chosen.id if chosen else procedure, operations=listed(operations), sides=asked_sides(sides)
    )
    answer = sample_size(request, chosen, shop_times(store, request.procedure))
    if as_json:
        print(answer.model_dump_json())
    else:
        new_console().print(sample_size_table(answer))
