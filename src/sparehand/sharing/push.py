"""A bench sends its log: parcel by parcel, each all or nothing, going on where the database says it ended."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import UTC, datetime

from sqlalchemy import Connection
from sqlalchemy.exc import IntegrityError

from sparehand.ground.errors import FailureError, InputError
from sparehand.log.fault_points import Watch
from sparehand.log.sqlite import SqliteEventStore
from sparehand.sharing.database import SharedDatabase
from sparehand.sharing.database_schema import require_version
from sparehand.sharing.outgoing import EVENTS_AT_ONCE, next_parcel
from sparehand.sharing.parcel import Offset, Parcel
from sparehand.sharing.redaction import Redaction
from sparehand.sharing.staging import drop_what_went_another_way, put, stage
from sparehand.sharing.sync_state import SyncState, SyncStates, new_sync_state

Now = Callable[[], datetime]

_RECORD_PUSH = """
INSERT INTO sparehand.pushes (shop, installation, number, bench, token, upto_event, upto_row, ahead_seconds)
VALUES (%(shop)s, %(installation)s, %(number)s, %(bench)s, %(token)s, %(event)s, %(row)s, %(ahead)s)
"""


@dataclass(frozen=True)
class Sender:
    """Who sends: the bench by its name, and the data folder's states."""

    bench: str
    states: SyncStates
    redaction: Redaction = field(default_factory=Redaction)
    watch: Watch = field(default_factory=Watch)
    events_at_once: int = EVENTS_AT_ONCE


@dataclass(frozen=True)
class Pushed:
    """What became of it.

    `left_out` are jobs that went another way in the database, are another login's there, or are out of bounds;
    `ahead_seconds` is this clock before the database's.
    """

    installation: str
    new: int
    left_out: tuple[str, ...]
    ahead_seconds: float


@dataclass(frozen=True)
class _Last:
    """The last push of an installation, as the database has it."""

    number: int = 0
    token: str = ""
    upto: Offset = field(default_factory=Offset)


def push(
    database: SharedDatabase,
    store: SqliteEventStore,
    sender: Sender,
    *,
    take_over: bool = False,
    now: Now = lambda: datetime.now(UTC),
) -> Pushed:
    """Send everything that the database does not have yet.

    Raises FailureError where the database cannot be reached or breaks off (what arrived whole stays, the next push goes
    on after it), and where another copy of this data folder, or another bench of this name, has shared meanwhile.
    `take_over` makes this folder an installation of its own, which has the bench's name from now on.
    """
    shop, name, ahead = _greeting(database, now)
    state = sender.states.of(name)
    if take_over or state is None:
        if not take_over:
            _require_free(database, shop, sender.bench)
        state = new_sync_state()
        with database.transaction() as connection:
            _have_name(connection, sender.bench, state)
        sender.states.write(name, state)
    else:
        _require_own(database, state)
    new, left_out = 0, list[str]()
    while True:
        with database.transaction() as connection:
            _require_name(connection, shop, sender.bench, state)
            last = _last(connection, shop, state.installation)
        if last.token not in state.tokens:
            raise _two_places(sender.bench)
        parcel = next_parcel(store, last.upto, sender.redaction, sender.events_at_once)
        if parcel is None:
            return Pushed(state.installation, new, tuple(left_out), ahead)
        state = state.having(last.token).intending()
        sender.states.write(name, state)
        _open_months(database, parcel)
        added, dropped = _send(database, shop, sender, state, last.number + 1, parcel, ahead)
        new += added
        left_out += (*parcel.left_out, *dropped)


def _send(
    database: SharedDatabase,
    shop: str,
    sender: Sender,
    state: SyncState,
    number: int,
    parcel: Parcel,
    ahead_seconds: float,
) -> tuple[int, tuple[str, ...]]:
    values = {
        "shop": shop,
        "installation": state.installation,
        "number": number,
        "bench": sender.bench,
        "token": state.intended,
        "event": parcel.upto.event,
        "row": parcel.upto.row,
        "ahead": ahead_seconds,
    }
    with database.transaction() as connection:
        try:
            connection.exec_driver_sql(_RECORD_PUSH, values)
        except IntegrityError as error:
            raise _two_places(sender.bench) from error
        stage(connection, parcel)
        sender.watch.reached("after insert")
        dropped = drop_what_went_another_way(connection, shop)
        new = put(connection, values)
        sender.watch.reached("before commit")
    sender.watch.reached("after commit")
    return new, dropped


