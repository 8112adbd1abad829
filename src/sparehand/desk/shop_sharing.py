"""Sharing with the other benches of a shop: sending, fetching, setting up, and telling what became of it."""

from __future__ import annotations

import sys
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, replace
from getpass import getpass
from pathlib import Path
from typing import TYPE_CHECKING

from sparehand.desk.today_board import jobs_for_shop
from sparehand.ground.choices import one_of
from sparehand.ground.clock import LiveClock
from sparehand.ground.errors import FailureError, InputError
from sparehand.ground.ids import new_run_id
from sparehand.ground.places import LOG_FILE, data_folder
from sparehand.ground.plurals import how_many
from sparehand.log.claim import claim
from sparehand.log.sqlite import SqliteEventStore
from sparehand.settings import load_settings
from sparehand.sharing.database_address import read_address
from sparehand.sharing.redaction import KEY_FILE, Redaction, Withheld, pseudonym, pseudonym_key
from sparehand.sharing.sync_state import FOLDER, SyncStates

if TYPE_CHECKING:
    from sparehand.sharing.database import SharedDatabase

POLL_SECONDS = 30.0
LONGEST_POLL_SECONDS = 600.0
"""How long `--watch` waits between rounds, and at most where the database cannot be reached."""
CLOCK_TOLERANCE_SECONDS = 120.0


@dataclass(frozen=True)
class Wish:
    """What was said on the command line about a round of sharing."""

    url: str
    without: Sequence[str] = ()
    take_over: bool = False


def share(wish: Wish, data: Path | None) -> None:
    """One round: send what is new here, fetch what is new there."""
    with _database(wish.url) as database, _alone(data_folder(data)):
        _round(database, wish, data_folder(data))


def keep_sharing(wish: Wish, data: Path | None, wait: Callable[[float], None] = time.sleep) -> None:
    """Round after round until somebody stops it; a round that fails is told and made up for later."""
    seconds = POLL_SECONDS
    with _database(wish.url) as database, _alone(data_folder(data)):
        try:
            while True:
                try:
                    _round(database, wish, data_folder(data), quiet=True)
                    wish, seconds = replace(wish, take_over=False), POLL_SECONDS
                except FailureError as error:
                    print(error, file=sys.stderr)
                    seconds = min(2 * seconds, LONGEST_POLL_SECONDS)
                wait(seconds)
        except KeyboardInterrupt:
            print("Stopped.")


def set_up_database(url: str) -> None:
    """Make tables, roles and rules in the database, or bring them up to date."""
    from sparehand.sharing.database_schema import set_up

    with _database(url) as database:
        set_up(database)
        print(f"{database.place}: ready. Next: sparehand share URL --admit LOGIN --shop NAME")


def admit_login(url: str, login: str, shop: str | None, *, forgets: bool) -> None:
    """Let a login of the server share as a bench of a shop, or forget people in it."""
    from sparehand.sharing.database_schema import admit

    if not shop:
        raise InputError("say which shop the login belongs to: --shop NAME")
    with _database(url) as database:
        admit(database, login, shop, forgets=forgets)
        print(f"{database.place}: {login} may {'forget people' if forgets else 'share'} in '{shop}'.")


def list_set_aside(data: Path | None) -> None:
    """Print what the other benches sent that is out of bounds: its name in the database, the sender, the reason."""
    from sparehand.sharing.shop_copy import ShopCopy

    copy = ShopCopy(data_folder(data))
    try:
        rows = copy.set_aside()
    finally:
        copy.close()
    for one in rows:
        print(f"{one.row}  {one.sender}: {one.reason}")
    print("To drop one, its database's owner says: sparehand share URL --drop ROW --shop NAME" if rows else "Nothing.")


def drop_shared(url: str, row: str, shop: str | None) -> None:
    """Delete a row that is set aside from the shared database; for its owner."""
    from sparehand.sharing.set_aside_rows import drop_row

    if not shop:
        raise InputError("say which shop the row belongs to: --shop NAME")
    with _database(url) as database:
        there = drop_row(database, shop, row)
        print(f"{database.place}: {row} {'was dropped' if there else 'is not there'}.")


