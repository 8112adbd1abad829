"""Names of technicians: in one table, and nowhere else in the database."""

from __future__ import annotations

from sqlalchemy import Connection, insert, select, update

from sparehand.ground.ids import new_person_id
from sparehand.log.shown_names import seal_of_person, shown_name
from sparehand.log.store import DamagedLogError
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
                self._connection.execute(insert(PEOPLE).values(id=known, name=name, seal=seal_of_person(known, name)))
            self._ids[name] = known
        return self._ids[name]

    def name_of(self, id: str) -> str:
        """The name of an id; for one that was blanked, what keeps that person apart from others."""
        if not id:
            return ""
        if id not in self._names:
            row = self._connection.execute(select(PEOPLE).where(PEOPLE.c.id == id)).first()
            if row and row.seal != seal_of_person(id, row.name):
                raise DamagedLogError(f"the name of {id} is not what was written; see `sparehand log verify`")
            self._names[id] = shown_name(id, row.name if row else None)
        return self._names[id]

    def forget(self, name: str) -> int:
        """Blank a name; gives how many people had it."""
        ids = self._connection.scalars(select(PEOPLE.c.id).where(PEOPLE.c.name == name)).all()
        for id in ids:
            blank = {"name": None, "seal": seal_of_person(id, None)}
            self._connection.execute(update(PEOPLE).where(PEOPLE.c.id == id).values(blank))
        return len(ids)
