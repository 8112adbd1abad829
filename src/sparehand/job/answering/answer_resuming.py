"""Coming back to a job: what was done last, where it stands, and what the time away was."""

from __future__ import annotations

from sparehand.job import events as e
from sparehand.job.answer import Line, duration, hint, numbered, plain
from sparehand.job.open_items import on_side
from sparehand.job.state import JobState
from sparehand.procedures import wording
from sparehand.procedures.labels import in_words

_NO_DOING = (
    e.HoldStarted,
    e.HoldEnded,
    e.JobParked,
    e.GapExplained,
    e.TimeCorrected,
    e.TechnicianActs,
    e.TechnicianJoined,
    e.TechnicianLeft,
    e.UnitChosen,
)


def last_done(state: JobState) -> Line:
    """What was done on the vehicle last, as far as it was not taken back; who spoke and what was held is no doing."""
    done = (point.event for point in reversed(state.undo) if not isinstance(point.event, _NO_DOING))
    event = next(done, None)
    match event:
        case None:
            return plain("Nothing is done yet.")
        case e.StepReached(finished=key) if key is not None:
            return plain(f"Done last: {state.plan.step(key).say}")
        case e.StepDone(step=key):
            return plain(f"Done last: {state.plan.step(key).say}")
        case e.TighteningConfirmed(fastener=key, stage=stage):
            name = state.plan.procedure.fastener(key.fastener).name
            return numbered("{stage}.", stage=stage + 1).framed(f"Confirmed last: {name}, stage ")
        case _:
            return plain(f"Written down last: {event.kind}.")


def asks_gap(state: JobState) -> tuple[Line, ...]:
    """The question what the time was when the bench was off; nothing where it is answered."""
    if not state.gap_ms:
        return ()
    return (
        duration(state.gap_ms / 1000).framed("The bench was off for ", "."),
        hint("Say the gap was work, or the gap was a hold."),
    )


def check_by_hand(state: JobState) -> tuple[Line, ...]:
    """After a time away: what was only hand tight then may be looser now."""
    names = [
        on_side(in_words(entry.fastener, entry.fastener.quantity), entry.key.side).rstrip(",")
        for entry in state.loose
        if entry.fastening.fitted and entry.state == "hand tight"
    ]
    return (plain(f"Check by hand what was hand tight: {wording.listed(names)}."),) if names else ()
