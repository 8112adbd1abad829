"""The whole `work` for as long as it is asked to: typed at, its page read, its log shared with a database that fails.

`PYTHONPATH=tests python tests/bench/soak.py [MINUTES]`. It prints a row a minute: phrases said, pages read, how
often the database was killed, memory and open files of `work`. At the end the log verifies, and all of it is in the
database. Nothing is heard or spoken here: sound is tried by `tests/voice/sound/test_real_devices.py`.
"""

from __future__ import annotations

import random
import socket
import subprocess
import sys
import time
import urllib.request
from contextlib import suppress
from pathlib import Path

import psutil

from log.faults import scratch_folder
from sharing.server import Server, running_server
from sparehand.log.sqlite import SqliteEventStore
from sparehand.log.verify import verify
from sparehand.settings import set_value
from sparehand.sharing.database import SharedDatabase
from sparehand.sharing.database_address import read_address
from sparehand.sharing.database_schema import admit, set_up
from sparehand.voice.phrases.phrase_file import load_phrases

PROGRAM = (sys.executable, "-m", "sparehand")
WORK = ("engine-mounts", "--operations", "torque-arm", "--sides", "left", "--ears", "keyboard", "--mute")
ENDS = ("park", "close", "finish", "sign off", "another job", "switch", "go home", "end of day", "hand over")
"""Phrases with these words end or change the job, and are not said before the end."""
TALK = (b"pass me the big one", b"\xff\xfe\x00", b"\x1b[2J", b"", b"9" * 5_000, "\u202eolleh".encode())
SECONDS_A_PHRASE, SECONDS_A_DATABASE = 0.25, 20


class Bench:
    """`work` as it runs, with what it was told."""

    def __init__(self, folder: Path, port: int, url: str) -> None:
        data = ("--data", str(folder))
        self.output = (folder / "output").open("wb")
        command = (*PROGRAM, "work", *WORK, "--page", str(port), *data)
        self.work = subprocess.Popen(command, stdin=subprocess.PIPE, stdout=self.output, stderr=self.output)
        share = (*PROGRAM, "share", url, "--watch", *data)
        self.share = subprocess.Popen(share, stdout=self.output, stderr=self.output)
        self.page = f"http://127.0.0.1:{port}/"
        self.said = self.read = 0

    def says(self, line: bytes) -> None:
        """Type a line."""
        assert self.work.stdin is not None
        self.work.stdin.write(line.replace(b"\n", b" ") + b"\n")
        self.work.stdin.flush()
        self.said += 1

    def looks(self) -> None:
        """Read the page."""
        with urllib.request.urlopen(self.page, timeout=20) as answer:  # noqa: S310 our own page
            self.read += answer.status == 200

    def row(self, minute: int, away: int) -> None:
        """Print how it stands."""
        process = psutil.Process(self.work.pid)
        memory = process.memory_info().rss // 1_000_000
        print(f"| {minute} | {self.said:,} | {self.read} | {away} | {memory} | {process.num_fds()} |", flush=True)

    def ends(self) -> int:
        """Park the job; gives the exit code of `work`."""
        with suppress(BrokenPipeError):
            self.says(b"park the job")
            self.says(b"yes confirm")
        self.work.communicate()
        self.share.terminate()
        self.share.wait()
        return self.work.wait()


def soak(bench: Bench, server: Server, minutes: float, draw: random.Random) -> None:
    """Say, look, and take the database away and bring it back, until the time is over."""
    texts = [pattern.phrase for pattern in load_phrases().patterns if "{" not in pattern.phrase]
    texts = [text for text in texts if not any(word in text for word in ENDS)]
    started, row, away, there = time.monotonic(), 1, 0, True
    while bench.work.poll() is None and (passed := time.monotonic() - started) < 60 * minutes:
        bench.says(draw.choice(TALK) if draw.random() < 0.1 else draw.choice(texts).encode())
        if bench.said % 20 == 0:
            bench.looks()
        if there == (passed // SECONDS_A_DATABASE % 2 == 1):
            there = not there
            server.start() if there else server.kill()
            away += not there
        if passed >= 60 * row:
            bench.row(row, away)
            row += 1
        time.sleep(SECONDS_A_PHRASE)
    if not there:
        server.start()


def main(minutes: float = 120) -> None:
    """One soak."""
    with running_server() as server, scratch_folder() as folder:
        server.tell("postgres", "CREATE DATABASE shop", "CREATE ROLE bay_one LOGIN")
        database = SharedDatabase(read_address(server.url("shop")))
        set_up(database)
        admit(database, "bay_one", "Demo Shop")
        database.close()
        with socket.create_server(("127.0.0.1", 0)) as free:
            port = int(free.getsockname()[1])
        set_value(folder, "technician", "Ada Brook")
        url = server.url("shop", "bay_one")
        bench = Bench(folder, port, url)
        time.sleep(10)
        print("| minute | said | pages read | database killed | memory, MB | open files |\n|" + " ---: |" * 6)
        soak(bench, server, minutes, random.Random(2026))
        code = bench.ends()
        subprocess.run((*PROGRAM, "share", url, "--data", str(folder)), check=True)
        store = SqliteEventStore(folder / "log.sqlite")
        (job,) = store.jobs()
        sound = all(verdict.sound for verdict in verify(store))
        events = len(store.events(job.id))
        ((shared,),) = server.tell("shop", "SELECT count(*) FROM sparehand.events")
        output = (folder / "output").read_bytes()
        if code != 0:
            print(output.decode(errors="replace")[-2_000:])
        trace = b"Traceback" in output
        print(f"exit code {code}, {events} events, {shared} in the database, sound: {sound}, traceback: {trace}")


if __name__ == "__main__":
    main(*(float(text) for text in sys.argv[1:2]))
