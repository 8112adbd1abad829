"""The fault harness: a bench process that is killed, power cuts, full disks, damaged bytes; and what must hold after.

Every trial gives a Tally; trials are drawn from a seed, so that a failure can be had again.
"""

from __future__ import annotations

import os
import random
import resource
import shutil
import signal
import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, fields
from pathlib import Path
from uuid import UUID

from sqlalchemy import event

from log.demo import long_job, opening, recorded
from sparehand.ground.errors import SparehandError
from sparehand.ground.places import bundled
from sparehand.job.events import Event, MemoKept, PictureTaken, Recorded
from sparehand.job.job_notes import notes
from sparehand.log.fault_points import MemoPoint, Point, Watch
from sparehand.log.memos import SOUND, MemoFolder
from sparehand.log.rescue import RescuedJob, rescue
from sparehand.log.sqlite import SqliteEventStore
from sparehand.log.times_csv import import_times
from sparehand.log.verify import verify
from sparehand.procedures.plan import PhaseKey, StepKey

JOB, OTHER = "261125-k7qm", "261126-b2xz"
SECTOR = 512


@dataclass
class Tally:
    """What was tried and what came of it."""

    kills: int = 0
    power_cuts: int = 0
    full_disks: int = 0
    corruptions: int = 0
    detected: int = 0
    harmless: int = 0
    silent: int = 0
    rescued: int = 0
    answered: int = 0
    answered_lost: int = 0

    def __add__(self, other: Tally) -> Tally:
        return Tally(**{field.name: getattr(self, field.name) + getattr(other, field.name) for field in fields(self)})


class KillAt(Watch):
    """Kills its own process the `turn`th time that an append is at `point`."""

    def __init__(self, point: Point | MemoPoint | None, turn: int) -> None:
        self._point = point
        self._left = turn

    def reached(self, point: Point | MemoPoint) -> None:
        if point == self._point:
            self._left -= 1
            if self._left == 0:
                os.kill(os.getpid(), signal.SIGKILL)


def bench(path: Path, watch: Watch, say: Callable[[int], None], length: int) -> None:
    """What a bench does: append an event, and say its number once it is durable."""
    store = SqliteEventStore(path, watch=watch)
    for one in long_job(JOB, length):
        store.append(JOB, one.sequence, [one])
        say(one.sequence)


def killed_bench(path: Path, point: Point | None, turn: int, speaking: bool = False, length: int = 12) -> int:
    """Run a bench in a process of its own until it is killed; gives how many events it had answered.

    Killed at `point`; or while it speaks its answer number `turn`; or from outside, once `turn` answers were heard.
    """
    reading, writing = os.pipe()
    child = os.fork()
    if child == 0:
        os.close(reading)

        def say(number: int) -> None:
            os.write(writing, b"%4d" % number)
            if speaking and number + 1 == turn:
                os.kill(os.getpid(), signal.SIGKILL)

        try:
            bench(path, KillAt(point, turn), say, length)
        finally:
            os._exit(1)
    os.close(writing)
    heard = b""
    with os.fdopen(reading, "rb", buffering=0) as answers:
        while part := answers.read(4):
            heard += part
            if point is None and not speaking and len(heard) // 4 == turn:
                os.kill(child, signal.SIGKILL)
    os.waitpid(child, 0)
    return len(heard) // 4


def killed_and_resumed(folder: Path, point: Point | None, turn: int, speaking: bool = False) -> Tally:
    """One kill; then every answered event is there, nothing is half-written, and the job goes on."""
    path = folder / "log.sqlite"
    answered = killed_bench(path, point, turn, speaking)
    there = _whole(path, answered, at_most=answered + 1)
    return Tally(kills=1, answered=answered, answered_lost=max(0, answered - there))


def _whole(path: Path, answered: int, at_most: int) -> int:
    """How many events are there; they are the first of the job, the log verifies, and the next can be appended."""
    store = SqliteEventStore(path)
    events = store.events(JOB)
    assert events == long_job(JOB, len(events))
    assert answered <= len(events) <= at_most, f"{answered} answered, {len(events)} there"
    assert all(verdict.sound for verdict in verify(store)), [str(verdict) for verdict in verify(store)]
    store.append(JOB, len(events), recorded(JOB, len(events), *([] if events else [opening()]), *_hold(events)))
    store.close()
    return len(events)


def _hold(events: tuple[Recorded, ...]) -> list[Event]:
    return [long_job(JOB, len(events) + 1)[-1].event] if events else []


