"""Names of technicians: in one table, and nowhere else in the database."""

from __future__ import annotations

from sqlalchemy import Connection, insert, select, update

from sparehand.ids import new_person_id
from sparehand.log.headers import FORGOTTEN
from sparehand.log.tables import PEOPLE


class People:
    """Turns names into the ids that are kept, and back, within one transaction."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection
        self._ids: dict[str, str] = {}
        self._names: dict[str, str] = {}

    def id_of(self, name: str) -> str:
        """The id of a name; a new one for a name not met before. No name has no id."""
        if not name:
            return ""
        if name not in self._ids:
            known = self._connection.scalar(select(PEOPLE.c.id).where(PEOPLE.c.name == name).limit(1))
            if known is None:
                known = new_person_id()
                self._connection.execute(insert(PEOPLE).values(id=known, name=name))
            self._ids[name] = known
        return self._ids[name]

    def name_of(self, id: str) -> str:
        """The name of an id; for one that was blanked, what keeps that person apart from others."""
        if not id:
            return ""
        if id not in self._names:
            name = self._connection.scalar(select(PEOPLE.c.name).where(PEOPLE.c.id == id))
            self._names[id] = name or f"{FORGOTTEN} {id.rpartition('-')[2][:4]}"
        return self._names[id]

    def forget(self, name: str) -> int:
        """Blank a name; gives how many people had it."""
        return self._connection.execute(update(PEOPLE).where(PEOPLE.c.name == name).values(name=None)).rowcount
