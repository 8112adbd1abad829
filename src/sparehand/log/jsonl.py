"""The log as lines of JSON: written out, and read into another log, byte for byte the same."""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from itertools import groupby
from pathlib import Path
from typing import TextIO

from sqlalchemy import Connection, insert, select

from sparehand.ground.errors import FailureError, InputError
from sparehand.log.connection import plain_errors, reading, writing
from sparehand.log.event_rows import (
    StoredEvent,
    check_stored,
    insert_stored,
    problems,
    stored_events,
    stored_headers,
    update_header,
)
from sparehand.log.marks import Mark, Marks
from sparehand.log.people import seal_of_person
from sparehand.log.sqlite import SqliteEventStore
from sparehand.log.tables import PEOPLE
from sparehand.log.wire import canonical, from_wire, people_in

_HEADER = canonical({"format": "sparehand log", "version": 1})


@dataclass(frozen=True)
class LogImport:
    """What became of a file: jobs and events read, and the events that are new here."""

    jobs: int
    events: int
    taken: int


@dataclass(frozen=True)
class _Line:
    number: int
    job: str
    kept: StoredEvent


def export_log(store: SqliteEventStore, path: Path, job: str | None = None) -> int:
    """Write all jobs, or one, as lines of JSON; gives the number of events. Damage is refused with DamagedLogError.

    After a first line that names the format come the events of each job with their chain hashes, then the people.
    """
    try:
        with (
            path.open("w", encoding="utf-8", newline="\n") as file,
            plain_errors(store.path),
            reading(store.engine) as connection,
        ):
            return _write(connection, store.marks, file, job)
    except OSError as error:
        raise FailureError(f"{path} cannot be written ({error.strerror}); choose another place") from error


def import_log(path: Path, store: SqliteEventStore) -> LogImport:
    """Take jobs from a file that `export_log` wrote: all of it or nothing. What is here already is not taken again.

    Raises InputError, naming the line, for a file that is no such export, was changed, or tells a job otherwise.
    """
    marks: list[tuple[str, Mark]] = []
    jobs = events = taken = 0
    with plain_errors(store.path), _opened(path) as file:
        with writing(store.engine) as connection:
            lines = _lines(path, file, connection)
            for job, of_job in groupby(lines, key=lambda line: line.job):
                told = list(of_job)
                new = _new_here(path, connection, job, told)
                if new:
                    insert_stored(connection, job, new)
                    update_header(connection, job, [from_wire(one.body, str) for one in new], str)
                    marks.append((job, Mark(new[-1].sequence, new[-1].chain)))
                jobs, events, taken = jobs + 1, events + len(told), taken + len(new)
        for job, mark in marks:
            store.marks.write(job, mark)
    return LogImport(jobs, events, taken)


def _write(connection: Connection, marks: Marks, file: TextIO, job: str | None) -> int:
    file.write(_HEADER + "\n")
    people: set[str] = set()
    count = 0
    for header in stored_headers(connection):
        if job not in (None, header.id):
            continue
        kept = stored_events(connection, header.id)
        check_stored(header.id, kept, marks.read(header.id))
        for one in kept:
            file.write(f'{{"chain":"{one.chain.hex()}","recorded":{one.body}}}\n')
            people |= people_in(one.body)
        count += len(kept)
    for id in sorted(people):
        name = connection.scalar(select(PEOPLE.c.name).where(PEOPLE.c.id == id))
        file.write(canonical({"name": name, "person": id}) + "\n")
    return count


@contextmanager
def _opened(path: Path) -> Iterator[TextIO]:
    try:
        with path.open(encoding="utf-8", newline="\n") as file:
            if file.readline().rstrip("\n") != _HEADER:
                raise InputError(f"{path}, line 1: this is no exported log, or one of another version")
            yield file
    except OSError as error:
        raise InputError(
            f"{path} cannot be read ({error.strerror}); give a file from `sparehand log export`"
        ) from error
    except UnicodeDecodeError as error:
        raise InputError(f"{path} is no UTF-8 text; give a file from `sparehand log export`") from error


def _lines(path: Path, file: TextIO, connection: Connection) -> Iterator[_Line]:
    """The events, line by line; people are put into the database on the way."""
    for number, text in enumerate(file, start=2):
        try:
            told = json.loads(text)
            if "person" in told:
                id, name = str(told["person"]), told["name"]
                person = {"id": id, "name": name, "seal": seal_of_person(id, name)}
                connection.execute(insert(PEOPLE).prefix_with("OR IGNORE").values(person))
                continue
            body = canonical(told["recorded"])
            chain = bytes.fromhex(told["chain"])
            yield _Line(number, told["recorded"]["job"], StoredEvent(told["recorded"]["sequence"], body, chain))
        except (ValueError, KeyError, TypeError) as error:
            raise InputError(f"{path}, line {number}: this is no line of an exported log; nothing was taken") from error


def _new_here(path: Path, connection: Connection, job: str, lines: Sequence[_Line]) -> list[StoredEvent]:
    """The events that are not here yet. Raises InputError for a broken chain and for one that went another way."""
    wrong = next(problems([line.kept for line in lines], job, None), None)
    if wrong:
        raise InputError(f"{path}, lines {lines[0].number} to {lines[-1].number}: job {job} {wrong}; nothing was taken")
    here = {one.sequence: one for one in stored_events(connection, job)}
    for line in lines:
        if here.get(line.kept.sequence, line.kept) != line.kept:
            raise InputError(f"{path}, line {line.number}: job {job} went another way here; nothing was taken")
    return [line.kept for line in lines if line.kept.sequence not in here]
