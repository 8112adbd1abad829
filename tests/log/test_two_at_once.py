"""What two programs do to one log at once, what a kill leaves half-done, and what is deleted under a program."""

from __future__ import annotations

import shutil
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from log.demo import closing, long_job, recorded
from sparehand.ground.errors import FailureError
from sparehand.log import event_rows, jsonl, sqlite, verify as verifying
from sparehand.log.customer import blank_customer
from sparehand.log.jsonl import export_log, import_log
from sparehand.log.marks import Marks
from sparehand.log.rescue import rescue
from sparehand.log.sqlite import SqliteEventStore
from sparehand.log.verify import verify

JOB, LATER = "261125-k7qm", "261126-b2xz"


READERS: dict[str, tuple[object, Callable[[SqliteEventStore], object]]] = {
    "verify": (verifying, lambda store: [str(one) for one in verify(store) if not one.sound]),
    "export": (jsonl, lambda store: export_log(store, store.path.with_name("log.jsonl"), JOB) != 9),
    "events": (sqlite, lambda store: len(store.events(JOB)) != 9),
}


@pytest.mark.parametrize("reader", READERS)
def test_what_another_process_writes_while_a_log_is_read_is_no_damage(
    store: SqliteEventStore, monkeypatch: pytest.MonkeyPatch, reader: str
) -> None:
    module, reads = READERS[reader]
    other = SqliteEventStore(store.path)
    read_rows, left = event_rows.stored_events, [True]

    def interrupted(*arguments: object) -> object:
        rows = read_rows(*arguments)  # type: ignore[arg-type]
        if left and left.pop():
            other.append(JOB, 9, recorded(JOB, 9, closing()))
            for one in long_job(LATER, 3):
                other.append(LATER, one.sequence, [one])
        return rows

    monkeypatch.setattr(module, "stored_events", interrupted)
    assert not reads(store)
    assert not left
    other.close()


def test_a_job_that_begins_while_jobs_are_listed_has_not_vanished(
    store: SqliteEventStore, monkeypatch: pytest.MonkeyPatch
) -> None:
    other = SqliteEventStore(store.path)
    listed = event_rows.stored_headers

    def interrupted(connection: object) -> object:
        headers = listed(connection)  # type: ignore[arg-type]
        for one in long_job(LATER, 3):
            other.append(LATER, one.sequence, [one])
        return headers

    monkeypatch.setattr(sqlite, "stored_headers", interrupted)
    assert [header.id for header in store.jobs()] == [JOB]
    other.close()


class Killed(BaseException):
    """The process ends here."""


@pytest.mark.parametrize("command", ["import", "tidy", "rescue"])
@pytest.mark.parametrize("read_only", [True, False])
def test_a_kill_between_a_commit_and_its_marks_leaves_a_log_that_verifies(
    store: SqliteEventStore, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, command: str, read_only: bool
) -> None:
    store.append(JOB, 9, recorded(JOB, 9, closing()))
    export_log(store, tmp_path / "log.jsonl")
    target = tmp_path / "new" / "log.sqlite"
    target.parent.mkdir()
    commands: dict[str, Callable[[], object]] = {
        "import": lambda: import_log(tmp_path / "log.jsonl", SqliteEventStore(target)),
        "tidy": lambda: blank_customer(store, JOB),
        "rescue": lambda: rescue(store.path, target),
    }

    def killed(*_: object) -> None:
        raise Killed

    with monkeypatch.context() as patch:
        patch.setattr(Marks, "replace", killed)
        with pytest.raises(Killed):
            commands[command]()
    again = SqliteEventStore(store.path if command == "tidy" else target, read_only=read_only)
    assert [verdict.problems for verdict in verify(again)] == [(), ()]
    assert len(again.events(JOB)) == 10
    mark = again.marks.read(JOB)
    assert mark is not None
    assert mark.sequence == 9
    assert again.marks.intended() is None
    again.close()


def test_marks_of_what_was_never_committed_are_not_made(store: SqliteEventStore) -> None:
    mark = store.marks.read(JOB)
    assert mark is not None
    store.marks.intend({LATER: mark})
    again = SqliteEventStore(store.path)
    assert again.marks.jobs() == {JOB}
    assert all(verdict.sound for verdict in verify(again))
    again.close()


@pytest.mark.parametrize("goes", ["folder", "file", "exchanged"])
def test_a_log_that_is_deleted_under_a_program_is_told_before_anything_is_answered(
    store: SqliteEventStore, tmp_path: Path, goes: str
) -> None:
    if goes == "folder":
        shutil.rmtree(tmp_path)
    elif goes == "file":
        store.path.unlink()
    else:
        shutil.copyfile(store.path, tmp_path / "copy")
        (tmp_path / "copy").replace(store.path)
    with pytest.raises(FailureError, match="was deleted, moved or exchanged while this program uses it"):
        store.append(JOB, 9, recorded(JOB, 9, closing()))
    assert tmp_path.exists() == (goes != "folder")


def test_a_second_claim_that_is_refused_leaves_the_first_one_its_lock(store: SqliteEventStore) -> None:
    other = (
        "import sys; from pathlib import Path; from sparehand.log.sqlite import SqliteEventStore\n"
        f"with SqliteEventStore(Path(sys.argv[1])).claim('{JOB}'): print('taken')"
    )
    with store.claim(JOB):
        with pytest.raises(FailureError, match="open in another window"), store.claim(JOB):
            pass
        second = subprocess.run([sys.executable, "-c", other, str(store.path)], capture_output=True, text=True)
    assert "is open in another window" in second.stderr
    assert second.stdout == ""