def killed_while_keeping(folder: Path, point: Point | MemoPoint, turn: int, ending: str = SOUND) -> Tally:
    """A bench that keeps a memo or a picture with every event, killed at `point`: what is told of is there, whole."""
    path, memos = folder / "log.sqlite", MemoFolder(folder / "memos")
    reading, writing = os.pipe()
    child = os.fork()
    if child == 0:
        try:
            _keep_files(
                path, folder / "memos", KillAt(point, turn), lambda number: os.write(writing, b"%4d" % number), ending
            )
        finally:
            os._exit(1)
    os.close(writing)
    with os.fdopen(reading, "rb") as answers:
        answered = len(answers.read()) // 4
    os.waitpid(child, 0)
    told = notes(SqliteEventStore(path).events(JOB))
    assert all(memos.read(note.id, ending) == _content_of(note.id) for note in told)
    assert all(path.suffix in (ending, ".part") for path in memos.folder.glob("*"))
    assert all(path.read_bytes() == _content_of(UUID(path.stem)) for path in memos.folder.glob(f"*{ending}"))
    return Tally(kills=1, answered=answered, answered_lost=max(0, answered - len(told)))


def _keep_files(path: Path, folder: Path, watch: Watch, say: Callable[[int], object], ending: str) -> None:
    store, memos = SqliteEventStore(path, watch=watch), MemoFolder(folder, watch)
    at = StepKey(PhaseKey("fit", "left"), "offer-up")

    def note(number: int) -> Event:
        return MemoKept(at=at, sound_ms=1_000) if ending == SOUND else PictureTaken(at=at, picture=UUID(int=number))

    for one in long_job(JOB, 12, note):
        if isinstance(one.event, MemoKept):
            memos.keep(one.id, _content_of(one.id))
        elif isinstance(one.event, PictureTaken):
            memos.keep_picture(one.event.picture, _content_of(one.event.picture))
        store.append(JOB, one.sequence, [one])
        if isinstance(one.event, MemoKept | PictureTaken):
            say(one.sequence)


def _content_of(id: UUID) -> bytes:
    return id.bytes * 1_000


class Camera(Watch):
    """Keeps the files as they are at each point of one append, as the disk would hold them if all were synced."""

    def __init__(self, folder: Path, into: Path, turn: int) -> None:
        self._folder, self._into, self._left = folder, into, turn

    def reached(self, point: Point | MemoPoint) -> None:
        if point == "before insert":
            self._left -= 1
        if self._left == 0:
            shutil.copytree(self._folder, self._into / point, ignore=shutil.ignore_patterns("*-shm", "*.claims"))


def power_cut(folder: Path, turn: int, draw: random.Random) -> Tally:
    """A cut during append number `turn`: of what was not synced, any sectors are written, others lost.

    The order of syncs is SQLite's: the write-ahead file, then (where it is due) the database, then our mark.
    """
    live, shots, cut = folder / "live", folder / "shots", folder / "cut"
    live.mkdir()
    shots.mkdir()
    store = SqliteEventStore(live / "log.sqlite", watch=Camera(live, shots, turn))
    _checkpoint_often(store)
    for one in long_job(JOB, turn):
        store.append(JOB, one.sequence, [one])
    store.close()
    stage = draw.choice(["write-ahead file", "database", "mark"])
    shutil.copytree(shots / "before commit", cut)
    after = shots / ("after mark" if stage == "mark" else "after commit")
    if stage == "write-ahead file":
        _tear(cut / "log.sqlite-wal", after / "log.sqlite-wal", draw)
    else:
        shutil.copyfile(after / "log.sqlite-wal", cut / "log.sqlite-wal")
        _tear(cut / "log.sqlite", after / "log.sqlite", draw, whole=stage == "mark")
    if stage == "mark" and (after / "log.marks").exists():
        (cut / "log.marks").mkdir(exist_ok=True)
        _tear(cut / f"log.marks/{JOB}.mark", after / f"log.marks/{JOB}.mark", draw, unit=16)
    there = _whole(cut / "log.sqlite", turn - 1, at_most=turn)
    return Tally(power_cuts=1, answered=turn - 1, answered_lost=max(0, turn - 1 - there))


def _checkpoint_often(store: SqliteEventStore) -> None:
    @event.listens_for(store.engine, "connect")
    def often(connection: object, _record: object) -> None:
        connection.execute("PRAGMA wal_autocheckpoint = 12")  # type: ignore[attr-defined]

    store.engine.dispose()


def _tear(old: Path, new: Path, draw: random.Random, unit: int = SECTOR, whole: bool = False) -> None:
    """Bring `old` towards `new`, each unit that differs by chance; `whole` brings all."""
    before = old.read_bytes() if old.exists() else b""
    after = new.read_bytes()
    share = draw.random()
    length = len(after) if whole or draw.random() < 0.5 else draw.randint(min(len(before), len(after)), len(after))
    torn = bytearray(before.ljust(length, b"\0"))
    for start in range(0, length, unit):
        if whole or draw.random() < share:
            torn[start : start + unit] = after[start : start + unit]
    old.write_bytes(torn[: max(length, len(before))] if not whole else after)


def full_disk(folder: Path, room: int) -> Tally:
    """No file may grow beyond `room` more bytes: an append fails in one line, and all that was answered is there."""
    path = folder / "log.sqlite"
    SqliteEventStore(path).close()
    answered = _until_full(path, room)
    return Tally(full_disks=1, answered=answered, answered_lost=max(0, answered - _whole(path, answered, answered)))


