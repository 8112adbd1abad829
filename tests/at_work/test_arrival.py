"""A vehicle arrives: what nobody gave is asked at the terminal, and what its earlier jobs left open comes back."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from job.table import opening
from log.demo import recorded
from sparehand.ground.places import LOG_FILE
from sparehand.job.events import FollowUpScheduled, JobClosed, Vehicle
from sparehand.job.state import fold
from sparehand.log.sqlite import SqliteEventStore

END_OF_INPUT = b"\x04"


def typed(data: Path, said: str, *arguments: str) -> str:
    """What the program prints where somebody types `said` at a terminal, then ends the input."""
    pty = pytest.importorskip("pty")
    ours, theirs = pty.openpty()
    try:
        run = [sys.executable, "-m", "sparehand", *arguments, "--data", str(data)]
        with subprocess.Popen(run, stdin=theirs, stdout=subprocess.PIPE, stderr=subprocess.STDOUT) as program:
            os.write(ours, said.encode() + END_OF_INPUT)
            printed, _ = program.communicate()
    finally:
        os.close(ours)
        os.close(theirs)
    return " ".join(printed.decode().split())


@pytest.mark.parametrize(
    "begun", [("brake-discs-epb", "--operations", "brake-pads", "--sides", "left"), ("--new", "demo arm")]
)
def test_plate_and_complaint_are_asked_and_an_earlier_follow_up_comes_back(
    begun: tuple[str, ...], tmp_path: Path
) -> None:
    store = SqliteEventStore(tmp_path / LOG_FILE)
    earlier = opening().model_copy(update={"vehicle": Vehicle(identification="DEMO 42")})
    due = FollowUpScheduled(follow_up="bleed", words="Bleed again")
    store.append("251101-demo", 0, recorded("251101-demo", 0, earlier, due, JobClosed()))
    options = ("--vehicle", "estate", "--technician", "Ida", "--ears", "keyboard", "--mute")
    said = typed(tmp_path, "DEMO-42\nIt squeals\nwhich follow ups\n", "work", *begun, *options)
    assert "from before: Bleed again" in said
    state = fold(store.events(store.jobs()[-1].id))
    assert (state.vehicle.identification, state.progress.order["complaint"]) == ("DEMO-42", "It squeals")


def test_a_plate_that_no_reader_would_keep_whole_is_refused_as_every_other_text(tmp_path: Path) -> None:
    options = ("--vehicle", "estate", "--technician", "Ida", "--ears", "keyboard", "--mute", "--complaint", "none")
    said = typed(tmp_path, "", "work", "--new", "demo arm", *options, "--identification", "x" * 4_001)
    assert said == "sparehand: 'identification' must have 4000 characters or fewer"
