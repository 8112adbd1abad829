"""The tables of `docs/reliability.md`: faults of the log, kills by command, limits, hostile bytes, floods, peers.

`PYTHONPATH=tests python tests/bench/edges.py [TRIALS] [SEED]`. A trial survives if nothing that was recorded is
lost, the log verifies, and what was said is one line. The first trial that loses an answered event, or damage that is
silent, ends the run. Linux only: it forks, and limits what a process may use.
"""

from __future__ import annotations

import os
import random
import resource
import shutil
import signal
import sqlite3
import sys
import time
from collections.abc import Callable
from functools import partial
from pathlib import Path

from bench.edge_attacks import floods, in_a_child, peers, row, share_kills
from log import faults
from log.demo import MORNING, closing, long_job, recorded
from log.faults import scratch_folder
from parsers.samples import PARSERS
from parsers.test_hostile_bytes import INSERTED, changed, one_line_or_taken
from sharing.server import running_server
from sharing.shop import OTHER
from sparehand.ground.places import bundled
from sparehand.log.archive import backup, restore
from sparehand.log.customer import blank_customer
from sparehand.log.fault_points import MEMO_POINTS, POINTS
from sparehand.log.jsonl import export_log, import_log
from sparehand.log.rescue import rescue
from sparehand.log.sqlite import SqliteEventStore
from sparehand.log.times_csv import import_times
from sparehand.log.verify import verify
from sparehand.shop.forgetting import forget

JOB, EVENTS = "261125-k7qm", 400
TIMES = bundled("procedures") / "engine-mounts.times.csv"
NOBODY = 65_534

Command = Callable[[Path], object]


def prepared(folder: Path) -> Path:
    """A data folder with a closed job, an export and a backup of another bench's log, and an older log."""
    log = SqliteEventStore(folder / "log.sqlite")
    log.append(JOB, 0, (*long_job(JOB, EVENTS), *recorded(JOB, EVENTS, closing())))
    import_times(TIMES, log)
    log.close()
    other = SqliteEventStore(folder / "other" / "log.sqlite")
    other.append(OTHER, 0, (*long_job(OTHER, EVENTS), *recorded(OTHER, EVENTS, closing())))
    export_log(other, folder / "other.jsonl")
    other.close()
    backup(folder / "other", folder / "other.zip", MORNING)
    with sqlite3.connect(folder / "log.sqlite") as older:
        older.execute("ALTER TABLE people DROP COLUMN forgotten")
        older.execute("PRAGMA user_version = 5")
    older.close()
    return folder


def opened(folder: Path) -> SqliteEventStore:
    return SqliteEventStore(folder / "log.sqlite")


def appends(folder: Path) -> None:
    store = opened(folder)
    for place in range(20):
        told = long_job("261127-c3cc", place + 1)[-1]
        store.append("261127-c3cc", place, [told])


COMMANDS: dict[str, Command] = {
    "migration": opened,
    "recording": appends,
    "log import": lambda folder: import_log(folder / "other.jsonl", opened(folder)),
    "times import": lambda folder: import_times(TIMES, opened(folder)),
    "log tidy": lambda folder: blank_customer(opened(folder), JOB),
    "person forget": lambda folder: forget(opened(folder), "Ida Demo"),
    "log export": lambda folder: export_log(opened(folder), folder / "out.jsonl"),
    "log backup": lambda folder: backup(folder, folder / "out.zip", MORNING),
    "log restore": lambda folder: restore(folder / "other.zip", folder / "restored"),
    "log rescue": lambda folder: rescue(folder / "log.sqlite", folder / "rescued.sqlite"),
    "log verify": lambda folder: verify(opened(folder)),
}


def limited(limit: Callable[[], None], command: Command, folder: Path) -> None:
    limit()
    command(folder)


def whole(folder: Path) -> bool:
    """Whether the log has every event that it had, and verifies; the same of a log that was restored beside it."""
    logs = [folder / "log.sqlite", *(path for path in (folder / "restored" / "log.sqlite",) if path.exists())]
    for place, path in enumerate(logs):
        store = SqliteEventStore(path)
        sound = all(verdict.sound for verdict in verify(store))
        there = len(store.events(JOB if place == 0 else OTHER)) == EVENTS + 1
        store.close()
        if not (sound and there):
            return False
    return True


