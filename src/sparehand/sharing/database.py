"""A connection to the shared database: encrypted, patient only so long, and plain about what went wrong."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager

import psycopg
from psycopg import errors
from sqlalchemy import Connection, Engine, create_engine
from sqlalchemy.exc import DBAPIError
from sqlalchemy.pool import NullPool

from sparehand.ground.errors import FailureError, InputError, SparehandError
from sparehand.sharing.database_address import Address

AskPassword = Callable[[str], str]

_PATIENCE = {
    "connect_timeout": 10,
    "keepalives_idle": 20,
    "keepalives_interval": 5,
    "keepalives_count": 3,
    "tcp_user_timeout": 30_000,
}
"""A network that swallows everything is noticed within half a minute."""

_SESSION = """
SET idle_in_transaction_session_timeout = '60s'; SET lock_timeout = '20s'; SET tcp_keepalives_idle = 20;
SET tcp_keepalives_interval = 5; SET tcp_keepalives_count = 3; SET client_connection_check_interval = '10s';
"""
"""The server in its turn lets go of a bench that is gone, whose open transaction would hold up the next try."""


class SharedDatabase:
    """The shared database, and how it is reached. Nothing is connected until the first transaction.

    A password comes from libpq's own places (PGPASSWORD, ~/.pgpass, a service file) or, where the server wants one and
    none of those has it, from `ask_password`, which is told the place. It is kept in memory only.
    """

    def __init__(self, address: Address, ask_password: AskPassword | None = None) -> None:
        self.place = address.place
        self._address = address
        self._ask = ask_password
        self._password: str | None = None
        # One connection for long, so that nothing but `close` gives it up while it works.
        self._engine: Engine = create_engine("postgresql+psycopg://", creator=self._connect, poolclass=NullPool)
        self._connection: Connection | None = None

    @contextmanager
    def transaction(self) -> Iterator[Connection]:
        """One transaction: all of it is there afterwards, or nothing.

        Raises FailureError where the server cannot be reached, breaks off or refuses, InputError where the login or
        the database is not what it should be. After a break nobody knows whether a commit arrived; ask again.
        """
        try:
            if self._connection is None or self._connection.closed or self._connection.invalidated:
                self._connection = self._engine.connect()
            with self._connection.begin():
                yield self._connection
        except DBAPIError as error:
            self._let_go()
            raise self._said(error.orig) from None
        except psycopg.Error as error:
            self._let_go()
            raise self._said(error) from None

    def close(self) -> None:
        """Let go of the connection."""
        self._let_go()
        self._engine.dispose()

    def _let_go(self) -> None:
        connection, self._connection = self._connection, None
        if connection is not None:
            connection.invalidate()
            connection.close()

    def _connect(self) -> psycopg.Connection:
        try:
            return self._open(self._password)
        except psycopg.OperationalError as error:
            wants_one = error.pgconn is not None and error.pgconn.needs_password
            if not wants_one or self._ask is None:
                raise
        self._password = self._ask(self.place)
        return self._open(self._password)

    def _open(self, password: str | None) -> psycopg.Connection:
        given = _PATIENCE | ({"password": password} if password is not None else {})
        connection = psycopg.connect(self._address.url, application_name="sparehand", **given)  # type: ignore[arg-type]
        connection.execute(_SESSION)
        connection.commit()
        return connection

    def _said(self, cause: BaseException | None) -> SparehandError:
        """One line for what the driver raised. No message of the server or its driver holds a password."""
        told = _first_line(cause)
        if isinstance(cause, (errors.UndefinedTable, errors.InvalidSchemaName, errors.UndefinedFunction)):
            return InputError(
                f"the database {self.place} is not set up for sharing; its owner does it: sparehand share URL --set-up"
            )
        if isinstance(cause, errors.InsufficientPrivilege):
            return InputError(
                f"this login may not do that in the database {self.place} ({told}); its owner can admit it: "
                "sparehand share URL --admit LOGIN --shop NAME"
            )
        if isinstance(cause, psycopg.OperationalError):
            return FailureError(
                f"the shared database {self.place} cannot be reached ({told}); nothing is lost, try later"
            )
        return FailureError(f"the shared database {self.place} refused ({told}); nothing of this was taken there")


def has_table(connection: Connection, table: str) -> bool:
    """Whether the shared database has a table: what it lacks, the Sparehand that set it up did not know of."""
    found = connection.exec_driver_sql("SELECT to_regclass(%s)", (f"sparehand.{table}",))
    return found.scalar_one() is not None


def _first_line(cause: BaseException | None) -> str:
    lines = [line.strip() for line in str(cause).splitlines() if line.strip()]
    return lines[-1] if lines and lines[0].startswith("connection") else (lines[0] if lines else "no reason given")
