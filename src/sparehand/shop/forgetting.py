"""Forgetting a person: name, recordings and words go from a data folder, and what cannot go is named."""

from __future__ import annotations

import json
import shutil
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from uuid import UUID

from sparehand.ground.places import GRAMMARS_FOLDER, MODELS_FOLDER
from sparehand.log.connection import checkpoint, plain_errors
from sparehand.log.customer import rewrite_job
from sparehand.log.memos import MemoFolder, delete_file
from sparehand.log.sqlite import SqliteEventStore
from sparehand.log.stored_notes import stored_notes
from sparehand.log.wire import canonical
from sparehand.settings import load_settings, set_value
from sparehand.sharing.shop_copy import forget_in_shop_copy
from sparehand.shop.talker_file import write_talker

_PIECE_BYTES = 1 << 20


@dataclass(frozen=True)
class Forgotten:
    """What became of it: how many people had the name, how many files and words went, where the name still is."""

    people: int
    recordings: int
    words: int
    still_in: tuple[str, ...]


def forget(store: SqliteEventStore, name: str) -> Forgotten:
    """Blank a technician's name in a data folder, with all that person recorded, typed, taught or is called in it.

    Copies of the log that an update left go whole, for their events cannot be changed alone. Raises FailureError where
    a job with that person's words is open in another window, or what is to go cannot be written.
    """
    folder = store.path.parent
    mine = [note for note in stored_notes(store) if note.by == name]
    # Sound, pictures and words first: while the name is still there, a forgetting that was cut off can be done again.
    recordings = MemoFolder.beside(store.path).remove(mine)
    said = {note.id for note in mine if note.words}
    for job in sorted({note.job for note in mine if note.words}):
        rewrite_job(store, job, lambda body: _without_words(body, said))
    _leave_settings(folder, name)
    if write_talker(folder, name, None):
        shutil.rmtree(folder / MODELS_FOLDER / GRAMMARS_FOLDER, ignore_errors=True)
    for copy in sorted(folder.rglob("*.schema-*.sqlite")):
        delete_file(copy)
    people = store.forget_person(name) + forget_in_shop_copy(folder, name)
    with plain_errors(store.path):
        checkpoint(store.engine)
    return Forgotten(people, recordings, len(said), tuple(_still_in(folder, name)))


def _without_words(body: str, said: set[UUID]) -> str:
    written = json.loads(body)
    event = written["event"]
    if UUID(event["of"] if event["kind"] == "words written" else written["id"]) not in said:
        return body
    return canonical(written | {"event": event | {"words": ""}})


def _leave_settings(folder: Path, name: str) -> None:
    settings = load_settings(folder)
    if settings.technician == name:
        set_value(folder, "technician", "")
    entries = [entry.strip() for entry in (settings.technicians or "").split(",")]
    others = [entry for entry in entries if entry.partition(":")[0].strip() != name]
    if others != entries:
        set_value(folder, "technicians", ", ".join(others))


def _still_in(folder: Path, name: str) -> Iterator[str]:
    """The files below a data folder in whose bytes the name still stands, whatever they are."""
    for path in sorted(folder.rglob("*")):
        inside = path.relative_to(folder)
        if path.is_file() and inside.parts[0] != MODELS_FOLDER and _holds(path, name.encode()):
            yield inside.as_posix()


def _holds(path: Path, wanted: bytes) -> bool:
    before = b""
    with path.open("rb") as file:
        while piece := file.read(_PIECE_BYTES):
            if wanted in before + piece:
                return True
            before = piece[-len(wanted) :]
    return False