def _greeting(database: SharedDatabase, now: Now) -> tuple[str, str, float]:
    """The shop of this login, the database's name for itself, and how far this clock is ahead of its own."""
    with database.transaction() as connection:
        name = require_version(connection, database.place)
        shop = connection.exec_driver_sql("SELECT sparehand.my_shop()").scalar_one()
        theirs = connection.exec_driver_sql("SELECT clock_timestamp()").scalar_one()
        ahead = (now() - theirs).total_seconds()
    if shop is None:
        raise InputError(
            f"this login belongs to no shop in the database {database.place}; its owner admits it: "
            "sparehand share URL --admit LOGIN --shop NAME"
        )
    return str(shop), name, ahead


def _require_free(database: SharedDatabase, shop: str, bench: str) -> None:
    with database.transaction() as connection:
        if _holder(connection, shop, bench) is not None:
            raise FailureError(
                f"another bench of this shop shares as '{bench}' already: name this one otherwise with `sparehand "
                "settings set bench NAME`, or if it is that bench set up anew, share once with --take-over"
            )


def _require_name(connection: Connection, shop: str, bench: str, state: SyncState) -> None:
    holder = _holder(connection, shop, bench)
    if holder is None:
        # The bench was given another name since; one that nobody has can be had.
        _have_name(connection, bench, state)
    elif holder != state.installation:
        raise _two_places(bench)


def _have_name(connection: Connection, bench: str, state: SyncState) -> None:
    given = connection.exec_driver_sql("SELECT sparehand.register_bench(%s, %s)", (bench, state.installation))
    if not given.scalar_one():
        raise InputError(
            f"the bench name '{bench}' belongs to another login of this shop: share by that login, or name this bench "
            "otherwise with `sparehand settings set bench NAME`"
        )


def _require_own(database: SharedDatabase, state: SyncState) -> None:
    """Also makes an installation of a database's first version one of this login, if it is nobody's yet."""
    with database.transaction() as connection:
        given = connection.exec_driver_sql("SELECT sparehand.register_installation(%s)", (state.installation,))
        if not given.scalar_one():
            raise InputError(
                "this data folder has shared by another login: share by that one, or give the bench a new name with "
                "`sparehand settings set bench NAME` and share once with --take-over"
            )


def _holder(connection: Connection, shop: str, bench: str) -> str | None:
    holder = connection.exec_driver_sql(
        "SELECT installation FROM sparehand.benches WHERE shop = %s AND bench = %s ORDER BY place DESC LIMIT 1",
        (shop, bench),
    ).scalar()
    return None if holder is None else str(holder)


def _last(connection: Connection, shop: str, installation: str) -> _Last:
    row = connection.exec_driver_sql(
        "SELECT number, token, upto_event, upto_row FROM sparehand.pushes "
        "WHERE shop = %s AND installation = %s ORDER BY number DESC LIMIT 1",
        (shop, installation),
    ).first()
    return _Last(row.number, row.token, Offset(row.upto_event, row.upto_row)) if row else _Last()


def _open_months(database: SharedDatabase, parcel: Parcel) -> None:
    """Have the partitions there, before any row is held: making one waits for those that write."""
    for month in sorted({job.month for job in parcel.jobs} | {summary.month for summary in parcel.summaries}):
        with database.transaction() as connection:
            connection.exec_driver_sql("SELECT sparehand.open_month(%s)", (month,))


def _two_places(bench: str) -> FailureError:
    return FailureError(
        f"'{bench}' is shared from two places, or from an older copy put back; nothing was merged: in one of them say "
        "`sparehand settings set bench NAME`, then share there once with --take-over"
    )
