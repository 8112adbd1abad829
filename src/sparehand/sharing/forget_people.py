"""Forgetting a person in the shared database."""

from __future__ import annotations

from collections.abc import Sequence

from sparehand.sharing.database import SharedDatabase
from sparehand.sharing.text_encoding import written_name


def forget_in_shop(database: SharedDatabase, names: Sequence[str]) -> int:
    """Blank names in the shared database, in the shop of this login; gives how many people had them.

    Raises InputError where this login may not.
    """
    with database.transaction() as connection:
        return connection.exec_driver_sql(
            "UPDATE sparehand.people SET name = NULL WHERE name = ANY(%s)", ([written_name(name) for name in names],)
        ).rowcount
