"""The hours of jobs: a timesheet, or the list of jobs."""

from __future__ import annotations

from pathlib import Path

from sparehand.ground.places import LOG_FILE, data_folder
from sparehand.ground.terminal import new_console
from sparehand.log.job_list import listed_jobs


def print_jobs(*, as_json: bool, data: Path | None) -> None:
    """The list of jobs, the newest first; as JSON a line each, the oldest first."""
    path = data_folder(data) / LOG_FILE
    headers = listed_jobs(path)
    if headers is None:
        from sparehand.log.sqlite import SqliteEventStore

        headers = SqliteEventStore(path, read_only=True).jobs()
    if as_json:
        from pydantic import TypeAdapter

        from sparehand.log.store import JobHeader

        adapter = TypeAdapter(JobHeader)
        for header in headers:
            print(adapter.dump_json(header).decode())
        return
    from sparehand.screens.hours_tables import jobs_table

    new_console().print(jobs_table(headers))


def print_timesheet(job: str, *, as_json: bool, data: Path | None) -> None:
    """The timesheet of `job`. Raises InputError where there is no such job."""
    from sparehand.job.state import fold
    from sparehand.log.sqlite import SqliteEventStore
    from sparehand.log.timesheet import job_times, timesheet
    from sparehand.screens.hours_tables import timesheet_table

    store = SqliteEventStore(data_folder(data) / LOG_FILE, read_only=True)
    state = fold(store.events(store.find_job(job)))
    sheet = timesheet(state)
    kept = store.times.of_job(state.job) or job_times(state, sheet)
    if as_json:
        print(sheet.model_dump_json())
        return
    new_console().print(timesheet_table(sheet, state.plan.procedure, kept.left_out or ""))