def forget_shared(url: str, name: str, data: Path | None) -> None:
    """Blank a technician's name, and the pseudonym that goes with it, in the shared database."""
    from sparehand.sharing.forget_people import forget_in_shop

    folder = data_folder(data)
    names = [name]
    if (folder / KEY_FILE).exists():
        names.append(pseudonym(name, pseudonym_key(folder)))
    with _database(url) as database:
        print(f"{database.place}: {forget_in_shop(database, names)} forgotten.")


def _round(database: SharedDatabase, wish: Wish, folder: Path, *, quiet: bool = False) -> None:
    from sparehand.sharing.open_job_rows import hear_open_jobs, tell_open_jobs
    from sparehand.sharing.procedure_files import pull_procedures, push_procedures
    from sparehand.sharing.pull import pull
    from sparehand.sharing.push import Sender, push
    from sparehand.sharing.shop_copy import ShopCopy
    from sparehand.shop.shop_belief import believe_ahead

    settings = load_settings(folder)
    store, copy = SqliteEventStore(folder / LOG_FILE), ShopCopy(folder)
    try:
        states = SyncStates(folder)
        sender = Sender(settings.bench, states, _redaction(wish.without, states, folder))
        pushed = push(database, store, sender, take_over=wish.take_over)
        fetched = pull(database, store, copy, pushed.installation)
        now = LiveClock(new_run_id()).now()
        told = tell_open_jobs(database, pushed.installation, jobs_for_shop(store, now, settings.bench))
        copy.take_open_jobs(*hear_open_jobs(database, pushed.installation, now.wall))
        sent = push_procedures(database, folder, settings.bench, pushed.installation)
        files = sent, pull_procedures(database, folder, copy)
        aside = copy.set_aside()
        if fetched:
            believe_ahead(store, folder)
    finally:
        copy.close()
        store.close()
    for job in pushed.left_out:
        print(
            f"Job {job} was left out: it went on otherwise in another copy of this log, which was shared before, it "
            "came by another login, or it cannot be read; see `sparehand log verify`."
        )
    if abs(pushed.ahead_seconds) > CLOCK_TOLERANCE_SECONDS:
        way = "ahead of" if pushed.ahead_seconds > 0 else "behind"
        print(f"This machine's clock is {abs(pushed.ahead_seconds):.0f} s {way} the database's; see which is right.")
    if aside and not quiet:
        senders = ", ".join(sorted({one.sender for one in aside}))
        rows = how_many(len(aside), "row")
        print(f"Set aside: {rows} (from {senders}), the rest was taken: sparehand share URL --set-aside")
    if not told and not quiet:
        print("Open jobs are not shared: an earlier Sparehand set the database up; its owner says --set-up once more.")
    if any(files):
        print(f"{database.place}: {how_many(files[0], 'procedure')} sent, {files[1]} fetched.")
    if pushed.new or fetched or not quiet:
        print(f"{database.place}: {how_many(pushed.new, 'row')} sent, {fetched} phase times of other benches fetched.")


def _redaction(without: Sequence[str], states: SyncStates, folder: Path) -> Redaction:
    """What is withheld: what was said now, or else what was said last."""
    if without:
        said = {one_of(each, Withheld, "what is withheld") for each in without}
        if "nothing" in said and len(said) > 1:
            raise InputError("--without nothing cannot be said together with something")
        states.withhold(said - {"nothing"})
    withheld = states.withheld()
    names = "names" in withheld
    return Redaction(names, "vehicles" in withheld, pseudonym_key(folder) if names else b"")


@contextmanager
def _alone(folder: Path) -> Iterator[None]:
    """One window a data folder shares at a time."""
    with claim(folder / FOLDER, "sharing", "another window shares from this data folder already"):
        yield


@contextmanager
def _database(url: str) -> Iterator[SharedDatabase]:
    try:
        from sparehand.sharing.database import SharedDatabase
    except ImportError as error:
        raise InputError(
            "sharing needs the PostgreSQL driver; install it: pip install 'sparehand[postgres]'"
        ) from error
    database = SharedDatabase(read_address(url), _ask if sys.stdin.isatty() else None)
    try:
        yield database
    finally:
        database.close()


def _ask(place: str) -> str:
    try:
        given = getpass(f"Password for {place}: ")
    except EOFError:
        given = ""
    if not given:
        raise InputError(f"no password was given for {place}; type it, or put it into ~/.pgpass")
    return given