def log_faults(trials: int, draw: random.Random) -> None:
    """A bench killed, power cuts, full disks (a tenth as often), damage; each trial requires that events are whole."""
    print(
        "| fault | trials | answered events | lost | detected | harmless | silent | rescued |\n| --- |" + " ---: |" * 7
    )
    with scratch_folder() as scratch:
        damages = {}
        for kind, settled in (("all in the database", True), ("some in the write-ahead file", False)):
            (scratch / kind).mkdir()
            sound = faults.sound_log(scratch / kind, settled)
            damages[f"damaged, {kind}"] = partial(_damage, sound, draw)
        kinds: dict[str, Callable[[Path], faults.Tally]] = {
            "killed at a named point": lambda at: faults.killed_and_resumed(
                at, draw.choice(POINTS), draw.randint(1, 10)
            ),
            "killed while speaking": lambda at: faults.killed_and_resumed(at, None, draw.randint(1, 10), True),
            "killed from outside": lambda at: faults.killed_and_resumed(at, None, draw.randint(1, 10)),
            "killed while a memo is kept": lambda at: faults.killed_while_keeping(
                at, draw.choice((*MEMO_POINTS, *POINTS)), draw.randint(1, 10)
            ),
            "power cut, writes lost or torn": lambda at: faults.power_cut(at, draw.randint(1, 20), draw),
            "full disk": lambda at: faults.full_disk(at, draw.randint(0, 200_000)),
            **damages,
        }
        for name, trial in kinds.items():
            _tally(name, trials if name != "full disk" else max(1, trials // 10), trial)


def _damage(sound: faults.SoundLog, draw: random.Random, folder: Path) -> faults.Tally:
    return faults.damaged(sound, folder / "damaged", draw)


def _tally(name: str, trials: int, trial: Callable[[Path], faults.Tally]) -> None:
    total = faults.Tally()
    for _ in range(trials):
        with scratch_folder() as folder:
            total += trial(folder)
    assert total.answered_lost == total.silent == 0, f"{name}: {total}"
    counts = (total.answered, total.answered_lost, total.detected, total.harmless, total.silent, total.rescued)
    print(f"| {name} | {trials:,} | {' | '.join(f'{count:,}' for count in counts)} |", flush=True)


def kills(trials: int, draw: random.Random) -> None:
    """Each command killed at a moment drawn from the time that it takes."""
    with scratch_folder() as scratch:
        sound = prepared(scratch / "sound")
        for name, command in COMMANDS.items():
            folder = shutil.copytree(sound, scratch / "timed")
            started = time.perf_counter()
            in_a_child(partial(command, folder))
            took = time.perf_counter() - started
            shutil.rmtree(folder)
            survived = 0
            for _ in range(trials):
                folder = shutil.copytree(sound, scratch / "killed")
                in_a_child(partial(command, folder), draw.random() * took)
                survived += whole(folder)
                shutil.rmtree(folder)
            row(f"killed during {name}", trials, survived)


def limits(draw: random.Random, trials: int) -> None:
    """Each command with no room for files, few descriptors, or no rights in the folder."""

    def limit_size() -> None:
        signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
        size = draw.randint(0, 400_000)
        resource.setrlimit(resource.RLIMIT_FSIZE, (size, resource.RLIM_INFINITY))

    def limit_descriptors() -> None:
        few = len(list(Path("/proc/self/fd").iterdir())) + draw.randint(0, 6)
        resource.setrlimit(resource.RLIMIT_NOFILE, (few, few))

    def another_user() -> None:
        os.seteuid(NOBODY)

    kinds = {"no room": limit_size, "few descriptors": limit_descriptors, "another user's folder": another_user}
    with scratch_folder() as scratch:
        sound = prepared(scratch / "sound")
        for kind, limit in kinds.items():
            survived = tried = 0
            for command in COMMANDS.values():
                for _ in range(max(1, trials // 10)):
                    folder = shutil.copytree(sound, scratch / "faulty")
                    status = in_a_child(partial(limited, limit, command, folder))
                    survived += status in (0, 1) and whole(folder)
                    tried += 1
                    shutil.rmtree(folder)
            row(kind, tried, survived)


def hostile_bytes(trials: int, draw: random.Random) -> None:
    """Changed samples for every parser; whatever is not taken is refused in one line, or the run ends here."""
    print("| input | taken | refused in one line |\n| --- | ---: | ---: |")
    for name, parser in PARSERS.items():
        sample = parser.sample()
        taken = 0
        for _ in range(trials):
            how = ("insert", "replace", "cut", "double", "flip")
            what = [
                (draw.choice(how), draw.randint(0, 10_000), draw.choice(INSERTED)) for _ in range(draw.randint(1, 4))
            ]
            taken += one_line_or_taken(parser, changed(sample, what))
        print(f"| {name} | {taken:,} | {trials - taken:,} |", flush=True)


def main(trials: int = 50, seed: int = 2026) -> None:
    """All of it."""
    draw = random.Random(seed)
    log_faults(trials, draw)
    print("| fault | tried | survived |\n| --- | ---: | ---: |")
    kills(trials, draw)
    limits(draw, trials)
    floods()
    with running_server() as server:
        peers(server)
        share_kills(server, trials, draw)
    hostile_bytes(20 * trials, draw)


if __name__ == "__main__":
    main(*(int(text) for text in sys.argv[1:]))
