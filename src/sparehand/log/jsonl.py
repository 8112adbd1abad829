"""The log as lines of JSON: written out, and read into another log, byte for byte the same."""

from __future__ import annotations

import base64
import hashlib
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from io import BufferedReader
from itertools import groupby, islice
from pathlib import Path
from typing import Any, BinaryIO
from uuid import UUID

from sqlalchemy import Connection, insert, select

from sparehand.ground.bounds import EVENTS_OF_JOB, LINE_CHARACTERS, NAME_CHARACTERS, name_in_bounds, read_json
from sparehand.ground.errors import FailureError, InputError
from sparehand.ground.picture_cleaning import clean_picture
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
from sparehand.log.marks import Mark
from sparehand.log.memos import PICTURE, MemoFolder
from sparehand.log.people import People
from sparehand.log.replay import replay
from sparehand.log.shown_names import seal_of_person
from sparehand.log.sqlite import SqliteEventStore
from sparehand.log.store import DamagedLogError
from sparehand.log.stored_notes import picture_ids
from sparehand.log.tables import PEOPLE
from sparehand.log.wire import canonical, from_wire, people_in

_HEADERS = tuple(canonical({"format": "sparehand log", "version": version}) for version in (1, 2, 3))
"""The first lines of the versions that are read. From the second on the last line is a seal over all before it; the
third, which is written where there are pictures, has these before the seal."""

