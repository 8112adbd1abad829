"""A first job, for which there is no procedure yet: begun without a file, and written into one afterwards."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Mapping
from pathlib import Path

from sparehand.desk.transcription import write_down
from sparehand.ground.clock import LiveClock
from sparehand.ground.errors import FailureError, InputError
from sparehand.ground.ids import new_run_id
from sparehand.ground.places import LOG_FILE, data_folder
from sparehand.ground.plurals import how_many
from sparehand.job.draft_procedure import draft, picture_beside, sound_beside
from sparehand.job.events import FirstJobBegun
from sparehand.job.growing_procedure import first_procedure
from sparehand.job.job_notes import notes
from sparehand.job.state import fold
from sparehand.log.durable import write_durably
from sparehand.log.memos import MEMOS_FOLDER, MemoFolder
from sparehand.log.sqlite import SqliteEventStore
from sparehand.log.timesheet import timesheet
from sparehand.procedures.check import check_file
from sparehand.procedures.load import LoadedProcedure
from sparehand.procedures.model import Procedure
from sparehand.procedures.write import procedure_text
from sparehand.settings import load_settings
from sparehand.setup.hearing_trials import procedure_hearing

FIRST_EVENTS = (FirstJobBegun(),)
"""What a first job records with its opening."""

_HEAD = """Draft of a procedure, written from its first job, {job}. Nobody has confirmed anything in it.
Look every value up in the maker's data, correct it, and take its name out of `unconfirmed`;
say under `source` where the values come from. When nothing is unconfirmed, set `released: true`.
What else a file may say, with `level: 3` at the top:
  a step: why, where, compare, picture: FILE.png, counts_tools: true; an inspect: proposes: OPERATION
  a phase: after: [PHASES], if_sides: [SIDES], ways: [{{id, title, consequence, phases, follow_ups}}]
  a tool: borrowed: true; a follow-up: if_sides: [SIDES]; the file: axle: front or rear"""


def unwritten(name: str, vehicle: str) -> LoadedProcedure:
    """What a first job called `name` begins with. Raises InputError for a name that holds no letter."""
    procedure = first_procedure(_id(name), name.strip(), vehicle)
    text = procedure_text(procedure)
    return LoadedProcedure(procedure, text, hashlib.sha256(text.encode()).hexdigest(), Path(f"{procedure.id}.yaml"), {})


def write_draft(job: str, to: Path, data: Path | None) -> None:
    """Write the procedure of a first job as a file.

    Raises InputError for another kind of job, and for a file that is there already.
    """
    folder = data_folder(data)
    settings = load_settings(folder)
    store = SqliteEventStore(folder / LOG_FILE)
    id = store.find_job(job)
    now = LiveClock(new_run_id()).now()
    with store.claim(id):
        written = write_down(store, id, settings.technician or "the desk", settings.bench, now)
    procedure, text, pictures = _draft(store, id)
    _write({to: text.encode()} | {to.parent / path: jpeg for path, jpeg in pictures.items()})
    print(
        f"{to}: {how_many(len(procedure.phases), 'phase')}, {how_many(len(procedure.fasteners), 'fastener')}; "
        f"{how_many(len(pictures), 'picture')}; {how_many(written, 'recording')} written down"
    )
    left = sum(finding.name == "value-not-confirmed" for finding in check_file(to, procedure_hearing()))
    print(
        f"To be confirmed: {how_many(left, 'value')}; `sparehand check {to}` lists what is to be done, with all else."
    )


def _draft(store: SqliteEventStore, job: str) -> tuple[Procedure, str, dict[str, bytes]]:
    """The procedure of a first job, its file, and the pictures beside that by their paths."""
    history = store.events(job)
    worked: dict[str, float] = {}
    for row in timesheet(fold(history)).phases:
        worked[row.phase] = worked.get(row.phase, 0.0) + row.work_seconds / 60
    names = [note for note in notes(history) if note.kind in ("phase", "step", "fastener")]
    memos = MemoFolder.beside(store.path)
    taken = [note for note in notes(history) if note.kind == "picture" and memos.file_of(note)]
    procedure = draft(history, worked, names, taken)
    pictures = {picture_beside(procedure, note): memos.read(note.id, note.ending) or b"" for note in taken}
    text = procedure_text(procedure, _HEAD.format(job=job), sound_beside(procedure, names, MEMOS_FOLDER))
    return procedure, text, pictures


def _id(name: str) -> str:
    id = re.sub(r"[^a-z0-9]+", "-", name.lower()).strip("-")
    if not re.match(r"[a-z]", id):
        raise InputError(f"'{name}' is no name for a procedure; begin it with a letter, such as \"front arm\"")
    return id[:60].rstrip("-")


def _write(files: Mapping[Path, bytes]) -> None:
    """Write files where none is. Raises InputError where there is one."""
    there = next((path for path in files if path.exists()), None)
    if there:
        raise InputError(f"{there} is there already; a draft writes over nothing, name another file")
    try:
        for path, content in files.items():
            path.parent.mkdir(parents=True, exist_ok=True)
            write_durably(path, content)
    except OSError as error:
        raise FailureError(f"{path} cannot be written ({error.strerror}); choose another place") from error
