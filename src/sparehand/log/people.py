"""Names of technicians: in one table, and nowhere else in the database."""

from __future__ import annotations

import hashlib

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

    def all_ids(self) -> dict[str, str]:
        """The id of every name, also of those that stand for a name that was blanked."""
        return {self.name_of(id): id for id in self._connection.scalars(select(PEOPLE.c.id)).all()}

    def ids_of(self, name: str) -> tuple[str, ...]:
        """The ids of a name: first those that bear it, then those of people of that name who were forgotten since."""
        bearing = self._connection.scalars(select(PEOPLE.c.id).where(PEOPLE.c.name == name).order_by(PEOPLE.c.id))
        blank = self._connection.execute(select(PEOPLE).where(PEOPLE.c.forgotten.is_not(None)).order_by(PEOPLE.c.id))
        return (*bearing, *(str(row.id) for row in blank if row.forgotten == _hash_of(row.id, name)))

    def is_forgotten(self, name: str) -> bool:
        """Whether a name was blanked here, and nobody has been recorded under it since."""
        ids = self.ids_of(name)
        return bool(ids) and self.name_of(ids[0]) != name

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
            blank = {"name": None, "seal": seal_of_person(id, None), "forgotten": _hash_of(id, name)}
            self._connection.execute(update(PEOPLE).where(PEOPLE.c.id == id).values(blank))
        return len(ids)


def _hash_of(id: str, name: str) -> str:
    """What tells a blanked name again where it comes back, by scrypt (RFC 7914), which makes it slow to try names out.

    Whoever has the folder and a list of names can still try them.
    """
    return hashlib.scrypt(name.encode(), salt=id.encode(), n=1 << 12, r=8, p=1, dklen=16).hex()
