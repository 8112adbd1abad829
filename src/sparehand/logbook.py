"""Looking after the log: showing, proving, moving, backing up and rescuing it, and forgetting a person."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

from sparehand.job.events import Recorded
from sparehand.job.state import fold
from sparehand.log.sqlite import SqliteEventStore
from sparehand.log.times import JobTimes
from sparehand.log.timesheet import job_times, timesheet
from sparehand.places import LOG_FILE, data_folder
from sparehand.settings import load_settings


def show(job: str, data: Path | None) -> None:
    """Every event of a job, a line each: what all its figures come from."""
    from sparehand.log.show import event_lines

    store = SqliteEventStore(data_folder(data) / LOG_FILE, read_only=True)
    for line in event_lines(store.events(store.find_job(job))):
        print(line)


def prove(job: str | None, data: Path | None) -> int:
    """Print what was found of the log or of one job; gives the exit code: 1 where anything is wrong."""
    from sparehand.log.verify import verify

    store = SqliteEventStore(data_folder(data) / LOG_FILE, read_only=True)
    verdicts = verify(store, store.find_job(job) if job else None, _times_of)
    for verdict in verdicts:
        print(verdict)
    if all(verdict.sound for verdict in verdicts):
        _tell_missing_sounds(store)
    return 0 if all(verdict.sound for verdict in verdicts) else 1


def give(file: Path, job: str | None, data: Path | None) -> None:
    """Write the log, or one job of it, as JSON lines."""
    from sparehand.log.jsonl import export_log

    store = SqliteEventStore(data_folder(data) / LOG_FILE, read_only=True)
    print(f"{file}: {export_log(store, file, store.find_job(job) if job else None)} events")


def take(file: Path, data: Path | None) -> None:
    """Take jobs from JSON lines into the log."""
    from sparehand.log.jsonl import import_log

    taken = import_log(file, SqliteEventStore(data_folder(data) / LOG_FILE))
    print(f"{file}: {taken}")


def back_up(file: Path, data: Path | None) -> None:
    """Database and settings into one archive."""
    from sparehand.log.archive import backup

    print(f"{file}: {backup(data_folder(data), file, datetime.now(UTC))} files")


def bring_back(file: Path, data: Path | None) -> None:
    """A backup into a data folder that has no log."""
    from sparehand.log.archive import restore

    folder = data_folder(data)
    print(f"{folder}: {restore(file, folder)} files")


def rescue_into(target: Path, data: Path | None) -> None:
    """What can be read of a damaged log into a new one, naming what was lost."""
    from sparehand.log.rescue import rescue

    for line in rescue(data_folder(data) / LOG_FILE, target).lines:
        print(line)


def forget(name: str, data: Path | None) -> None:
    """Blank a technician's name wherever it would be shown, and delete what that person recorded."""
    from sparehand.log.memos import MemoFolder
    from sparehand.log.notes_kept import kept_notes
    from sparehand.sharing.shop_copy import forget_in_shop_copy

    store = SqliteEventStore(data_folder(data) / LOG_FILE)
    # The sound first: while the name is still there, a forgetting that was cut off can be done again.
    deleted = MemoFolder.beside(store.path).remove([note.id for note in kept_notes(store) if note.by == name])
    count = store.forget_person(name) + forget_in_shop_copy(store.path.parent, name)
    print(f"{count} forgotten, {deleted} recordings deleted." if count else f"Nobody here is called '{name}'.")


def tidy(data: Path | None, *, really: bool) -> None:
    """List the recordings that need not be kept any longer, and delete them only where that is asked for."""
    from sparehand.log.notes_kept import past_keeping

    folder = data_folder(data)
    days = load_settings(folder).memo_days
    store = SqliteEventStore(folder / LOG_FILE)
    found = tuple(past_keeping(store, days, datetime.now(UTC)))
    for path in found:
        print(path)
    kept = f"kept for {days} days" if days else "kept for good (see the setting memo_days)"
    print(f"Recordings of closed jobs are {kept}. {len(found)} files are past keeping.")
    if found and not really:
        print("Nothing was deleted. To delete them: sparehand log tidy --yes")
        return
    for path in found:
        path.unlink(missing_ok=True)


def _tell_missing_sounds(store: SqliteEventStore) -> None:
    from sparehand.log.notes_kept import missing_sounds

    for note in missing_sounds(store):
        print(f"{note.kind} {note.name} of job {note.job}: its sound is gone (tidied away, forgotten or lost)")


def _times_of(history: tuple[Recorded, ...]) -> JobTimes:
    state = fold(history)
    return job_times(state, timesheet(state))
