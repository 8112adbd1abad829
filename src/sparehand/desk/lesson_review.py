"""Lessons at the desk: read, let stand, or retired. What is decided is an event on the job in which one was said."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from sparehand.conversation.session import amend
from sparehand.ground.clock import LiveClock
from sparehand.ground.errors import InputError
from sparehand.ground.ids import new_run_id
from sparehand.ground.places import LOG_FILE, data_folder
from sparehand.ground.plurals import how_many
from sparehand.job.answering.answer_lessons import author_and_date
from sparehand.job.events import LessonRetired, LessonReviewed
from sparehand.job.job_lessons import Lesson
from sparehand.log.memos import MemoFolder
from sparehand.log.sqlite import SqliteEventStore
from sparehand.log.stored_notes import stored_lessons
from sparehand.procedures.library import find_procedure
from sparehand.settings import load_settings

_SHORT = 8
"""How much of an id is shown: its end, which chance made; the beginning is the time alone."""


def print_lessons(procedure: str | None, data: Path | None) -> None:
    """The lessons of every procedure or of one, those to be reviewed first."""
    folder = data_folder(data)
    store = SqliteEventStore(folder / LOG_FILE, read_only=True)
    found = [one for one in stored_lessons(store) if procedure in (None, one.procedure)]
    if not found:
        if procedure is not None:
            find_procedure(procedure, folder)
        print("No lesson was kept yet. By voice: “keep a lesson”, at the step it is about.")
        return
    for lesson in sorted(found, key=lambda one: not one.needs_review):
        print(f"{_short(lesson)}  {lesson.procedure}, {lesson.note.at}")
        for line in (*_words(lesson, store), f"{author_and_date(lesson)}; {_standing(lesson)}"):
            print(" " * _SHORT, line)


def review(id: str, technician: str | None, data: Path | None) -> None:
    """Let a lesson stand. Raises InputError where `id` names none."""
    _decide(id, technician, data, retire=False)


def retire(id: str, technician: str | None, data: Path | None) -> None:
    """Let a lesson be heard no more. Raises InputError where `id` names none."""
    _decide(id, technician, data, retire=True)


def _decide(id: str, technician: str | None, data: Path | None, *, retire: bool) -> None:
    folder = data_folder(data)
    settings = load_settings(folder)
    store = SqliteEventStore(folder / LOG_FILE)
    lesson = _named(id, stored_lessons(store))
    note = lesson.note
    event = LessonRetired(lesson=note.id) if retire else LessonReviewed(lesson=note.id)
    with store.claim(note.job):
        by = technician or settings.technician or "the desk"
        amend(store, note.job, event, by, settings.bench, LiveClock(new_run_id()).now())
    print(f"{_short(lesson)}: {'retired' if retire else 'reviewed'} by {by}")


def _named(id: str, found: tuple[Lesson, ...]) -> Lesson:
    matching = [one for one in found if id and str(one.note.id).endswith(id)]
    if len(matching) == 1:
        return matching[0]
    trouble = f"names {how_many(len(matching), 'lesson')}" if matching else "names no lesson"
    raise InputError(f"'{id}' {trouble}; give an id that `sparehand lessons` lists")


def _short(lesson: Lesson) -> str:
    return str(lesson.note.id)[-_SHORT:]


def _words(lesson: Lesson, store: SqliteEventStore) -> Iterator[str]:
    note, memos = lesson.note, MemoFolder.beside(store.path)
    heard = " (as a recogniser heard it)" if note.heard else ""
    yield f"“{note.words}”{heard}" if note.words else "not written down"
    if note.sound_ms:
        yield str(memos.file_of(note) or "its sound is gone")


def _standing(lesson: Lesson) -> str:
    if lesson.retired:
        return "retired"
    if lesson.needs_review:
        return "to be reviewed: it holds a value" if lesson.holds_value else "to be reviewed: listen to it"
    return "reviewed" if lesson.reviewed else "heard at its step"
