"""The technicians of a shop and how each is called aloud: "Ada Brook: ada, Ben Field: ben"."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from sparehand.ground.bounds import NAME_CHARACTERS, name_in_bounds
from sparehand.ground.choices import listed
from sparehand.ground.errors import InputError

_SPOKEN = re.compile(r"[a-z']+( [a-z']+)*")


@dataclass(frozen=True)
class Technician:
    """A name as it is written down, and as it is said: by its first word, unless told otherwise."""

    name: str
    spoken: str

    @classmethod
    def read(cls, text: str) -> Technician:
        """One from "name" or "name: spoken name". Raises InputError for a name, or a spoken one, that is none."""
        name, _, spoken = (part.strip() for part in text.partition(":"))
        if not name or name != name_in_bounds(name):
            raise InputError(
                f"'{name_in_bounds(name)}' is no technician's name: give 1 to {NAME_CHARACTERS} printable characters"
            )
        spoken = spoken.lower() or name.split()[0].lower()
        if not _SPOKEN.fullmatch(spoken):
            raise InputError(f"'{spoken}' cannot be said as it is written; say how, such as '{name}: bee'")
        return cls(name, spoken)


def read_technicians(text: str) -> tuple[Technician, ...]:
    """Those of a list with commas. Raises InputError for one that cannot be said."""
    return tuple(Technician.read(part) for part in listed(text))


def spoken_technicians(known: Iterable[Technician], on_the_job: Iterable[str] = ()) -> Mapping[str, str]:
    """What is said, and who is meant, of everybody known and of those on a job; nothing where it is one alone.

    Raises InputError for two who are called the same.
    """
    by_name = {person.name: person for person in known}
    people = {name: by_name.get(name) or Technician.read(name) for name in on_the_job if name} | by_name
    if len(people) < 2:
        return {}
    said: dict[str, str] = {}
    for person in people.values():
        if person.spoken in said:
            both = f"{said[person.spoken]} and {person.name}"
            raise InputError(
                f"{both} are both called '{person.spoken}'; give one another, such as '{person.name}: bee'"
            )
        said[person.spoken] = person.name
    return said
