"""The tag for a vehicle that is moved or left half dismantled: one A5 page to hang where the key is."""

from __future__ import annotations

from sparehand.job.answering.answer_overview import open_on_vehicle
from sparehand.job.open_items import safe_to_drive
from sparehand.job.state import JobState
from sparehand.screens.pages import page_template


def vehicle_tag(state: JobState) -> str:
    """The tag of a job as HTML: whether it may be driven, then everything that stands open on the vehicle."""
    lines = [line.shown for line in open_on_vehicle(state)]
    return page_template("tag.html.j2").render(
        safe=safe_to_drive(state),
        job=state.job,
        vehicle=state.opened.vehicle,
        procedure=state.plan.procedure,
        sides=state.plan.sides,
        technicians=state.progress.crew.names or (state.opened.technician,),
        as_of=f"{state.ledger.latest.wall:%Y-%m-%d %H:%M}",
        held_for=state.progress.crew.hold or "",
        open=[line[:1].upper() + line[1:] for line in lines if line != "Not safe to drive."],
    )
