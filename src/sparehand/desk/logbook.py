"""Looking after the log: showing, proving, moving, backing up and rescuing it, and forgetting a person."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from pathlib import Path

from sparehand.ground.places import LOG_FILE, data_folder
from sparehand.ground.plurals import how_many
from sparehand.job.events import Recorded
from sparehand.job.state import fold
from sparehand.log.sqlite import SqliteEventStore
from sparehand.log.timesheet import job_times, timesheet
from sparehand.settings import load_settings
from sparehand.times.job_times import JobTimes


def show_job(job: str, data: Path | None) -> None:
    """Every event of a job, a line each: what all its figures come from."""
    from sparehand.log.show import event_lines

    store = SqliteEventStore(data_folder(data) / LOG_FILE, read_only=True)
    for line in event_lines(store.events(store.find_job(job))):
        print(line)


def verify_log(job: str | None, data: Path | None) -> int:
    """Print what was found of the log or of one job; gives the exit code: 1 where anything is wrong."""
    from sparehand.log.verify import verify

    store = SqliteEventStore(data_folder(data) / LOG_FILE, read_only=True)
    verdicts = verify(store, store.find_job(job) if job else None, _times_of)
    for verdict in verdicts:
        print(verdict)
    if all(verdict.sound for verdict in verdicts):
        _tell_missing_files(store)
    return 0 if all(verdict.sound for verdict in verdicts) else 1


def export_jobs(file: Path, job: str | None, data: Path | None) -> None:
    """Write the log, or one job of it, as JSON lines."""
    from sparehand.log.jsonl import export_log

    store = SqliteEventStore(data_folder(data) / LOG_FILE, read_only=True)
    print(f"{file}: {how_many(export_log(store, file, store.find_job(job) if job else None), 'event')}")


def import_jobs(file: Path, data: Path | None) -> None:
    """Take jobs from JSON lines into the log."""
    from sparehand.log.jsonl import import_log

    taken = import_log(file, SqliteEventStore(data_folder(data) / LOG_FILE))
    print(f"{file}: {taken}")


def backup_to(file: Path, data: Path | None) -> None:
    """Database and settings into one archive."""
    from sparehand.log.archive import backup

    print(f"{file}: {how_many(backup(data_folder(data), file, datetime.now(UTC)), 'file')}")


def restore_from(file: Path, data: Path | None) -> None:
    """A backup into a data folder that has no log."""
    from sparehand.log.archive import restore

    folder = data_folder(data)
    print(f"{folder}: {how_many(restore(file, folder), 'file')}")


def rescue_into(target: Path, data: Path | None) -> None:
    """What can be read of a damaged log into a new one, naming what was lost."""
    from sparehand.log.rescue import rescue

    for line in rescue(data_folder(data) / LOG_FILE, target).lines:
        print(line)


def forget_person(name: str, data: Path | None) -> None:
    """Blank a technician's name wherever it stands, delete what that person recorded, and say where it still is."""
    from sparehand.shop.forgetting import forget

    done = forget(SqliteEventStore(data_folder(data) / LOG_FILE), name)
    if done.people:
        files = how_many(done.recordings, "recording or picture", "recordings and pictures")
        print(f"{done.people} forgotten, {files} deleted, words of {how_many(done.words, 'note')} blanked.")
    else:
        print(f"Nobody here is called '{name}'.")
    for file in done.still_in:
        why = "another program reads it: end that, and say this again" if file.endswith("-wal") else "in other words"
        print(f"The name still stands in {file} ({why}).")


def tidy(data: Path | None, *, really: bool) -> None:
    """List recordings, pictures and customer data that are past keeping; delete them only where that is asked for."""
    from sparehand.log.customer import blank_customer, customers_past_retention
    from sparehand.log.memos import delete_file
    from sparehand.log.stored_notes import files_past_retention
    from sparehand.log.visit_records import VisitRecords

    folder = data_folder(data)
    settings = load_settings(folder)
    store = SqliteEventStore(folder / LOG_FILE)
    now = datetime.now(UTC)
    files = tuple(files_past_retention(store, settings.memo_days, now, settings.customer_days))
    jobs = tuple(customers_past_retention(store, settings.customer_days, now))
    records, before = VisitRecords(store.engine, store.path), now - timedelta(days=settings.customer_days)
    estimates = records.past_retention(before) if settings.customer_days else 0
    for found in (*files, *(f"vehicle and complaint of job {job}" for job in jobs)):
        print(found)
    memos_for, customers_for = (_kept_for(name, getattr(settings, name)) for name in ("memo_days", "customer_days"))
    print(f"Recordings and pictures of closed jobs are {memos_for}. {len(files)} are past keeping.")
    print(f"Customer data are {customers_for}. Past keeping: {how_many(len(jobs), 'job')}.")
    if estimates:
        print(f"Past keeping: {how_many(estimates, 'record')} of estimates and promises.")
    if (files or jobs or estimates) and not really:
        print("Nothing was deleted. To delete them: sparehand log tidy --yes")
        return
    for path in files:
        delete_file(path)
    for job in jobs:
        blank_customer(store, job)
    if estimates:
        records.blank(before)


def _kept_for(setting: str, days: int) -> str:
    return f"kept for {how_many(days, 'day')}" if days else f"kept for good (see the setting {setting})"


def _tell_missing_files(store: SqliteEventStore) -> None:
    from sparehand.log.stored_notes import missing_files

    for note in missing_files(store):
        what = "it" if note.kind == "picture" else "its sound"
        print(f"{note.kind} {note.name} of job {note.job}: {what} is gone (tidied away, forgotten or lost)")


def _times_of(history: tuple[Recorded, ...]) -> JobTimes:
    state = fold(history)
    return job_times(state, timesheet(state))
