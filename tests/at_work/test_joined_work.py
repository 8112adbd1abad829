"""Work of another installed procedure, from the keyboard to the card and the export, over a stop of the program."""

from __future__ import annotations

import shutil
import subprocess
import sys
from pathlib import Path

from job.table import procedure_file
from sparehand.ground.places import LOG_FILE
from sparehand.job.state import JobState, fold
from sparehand.log.jsonl import export_log, import_log
from sparehand.log.sqlite import SqliteEventStore
from sparehand.procedures.library import installed_folder


def typed(data: Path, said: str, *arguments: str) -> str:
    """What the program prints where these lines are typed into it."""
    run = [sys.executable, "-m", "sparehand", *arguments, "--data", str(data)]
    done = subprocess.run(run, input=said, capture_output=True, text=True, check=False)
    assert "Traceback" not in done.stderr
    return " ".join(f"{done.stdout} {done.stderr}".split())


def state_in(store: SqliteEventStore) -> JobState:
    return fold(store.events(store.jobs()[-1].id))


def test_it_joins_by_its_spoken_name_is_gone_to_at_once_and_comes_back_after_a_stop(tmp_path: Path) -> None:
    installed_folder(tmp_path).mkdir()
    for name in ("axle-job", "hub-boot"):
        shutil.copy(procedure_file(name), installed_folder(tmp_path) / f"{name}.yaml")
    keyboard = ("--ears", "keyboard", "--mute")
    chosen = ("axle-job", "--operations", "arm-bush", "--sides", "left", "--vehicle", "demo", "--technician", "Ida")
    said = "add operation hub boot\ncustomer approved by phone\nyes confirm\ngo to boot work\nyes confirm\n"
    told = typed(tmp_path, said, "work", *chosen, *keyboard)
    assert "Proposed: Renew the dust boot of the hub. About" in told
    assert "Approved. Rear hub has things of the same name: wheel and wheel bolt. Are they the same ones?" in told
    store = SqliteEventStore(tmp_path / LOG_FILE)
    assert str(state_in(store).progress.at) == "hub-boot.boot-work/left:ring-off"
    told = typed(tmp_path, "next\nwhat is loose\nclose customer declined\nyes confirm\n", "resume", *keyboard)
    assert "retainer screw out" in told
    state = state_in(store)
    assert state.progress.closed is not None
    assert {one.job for one in store.times.of_this_bench()} == {state.job, f"{state.job}+hub-boot"}
    typed(tmp_path, "", "card", state.job, "--to", str(tmp_path / "card.html"))
    assert "Renew the dust boot of the hub" in (tmp_path / "card.html").read_text(encoding="utf-8")
    assert "hub-boot.boot" in typed(tmp_path, "", "card", state.job, "--json")
    assert "Renew the boot" in typed(tmp_path, "", "hours", state.job)
    _travels(store, tmp_path)


def _travels(store: SqliteEventStore, folder: Path) -> None:
    """The export holds the second plan, and another log that takes it has the same job."""
    export_log(store, folder / "log.jsonl")
    elsewhere = SqliteEventStore(folder / "other" / LOG_FILE)
    import_log(folder / "log.jsonl", elsewhere)
    assert state_in(elsewhere).plan == state_in(store).plan
