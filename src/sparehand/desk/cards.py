"""The pages of one job: its card, and the tag that goes with the vehicle."""

from __future__ import annotations

from pathlib import Path

from sparehand.desk.page_file import write_page
from sparehand.ground.places import LOG_FILE, data_folder
from sparehand.ground.terminal import new_console
from sparehand.job.state import fold
from sparehand.log.memos import PICTURE, MemoFolder
from sparehand.log.sqlite import SqliteEventStore
from sparehand.log.timesheet import timesheet


def write_tag(job: str, to: Path | None, data: Path | None) -> Path:
    """The tag that goes with the vehicle of `job`, as a page; gives where it was written."""
    from sparehand.screens.tag import vehicle_tag

    store = SqliteEventStore(data_folder(data) / LOG_FILE, read_only=True)
    id = store.find_job(job)
    target = to or Path(f"{id}-tag.html")
    write_page(target, vehicle_tag(fold(store.events(id))))
    new_console().print(f"Tag: {target}")
    return target


def write_card(job: str, to: Path | None, data: Path | None) -> Path:
    """The job card of `job` as a page; gives where it was written."""
    from sparehand.screens.card import job_card

    store = SqliteEventStore(data_folder(data) / LOG_FILE, read_only=True)
    id = store.find_job(job)
    history = store.events(id)
    state = fold(history)
    target = to or Path(f"{id}.html")
    memos = MemoFolder.beside(store.path)
    write_page(target, job_card(state, timesheet(state), history, lambda id: memos.read(id, PICTURE)))
    new_console().print(f"Job card: {target}")
    return target


def print_facts(job: str, data: Path | None) -> None:
    """The facts of the card of `job` as JSON, for other programs."""
    from sparehand.screens.card_facts import card_facts

    store = SqliteEventStore(data_folder(data) / LOG_FILE, read_only=True)
    history = store.events(store.find_job(job))
    print(card_facts(fold(history), history).model_dump_json(indent=2))
