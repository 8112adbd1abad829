"""Estimates for customers: made from the rates file and the shop's times, kept, decided, and compared afterwards."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime
from decimal import Decimal, InvalidOperation
from pathlib import Path

from sparehand.desk.estimate_hours import Circumstances, ShopHours
from sparehand.desk.estimate_work import Piece, each_operation, pieces_of
from sparehand.desk.page_file import write_page
from sparehand.ground.bounds import NAME_CHARACTERS, WORDS_CHARACTERS
from sparehand.ground.choices import one_of
from sparehand.ground.clock import LiveClock
from sparehand.ground.errors import InputError
from sparehand.ground.ids import new_job_id, new_run_id
from sparehand.ground.near_names import said_to_be_new
from sparehand.ground.places import LOG_FILE, data_folder
from sparehand.ground.terminal import new_console
from sparehand.job.events import Corrosion, LineWork, Payer, Support
from sparehand.log.sqlite import SqliteEventStore
from sparehand.log.visit_records import VisitRecords
from sparehand.settings import load_settings
from sparehand.visit.estimate import (
    Customer,
    EstimateSheet,
    Order,
    Work,
    estimate_sheet,
)
from sparehand.visit.rates import Rates, load_rates
from sparehand.visit.records import given_record

RATES_FILE = "rates.toml"
DRAWS, SEED = 16_384, 20_261_103
NAMED_SNAGS, WORTH_A_LINE = 2, 0.05


@dataclass(frozen=True)
class EstimateOptions:
    """An estimate as it was asked for on the command line; `payers`, `book` and `lines` are written NAME=VALUE."""

    work: str
    sides: str = ""
    technician: str | None = None
    corrosion: str = "unknown"
    support: str = "unknown"
    risk: float = 0.3
    payers: tuple[str, ...] = ()
    book: tuple[str, ...] = ()
    lines: tuple[str, ...] = ()
    customer: Customer = field(default_factory=Customer)
    rates: Path | None = None


def print_estimate(asked: EstimateOptions, *, as_json: bool, to: Path | None, data: Path | None) -> None:
    """Make, keep and show an estimate, and write its page."""
    from sparehand.screens.estimate_page import estimate_page
    from sparehand.screens.estimate_tables import estimate_table

    folder = data_folder(data)
    sheet = keep_estimate(asked, folder)
    target = to or Path(f"estimate-{sheet.id}.html")
    write_page(target, estimate_page(sheet))
    if as_json:
        print(sheet.model_dump_json())
    else:
        new_console().print(estimate_table(sheet))
    console = new_console(stderr=as_json)
    console.print(f"Estimate {sheet.id}: {target}")
    names = SqliteEventStore(folder / LOG_FILE, read_only=True).times.status().names.values()
    if asked.technician and (new := said_to_be_new(asked.technician, names)):
        console.print(new)


def keep_estimate(asked: EstimateOptions, folder: Path) -> EstimateSheet:
    """An estimate, recorded in the log of `folder`. Raises InputError for what cannot be estimated or priced."""
    rates = load_rates(asked.rates or folder / RATES_FILE)
    store = SqliteEventStore(folder / LOG_FILE)
    now = LiveClock(new_run_id()).now()
    sheet = make_sheet(asked, rates, store, folder, new_job_id(now), now.wall)
    VisitRecords(store.engine, store.path).add([given_record(sheet, load_settings(folder).technician or "the desk")])
    return sheet


def make_sheet(
    asked: EstimateOptions, rates: Rates, store: SqliteEventStore, folder: Path, id: str, at: datetime
) -> EstimateSheet:
    """The sheet itself; nothing is recorded."""
    _refuse_long(asked.customer)
    pieces = pieces_of(asked.work, store, folder)
    book = {name: _hours(hours, f"--book {name}") for name, hours in _pairs(asked.book, "--book OPERATION=HOURS")}
    payers = {name: one_of(who, Payer, "the payer") for name, who in _pairs(asked.payers, "--payer OPERATION=WHO")}
    lines = _lines(asked.lines, payers)
    parts = [need for piece in pieces for need in piece.parts(asked.sides)]
    parts = [replace(need, payer=payers.get(need.part, need.payer)) for need in parts]
    _refuse_unknown([*book, *payers], pieces, [*(work for work, _, _ in lines), *(need.part for need in parts)])
    shop = ShopHours(_circumstances(asked, rates), store, folder)
    hours = shop.added(pieces)
    work = [
        Work(
            piece.name,
            operation,
            piece.title(operation),
            added,
            payers.get(operation, "customer"),
            book.get(operation),
        )
        for (piece, operation), added in zip(each_operation(pieces), hours, strict=True)
    ]
    order = Order(work, parts, shop.outlook(pieces, sum(hours, Decimal(0))), asked.customer, lines)
    return estimate_sheet(id, at, order, rates)


def _circumstances(asked: EstimateOptions, rates: Rates) -> Circumstances:
    if not 0 < asked.risk < 1:
        raise InputError(f"the risk {asked.risk} is no share; give one between 0 and 1, such as 0.3")
    return Circumstances(
        sides=asked.sides,
        technician=asked.technician,
        corrosion=one_of(asked.corrosion, Corrosion, "the corrosion"),
        support=one_of(asked.support, Support, "the support"),
        risk=asked.risk,
        allowance_percent=float(rates.allowance_percent) or None,
    )


def _refuse_long(customer: Customer) -> None:
    said = (("vehicle", NAME_CHARACTERS), ("plate", NAME_CHARACTERS), ("complaint", WORDS_CHARACTERS))
    for name, most in said:
        if len(getattr(customer, name)) > most:
            raise InputError(f"the {name} has more than {most} characters; write it shorter")


def _refuse_unknown(names: Sequence[str], pieces: Sequence[Piece], besides: Sequence[str]) -> None:
    known = {*(operation for piece in pieces for operation in piece.operations), *besides}
    for name in names:
        if name not in known:
            raise InputError(f"the estimate has no operation or part '{name}'; it has: {', '.join(sorted(known))}")


def _lines(written: Sequence[str], payers: dict[str, Payer]) -> tuple[tuple[LineWork, Decimal, Payer], ...]:
    return tuple(
        (one_of(work, LineWork, "the line"), _hours(hours, f"--line {work}"), payers.get(work, "customer"))
        for work, hours in _pairs(written, "--line WORK=HOURS")
    )


def _pairs(written: Sequence[str], form: str) -> list[tuple[str, str]]:
    pairs = []
    for one in written:
        name, equals, value = one.partition("=")
        if not equals or not name.strip() or not value.strip():
            raise InputError(f"'{one}' is not {form.partition(' ')[2]}; write {form}")
        pairs.append((name.strip(), value.strip()))
    return pairs


def _hours(written: str, where: str) -> Decimal:
    try:
        hours = Decimal(written)
    except InvalidOperation as error:
        raise InputError(f"{where}: '{written}' are no hours; write tenths such as 1.4") from error
    if not hours.is_finite() or not 0 <= hours <= 1000 or hours != hours.quantize(Decimal("0.1")):
        raise InputError(f"{where}: '{written}' are no hours in tenths from 0 to 1000; write such as 1.4")
    return hours