_LINE_BYTES = 8 * LINE_CHARACTERS
"""A character has at most four bytes, or six where it is escaped."""


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

    After a first line that names the format come the events of each job with their chain hashes, the people, the
    pictures in base64 (RFC 4648), and a seal: the SHA-256 (FIPS 180-4) of all that is before it.
    """
    try:
        pictures = picture_ids(store, job)
        with path.open("wb") as file:
            marks = store.marks.read_all()
            with plain_errors(store.path), reading(store.engine) as connection:
                return _write(connection, marks, file, job, MemoFolder.beside(store.path), pictures)
    except OSError as error:
        raise FailureError(f"{path} cannot be written ({error.strerror}); choose another place") from error


def import_log(path: Path, store: SqliteEventStore) -> LogImport:
    """Take jobs from a file that `export_log` wrote: all of it or nothing. What is here already is not taken again.

    Raises InputError, naming the line, for a file that is no such export, was changed, or tells a job otherwise.
    """
    marks: dict[str, Mark] = {}
    jobs = events = taken = 0
    with plain_errors(store.path), _opened(path) as file:
        with writing(store.engine) as connection:
            lines = _lines(path, file, connection, MemoFolder.beside(store.path))
            for job, of_job in groupby(lines, key=lambda line: line.job):
                told = list(islice(of_job, EVENTS_OF_JOB + 1))
                new = _new_here(path, connection, job, told)
                if new:
                    insert_stored(connection, job, new)
                    update_header(connection, job, [from_wire(one.body, str) for one in new], str)
                    marks[job] = Mark(new[-1].sequence, new[-1].chain)
                jobs, events, taken = jobs + 1, events + len(told), taken + len(new)
            if marks:
                store.marks.intend(marks)
        store.marks.replace(marks)
    return LogImport(jobs, events, taken)


def _write(
    connection: Connection,
    marks: Mapping[str, Mark | None],
    file: BinaryIO,
    job: str | None,
    folder: MemoFolder,
    pictures: Sequence[UUID],
) -> int:
    seal = hashlib.sha256()

    def write(line: str) -> None:
        seal.update(f"{line}\n".encode())
        file.write(f"{line}\n".encode())

    write(_HEADERS[-1 if pictures else -2])
    people: set[str] = set()
    count = 0
    for header in stored_headers(connection):
        if job not in (None, header.id):
            continue
        kept = stored_events(connection, header.id)
        check_stored(header.id, kept, marks.get(header.id))
        for one in kept:
            write(f'{{"chain":"{one.chain.hex()}","recorded":{one.body}}}')
            people |= people_in(one.body)
        count += len(kept)
    for id in sorted(people):
        name = connection.scalar(select(PEOPLE.c.name).where(PEOPLE.c.id == id))
        write(canonical({"name": name, "person": id}))
    for picture in pictures:
        jpeg = base64.b64encode(folder.read(picture, PICTURE) or b"").decode()
        write(canonical({"jpeg": jpeg, "picture": str(picture)}))
    write(canonical({"seal": seal.hexdigest()}))
    return count


@contextmanager
def _opened(path: Path) -> Iterator[BufferedReader]:
    try:
        with path.open("rb") as file:
            yield file
    except OSError as error:
        raise InputError(
            f"{path} cannot be read ({error.strerror}); give a file from `sparehand log export`"
        ) from error


def _lines(path: Path, file: BufferedReader, connection: Connection, pictures: MemoFolder) -> Iterator[_Line]:
    """The events, line by line; people and pictures are put in their places on the way. At the end the seal must fit.

    A picture that stays though the rest is refused belongs to no event, and goes with `sparehand log tidy`.
    """
    first = _first_line(path, file)
    sealed, seal = first != _HEADERS[0], hashlib.sha256(f"{first}\n".encode())
    number = 1
    # No line is longer than what one holds, so that a file without line ends fills no memory.
    while raw := file.readline(_LINE_BYTES):
        number += 1
        try:
            told = read_json(raw.decode(), _LINE_BYTES)
            if "seal" in told and not file.peek(1):
                sealed = told["seal"] != seal.hexdigest()
                break
            seal.update(raw)
            if "person" in told:
                _take_person(connection, told["person"], told["name"])
            elif "picture" in told:
                jpeg = base64.b64decode(told["jpeg"], validate=True)
                pictures.keep_picture(UUID(told["picture"]), clean_picture(jpeg))
            else:
                yield _event_of(number, told)
        except (ValueError, KeyError, TypeError, AttributeError, InputError, DamagedLogError) as error:
            raise InputError(f"{path}, line {number}: this is no line of an exported log; nothing was taken") from error
    if sealed:
        raise InputError(f"{path} was changed, or its end is missing; nothing was taken: export it again")


def _first_line(path: Path, file: BufferedReader) -> str:
    """The first line, which tells the version. Raises InputError for one of no version."""
    first = file.readline(_LINE_BYTES).decode(errors="replace").rstrip("\r\n")
    if first not in _HEADERS:
        raise InputError(f"{path}, line 1: this is no exported log, or one of another version")
    return first


def _event_of(number: int, told: Mapping[str, Any]) -> _Line:
    body = canonical(told["recorded"])
    recorded = from_wire(body, str)
    if len(body) > LINE_CHARACTERS:
        raise ValueError("an event beyond its bounds")
    return _Line(number, recorded.job, StoredEvent(recorded.sequence, body, bytes.fromhex(told["chain"])))


def _take_person(connection: Connection, id: object, name: object) -> None:
    if not isinstance(id, str) or not isinstance(name, str | None) or not 0 < len(id) <= NAME_CHARACTERS:
        raise ValueError("no person")
    kept = name and name_in_bounds(name)
    person = {"id": id, "name": None if kept and People(connection).is_forgotten(kept) else kept}
    seal = seal_of_person(id, person["name"])
    connection.execute(insert(PEOPLE).prefix_with("OR IGNORE").values(**person, seal=seal))


def _new_here(path: Path, connection: Connection, job: str, lines: Sequence[_Line]) -> list[StoredEvent]:
    """The events that are not here yet.

    Raises InputError for a broken chain, for one that went another way, and for one that no job can be replayed from.
    """
    if len(lines) > EVENTS_OF_JOB:
        raise InputError(f"{path}, line {lines[0].number}: job {job} has more than {EVENTS_OF_JOB} events")
    wrong = next(problems([line.kept for line in lines], job, None), None)
    if wrong:
        raise InputError(f"{path}, lines {lines[0].number} to {lines[-1].number}: job {job} {wrong}; nothing was taken")
    here = {one.sequence: one for one in stored_events(connection, job)}
    for line in lines:
        if here.get(line.kept.sequence, line.kept) != line.kept:
            raise InputError(f"{path}, line {line.number}: job {job} went another way here; nothing was taken")
    new = [line.kept for line in lines if line.kept.sequence not in here]
    if new:
        try:
            replay([from_wire(one.body, str) for one in sorted((*here.values(), *new), key=lambda one: one.sequence)])
        except DamagedLogError as error:
            raise InputError(f"{path}, line {lines[0].number}: {error}; nothing was taken") from error
    return new
