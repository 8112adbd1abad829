"""Lines of work beside the procedure, put in at the desk: what nobody timed at the bench, and more about each."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal, InvalidOperation
from pathlib import Path

from sparehand.desk.job_desk import JobDesk, job_on_desk, unit_of
from sparehand.ground.choices import one_of
from sparehand.ground.errors import InputError
from sparehand.ground.places import LOG_FILE, data_folder
from sparehand.ground.terminal import new_console, printable
from sparehand.job.events import Event, LineAdded, LineNoted, LineWork, Payer, PayerChosen
from sparehand.job.state import fold
from sparehand.log.sqlite import SqliteEventStore


@dataclass(frozen=True)
class LineWords:
    """What the command line says about a line; None is not said."""

    result: str | None = None
    reference: str | None = None
    distance: float | None = None
    unit: str | None = None
    amount: str | None = None
    payer: str | None = None


def add_line(job: str, work: str, minutes: float, words: LineWords, by: str | None, data: Path | None) -> None:
    """A line of so many minutes. Raises InputError for work or a payer that is none."""
    kind: LineWork = one_of(work, LineWork, "the line")
    with job_on_desk(job, by, data) as desk:
        number = len(desk.state.progress.visit.lines) + 1
        desk.add(LineAdded(work=kind, minutes=minutes), *_noted(number, kind, words, desk))
    print(f"Job {desk.id}: line {number}, {kind}, is written down by {desk.who}. See: sparehand card {desk.id}")


def note_line(job: str, number: int, words: LineWords, by: str | None, data: Path | None) -> None:
    """More about a line. Raises InputError for a number that no line has, and where nothing is said."""
    with job_on_desk(job, by, data) as desk:
        lines = desk.state.progress.visit.lines
        if not 1 <= number <= len(lines):
            there = ", ".join(f"{line.number} {line.work}" for line in lines) or "none"
            raise InputError(f"job {desk.id} has no line {number}; it has: {there}")
        events = _noted(number, lines[number - 1].work, words, desk)
        if not events:
            raise InputError(f"nothing to add to line {number}; give --result, --reference, --payer or another option")
        desk.add(*events)
    print(f"Job {desk.id}: line {number} is written down by {desk.who}.")


def print_lines(job: str, data: Path | None) -> None:
    """The lines of a job with their numbers."""
    from sparehand.screens.card_visit import line_rows

    store = SqliteEventStore(data_folder(data) / LOG_FILE, read_only=True)
    state = fold(store.events(store.find_job(job)))
    console = new_console()
    for row in line_rows(state):
        words = ", ".join(filter(None, (row.work, row.time, row.said, row.payer)))
        console.print(printable(f"{row.number}  {words}"), markup=False)
    if not state.progress.visit.lines:
        console.print(f"Job {state.job} has no line. Add one: sparehand line add {state.job} diagnosis --minutes 20")


def _noted(number: int, work: LineWork, words: LineWords, desk: JobDesk) -> tuple[Event, ...]:
    unit = unit_of(words.unit, desk) if words.distance is not None else None
    if words.distance is not None and work != "road test":
        raise InputError(f"a distance belongs to a road test, not to a {work}; leave --distance away")
    noted = LineNoted(
        line=number,
        result=words.result,
        reference=words.reference,
        distance=words.distance,
        distance_unit=unit,
        amount=_amount(words.amount),
    )
    payer = [PayerChosen(payer=one_of(words.payer, Payer, "the payer"), line=number)] if words.payer else []
    said = noted.model_dump(exclude={"kind", "line"}, exclude_none=True)
    return (*([noted] if said else []), *payer)


def _amount(given: str | None) -> Decimal | None:
    if given is None:
        return None
    try:
        return Decimal(given)
    except InvalidOperation as error:
        raise InputError(f"'{given}' is no amount of money; write it with a point, such as 84.50") from error
