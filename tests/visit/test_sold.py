"""Approved, sold and worked hours by payer, from a job played at the table and counted by hand."""

from __future__ import annotations

from decimal import Decimal

from job.table import demo_procedure, open_job
from sparehand.job import commands as c
from sparehand.job.events import ApprovedHours, EstimateApproved, OperationDropped, PayerChosen
from sparehand.log.timesheet import timesheet
from sparehand.visit.sold import added_up, payer_hours

HOUR = 3_600_000
DISCS = demo_procedure("brake-discs-epb")


def approved(operation: str, payer: str, hours: str) -> ApprovedHours:
    return ApprovedHours.model_validate(
        {"procedure": DISCS.id, "operation": operation, "payer": payer, "hours": hours, "price": "0"}
    )


def test_hours_by_payer_are_those_counted_by_hand() -> None:
    table = open_job(DISCS, ("brake-discs", "brake-pads"))
    rows = (approved("brake-discs", "customer", "1.8"), approved("brake-pads", "warranty", "0.3"))
    table.record(EstimateApproved(estimate="e-1", approved=rows), PayerChosen(payer="warranty", operation="brake-pads"))
    table.do(c.StartLine("diagnosis"), after_ms=HOUR // 2)
    table.do(c.ChoosePayer("goodwill"), c.EndLine("diagnosis"), after_ms=HOUR // 8)
    table.do(c.Hold("phone"), after_ms=HOUR // 4)
    # Half an hour and a quarter in a phase that both need, so by the first; twice an eighth of diagnosis.
    worked = {
        row.payer: (row.approved, row.sold, row.worked) for row in payer_hours(table.state, timesheet(table.state))
    }
    assert worked == {
        "customer": (Decimal("1.8"), Decimal("1.8"), Decimal("0.75")),
        "warranty": (Decimal("0.3"), Decimal("0.3"), 0),
        "goodwill": (0, Decimal("0.3"), Decimal("0.25")),
    }


def test_what_was_dropped_is_approved_but_not_sold() -> None:
    table = open_job(DISCS, ("brake-discs", "brake-pads"))
    rows = (approved("brake-discs", "customer", "1.8"), approved("brake-pads", "customer", "0.3"))
    table.record(EstimateApproved(estimate="e-1", approved=rows))
    table.record(OperationDropped(operation="brake-pads"))
    (row,) = payer_hours(table.state, timesheet(table.state))
    assert (row.approved, row.sold) == (Decimal("2.1"), Decimal("1.8"))
    (both,) = added_up([row, row])
    assert both.approved == Decimal("4.2")
