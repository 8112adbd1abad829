"""No fault loses an answered event or leaves half of one; damage to what was durable is never silent.

A bounded form; `tests/bench/edges.py` runs as long as it is asked to.
"""

from __future__ import annotations

import os
import random
import subprocess
from collections.abc import Iterator
from pathlib import Path

import pytest

from log.demo import long_job
from log.small_disk import small_disk_at
from sparehand.ground.errors import FailureError
from sparehand.job.events import Recorded
from sparehand.log.fault_points import MEMO_POINTS, POINTS, MemoPoint, Point
from sparehand.log.memos import PICTURE, SOUND
from sparehand.log.sqlite import SqliteEventStore
from sparehand.log.verify import verify

pytestmark = pytest.mark.skipif(not hasattr(os, "fork"), reason="the harness kills forked processes")

if hasattr(os, "fork"):
    from log import faults


@pytest.mark.parametrize("point", POINTS)
@pytest.mark.parametrize("turn", [1, 2, 7])
def test_a_kill_at_any_point_of_an_append_loses_no_answered_event(tmp_path: Path, point: Point, turn: int) -> None:
    tally = faults.killed_and_resumed(tmp_path, point, turn)
    assert (tally.answered, tally.answered_lost) == (turn - 1, 0)


@pytest.mark.parametrize("point", [*MEMO_POINTS, "before commit", "after commit"])
@pytest.mark.parametrize(("turn", "ending"), [(2, SOUND), (6, SOUND), (2, PICTURE), (6, PICTURE)])
def test_a_kill_while_a_memo_or_picture_is_kept_leaves_no_half_of_it(
    tmp_path: Path, point: Point | MemoPoint, turn: int, ending: str
) -> None:
    tally = faults.killed_while_keeping(tmp_path, point, turn, ending)
    assert (tally.answered >= turn - 2, tally.answered_lost) == (True, 0)


@pytest.mark.parametrize("turn", [1, 5])
def test_a_kill_while_an_answer_is_spoken_leaves_its_event_recorded(tmp_path: Path, turn: int) -> None:
    tally = faults.killed_and_resumed(tmp_path, None, turn, speaking=True)
    assert (tally.answered, tally.answered_lost) == (turn, 0)


def test_a_kill_from_outside_at_any_time_loses_no_answered_event(tmp_path: Path) -> None:
    draw = random.Random(7)
    for trial in range(10):
        folder = tmp_path / str(trial)
        folder.mkdir()
        assert faults.killed_and_resumed(folder, None, draw.randint(1, 10)).answered_lost == 0


def test_a_power_cut_with_writes_lost_or_torn_loses_no_answered_event(tmp_path: Path) -> None:
    draw = random.Random(11)
    for trial in range(30):
        folder = tmp_path / str(trial)
        folder.mkdir()
        assert faults.power_cut(folder, draw.randint(1, 14), draw).answered_lost == 0


@pytest.mark.parametrize("room", [0, 5_000, 60_000])
def test_a_full_disk_is_told_in_one_line_and_loses_no_answered_event(tmp_path: Path, room: int) -> None:
    assert faults.full_disk(tmp_path, room).answered_lost == 0


@pytest.fixture
def small_disk(tmp_path: Path) -> Iterator[Path]:
    with small_disk_at(tmp_path / "disk", "256k") as disk:
        yield disk


def until_refused(store: SqliteEventStore, events: tuple[Recorded, ...]) -> tuple[int, str]:
    """How many events were appended before one was refused, and what was said then."""
    for one in events:
        try:
            store.append(faults.JOB, one.sequence, [one])
        except FailureError as error:
            return one.sequence, str(error)
    return len(events), ""


def test_a_disk_that_is_really_full_is_told_and_the_job_goes_on_once_there_is_room(small_disk: Path) -> None:
    store = SqliteEventStore(small_disk / "log.sqlite")
    events = long_job(faults.JOB, 2000)
    answered, told = until_refused(store, events)
    assert "no room left" in told
    assert "\n" not in told
    there = store.events(faults.JOB)
    assert there == events[: len(there)]
    assert len(there) >= answered
    subprocess.run(["mount", "-o", "remount,size=4m", small_disk], check=True)
    store.append(faults.JOB, len(there), [events[len(there)]])
    assert all(verdict.sound for verdict in verify(store))
    store.close()


@pytest.mark.parametrize("settled", [True, False])
def test_damage_to_durable_bytes_is_told_or_hurt_nothing_and_the_rest_is_rescued(tmp_path: Path, settled: bool) -> None:
    (tmp_path / "sound").mkdir()
    sound = faults.sound_log(tmp_path / "sound", settled)
    draw = random.Random(13)
    tally = sum((faults.damaged(sound, tmp_path / str(trial), draw) for trial in range(15)), faults.Tally())
    assert tally.silent == 0
    assert tally.detected + tally.harmless == 15
    assert tally.detected >= 8
