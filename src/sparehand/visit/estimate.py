"""The estimate sheet: hours in tenths and prices to the smallest coin, operation by operation. Pure."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import datetime
from decimal import Decimal

from pydantic import AwareDatetime, BaseModel, ConfigDict

from sparehand.ground.errors import InputError
from sparehand.job.events import LineWork, Payer
from sparehand.visit.rates import Rates


class SheetRecord(BaseModel):
    """Base: immutable, no unknown field."""

    model_config = ConfigDict(frozen=True, extra="forbid")


class LabourRow(SheetRecord):
    """One operation, or one line of work beside it: hours in tenths, who pays, and what it costs."""

    procedure: str = ""
    operation: str
    title: str
    payer: Payer
    hours: Decimal
    price: Decimal
    book_hours: Decimal | None = None


class PartRow(SheetRecord):
    """Parts of one kind."""

    procedure: str
    part: str
    name: str
    quantity: int
    each: Decimal
    price: Decimal
    payer: Payer = "customer"


class Share(SheetRecord):
    """What one payer pays: labour, parts, their tax, and all of it."""

    payer: Payer
    labour: Decimal
    parts: Decimal
    tax: Decimal
    total: Decimal


class MayChange(SheetRecord):
    """What may change the price: by how many hours, up to which price."""

    what: str
    hours: Decimal
    price: Decimal


class EstimateSheet(SheetRecord):
    """A page for the customer. `chance_over` is the chance that the labour takes longer than its hours."""

    id: str
    given_at: AwareDatetime
    shop: str
    vehicle: str
    plate: str
    complaint: str
    currency: str
    labour: tuple[LabourRow, ...]
    parts: tuple[PartRow, ...]
    labour_hours: Decimal
    labour_price: Decimal
    parts_price: Decimal
    tax_name: str
    tax_percent: Decimal | None
    tax: Decimal
    total: Decimal
    chance_over: float
    jobs_used: int
    shared_minutes: int
    may_change: tuple[MayChange, ...]
    follow_ups: tuple[str, ...] = ()
    demo: bool = False
    shares: tuple[Share, ...] = ()


@dataclass(frozen=True)
class Work:
    """An operation with the hours that it adds to those before it, in tenths."""

    procedure: str
    operation: str
    title: str
    hours: Decimal
    payer: Payer = "customer"
    book_hours: Decimal | None = None


@dataclass(frozen=True)
class PartNeed:
    """Parts of one kind that the work needs."""

    procedure: str
    part: str
    name: str
    quantity: int
    number: str | None = None
    payer: Payer = "customer"


@dataclass(frozen=True)
class Customer:
    """Whose vehicle it is about, as far as anybody said."""

    vehicle: str = ""
    plate: str = ""
    complaint: str = ""


@dataclass(frozen=True)
class Outlook:
    """How sure the hours are, and what would add to them: pairs of words and hours."""

    chance_over: float
    jobs_used: int
    shared_minutes: int = 0
    may_add: tuple[tuple[str, Decimal], ...] = ()
    follow_ups: tuple[str, ...] = ()
    demo: bool = False


@dataclass(frozen=True)
class Order:
    """All that a sheet is made of besides the rates."""

    work: Sequence[Work]
    parts: Sequence[PartNeed]
    outlook: Outlook
    customer: Customer = field(default_factory=Customer)
    lines: Sequence[tuple[LineWork, Decimal, Payer]] = ()


def estimate_sheet(id: str, given_at: datetime, order: Order, rates: Rates) -> EstimateSheet:
    """The sheet. Raises InputError for a payer without a rate and a part without a price."""
    labour = (*(_labour(work, rates) for work in order.work), *(_line(line, rates) for line in order.lines))
    parts = tuple(_part(need, rates) for need in order.parts)
    labour_price = sum((row.price for row in labour), Decimal(0))
    parts_price = sum((row.price for row in parts), Decimal(0))
    tax = rates.rounded((labour_price + parts_price) * (rates.tax_percent or Decimal(0)) / 100)
    return EstimateSheet(
        id=id,
        given_at=given_at,
        shop=rates.shop,
        vehicle=order.customer.vehicle,
        plate=order.customer.plate,
        complaint=order.customer.complaint,
        currency=rates.currency,
        labour=labour,
        parts=parts,
        labour_hours=sum((row.hours for row in labour), Decimal(0)),
        labour_price=labour_price,
        parts_price=parts_price,
        tax_name=rates.tax_name,
        tax_percent=rates.tax_percent,
        tax=tax,
        total=labour_price + parts_price + tax,
        chance_over=order.outlook.chance_over,
        jobs_used=order.outlook.jobs_used,
        shared_minutes=order.outlook.shared_minutes,
        may_change=tuple(_may_change(what, hours, rates) for what, hours in order.outlook.may_add),
        follow_ups=order.outlook.follow_ups,
        demo=order.outlook.demo,
        shares=_shares(labour, parts, tax, rates),
    )


def _shares(labour: Sequence[LabourRow], parts: Sequence[PartRow], tax: Decimal, rates: Rates) -> tuple[Share, ...]:
    """What each payer pays; the coin that rounding leaves over is the first one's, so that the shares add up."""
    shares = []
    for payer in dict.fromkeys([*(row.payer for row in labour), *(row.payer for row in parts)]):
        work = sum((row.price for row in labour if row.payer == payer), Decimal(0))
        goods = sum((row.price for row in parts if row.payer == payer), Decimal(0))
        taxed = rates.rounded((work + goods) * (rates.tax_percent or Decimal(0)) / 100)
        shares.append(Share(payer=payer, labour=work, parts=goods, tax=taxed, total=work + goods + taxed))
    if not shares:
        return ()
    left, first = tax - sum((share.tax for share in shares), Decimal(0)), shares[0]
    return (first.model_copy(update={"tax": first.tax + left, "total": first.total + left}), *shares[1:])


def _labour(work: Work, rates: Rates) -> LabourRow:
    return LabourRow(
        procedure=work.procedure,
        operation=work.operation,
        title=work.title,
        payer=work.payer,
        hours=work.hours,
        price=rates.rounded(work.hours * rates.hour(work.payer)),
        book_hours=work.book_hours,
    )


def _line(line: tuple[LineWork, Decimal, Payer], rates: Rates) -> LabourRow:
    work, hours, payer = line
    return LabourRow(
        operation=work,
        title=work.capitalize(),
        payer=payer,
        hours=hours,
        price=rates.rounded(hours * rates.hour(payer)),
    )


def _part(need: PartNeed, rates: Rates) -> PartRow:
    each = rates.part(need.procedure, need.part, need.number)
    if each is None:
        raise InputError(
            f"the rates file has no price for {need.name} of {need.procedure}; "
            f'add `"{need.procedure}.{need.part}" = PRICE` under [parts]'
        )
    return PartRow(
        procedure=need.procedure,
        part=need.part,
        name=need.name,
        quantity=need.quantity,
        each=each,
        price=rates.rounded(each * need.quantity),
        payer=need.payer,
    )


def _may_change(what: str, hours: Decimal, rates: Rates) -> MayChange:
    return MayChange(what=what, hours=hours, price=rates.rounded(hours * rates.hour("customer")))
