"""A month of estimates: what became of each, with approved, sold and worked hours of its closed jobs. Pure."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from decimal import Decimal

from sparehand.visit.estimate import SheetRecord
from sparehand.visit.records import StoredEstimate
from sparehand.visit.sold import PayerHours, added_up


class MonthRow(SheetRecord):
    """One estimate; `by_payer` is empty while no job of it is closed, `total` None once prices were blanked."""

    id: str
    given: str
    vehicle: str
    hours: Decimal
    currency: str
    total: Decimal | None
    outcome: str
    jobs: tuple[str, ...]
    by_payer: tuple[PayerHours, ...]


def month_rows(
    month: str, estimates: Sequence[StoredEstimate], closed: Mapping[str, tuple[PayerHours, ...]]
) -> tuple[MonthRow, ...]:
    """The estimates given in `month` (YYYY-MM), the oldest first; `closed` are the hours of closed jobs by job."""
    return tuple(_row(one, closed) for one in estimates if f"{one.given_at:%Y-%m}" == month)


def _row(one: StoredEstimate, closed: Mapping[str, tuple[PayerHours, ...]]) -> MonthRow:
    sheet = one.sheet
    return MonthRow(
        id=one.id,
        given=f"{one.given_at:%Y-%m-%d}",
        vehicle=", ".join(filter(None, (sheet.vehicle, sheet.plate))) if sheet else "",
        hours=sum((row.hours for row in one.labour), Decimal(0)),
        currency=sheet.currency if sheet else "",
        total=sheet.total if sheet else None,
        outcome=one.outcome or "open",
        jobs=one.jobs,
        by_payer=added_up(each for job in one.jobs for each in closed.get(job, ())),
    )