def _tell(descriptor: int, number: int) -> None:
    os.write(descriptor, b"%4d" % number)


def _until_full(path: Path, room: int) -> int:
    reading, writing = os.pipe()
    child = os.fork()
    if child == 0:
        status = 1
        try:
            # A file that would grow beyond the limit is refused like one on a full disk.
            signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
            resource.setrlimit(resource.RLIMIT_FSIZE, (path.stat().st_size + room, resource.RLIM_INFINITY))
            bench(path, Watch(), lambda number: _tell(writing, number), 4000)
        except SparehandError as error:
            status = 0 if "\n" not in str(error) and "nothing was recorded" in str(error) else 2
        finally:
            os._exit(status)
    os.close(writing)
    with os.fdopen(reading, "rb") as answers:
        heard = answers.read()
    _, status = os.waitpid(child, 0)
    assert os.waitstatus_to_exitcode(status) == 0
    return len(heard) // 4


@dataclass(frozen=True)
class SoundLog:
    """A log to damage copies of. Opening it would checkpoint it, so what it holds is kept beside it."""

    path: Path
    contents: tuple[object, ...]


def sound_log(folder: Path, settled: bool) -> SoundLog:
    """A log with two jobs and imported times; `settled` or with its latest events in the write-ahead file only."""
    path = folder / "log.sqlite"
    store = SqliteEventStore(path)
    import_times(bundled("procedures") / "engine-mounts.times.csv", store)
    for job in (JOB, OTHER):
        for one in long_job(job, 40):
            store.append(job, one.sequence, [one])
    copy = folder / "copy"
    if not settled:
        shutil.copytree(folder, copy, ignore=shutil.ignore_patterns("*-shm", "copy"))
        assert (copy / "log.sqlite-wal").stat().st_size > 0
    store.close()
    return SoundLog(path if settled else copy / "log.sqlite", _contents(path))


def damaged(sound: SoundLog, folder: Path, draw: random.Random) -> Tally:
    """One damage to durable bytes: it is told, or it hurt nothing; and what can be is rescued."""
    path = folder / sound.path.name
    shutil.copytree(sound.path.parent, folder, dirs_exist_ok=True)
    files = [file for file in (path, path.with_name(path.name + "-wal")) if file.exists() and file.stat().st_size]
    _damage(draw.choice(files), draw)
    shutil.copytree(folder, folder.with_name(folder.name + "-kept"), dirs_exist_ok=True)
    if _is_told(path):
        report = rescue(folder.with_name(folder.name + "-kept") / path.name, folder / "rescued.sqlite")
        _require_all_named(report.jobs, folder / "rescued.sqlite")
        return Tally(corruptions=1, detected=1, rescued=1)
    same = _contents(path) == sound.contents
    return Tally(corruptions=1, harmless=int(same), silent=int(not same))


def _damage(path: Path, draw: random.Random) -> None:
    content = bytearray(path.read_bytes())
    place = draw.randrange(len(content))
    match draw.choice(["bit", "byte", "block", "zeros", "cut"]):
        case "bit":
            content[place] ^= 1 << draw.randrange(8)
        case "byte":
            content[place] = (content[place] + draw.randrange(1, 256)) % 256
        case "block":
            length = min(draw.choice([16, SECTOR, 4096]), len(content) - place)
            content[place : place + length] = draw.randbytes(length)
        case "zeros":
            start = place // 4096 * 4096
            content[start : start + 4096] = bytes(len(content[start : start + 4096]))
        case "cut":
            del content[place:]
    path.write_bytes(content)


def _is_told(path: Path) -> bool:
    try:
        store = SqliteEventStore(path)
    except SparehandError:
        return True
    try:
        return not all(verdict.sound for verdict in verify(store))
    except SparehandError:
        return True
    finally:
        store.close()


def _contents(path: Path) -> tuple[object, ...]:
    store = SqliteEventStore(path)
    try:
        return store.events(JOB), store.events(OTHER), store.jobs(), store.times.imported()
    finally:
        store.close()


def _require_all_named(jobs: tuple[RescuedJob, ...], path: Path) -> None:
    """Each of the events is kept, or named as lost or as found behind a loss."""
    store = SqliteEventStore(path)
    assert all(verdict.sound for verdict in verify(store)), [str(verdict) for verdict in verify(store)]
    told = {job.job: job for job in jobs}
    for job in (JOB, OTHER):
        kept = store.events(job)
        # Names may be among what was lost; what happened is not.
        assert [one.event.kind for one in kept] == [one.event.kind for one in long_job(job, 40)[: len(kept)]]
        assert [one.id for one in kept] == [one.id for one in long_job(job, 40)[: len(kept)]]
        named = {*range(told[job].kept), *told[job].lost, *told[job].unplaced}
        assert named == set(range(40))
        assert told[job].kept == len(kept)
    store.close()


@contextmanager
def scratch_folder() -> Iterator[Path]:
    """A folder for one trial."""
    with tempfile.TemporaryDirectory() as folder:
        yield Path(folder)
