"""The whole `work` for as long as it is asked to: talked to by a microphone, while all that it leans on fails.

`PYTHONPATH=tests python tests/bench/soak.py [MINUTES]`. Its microphone is the monitor of a sound server's sink into
which synthetic talkers of several loudnesses speak; another sink has its answers. A paired device follows the page; the
database it shares with and the sound server are killed and started again, the devices taken away, its terminal
resized and typed at, its process stopped for a while. It prints what was said, heard, killed and measured; then the
log must hold every event that it held at any reading, verify, and be in the database whole.
"""

from __future__ import annotations

import os
import random
import socket
import subprocess
import sys
import time
from collections.abc import Callable, Generator, Iterator
from contextlib import ExitStack, contextmanager, suppress
from pathlib import Path

import soundfile

from bench.hearing.talk import sentences
from bench.hearing.voices import REPORTING
from bench.soak_bench import LiveBench, Mouth
from log.faults import scratch_folder
from sharing.server import Server, running_server
from sound_server import SoundServer, sound_server
from sparehand.ground.places import MODELS_FOLDER
from sparehand.job.events import Recorded
from sparehand.log.sqlite import SqliteEventStore
from sparehand.log.verify import verify
from sparehand.settings import set_value
from sparehand.sharing.database import SharedDatabase
from sparehand.sharing.database_address import read_address
from sparehand.sharing.database_schema import admit, set_up
from sparehand.voice.phrases.phrase_file import load_phrases

PROGRAM = (sys.executable, "-m", "sparehand")
WORK = (
    "engine-mounts", "--operations", "torque-arm", "--sides", "left", "--listen", "always", "--technician", "Ada Brook",
    "--vehicle", "demo hatchback", "--identification", "DEMO 1", "--complaint", "knocks",
)  # fmt: skip
LEFT_OUT = {"Park", "Close", "OtherJob", "StopListening", "VoiceOff", "PracticeOnly", "Hold"}
"""What ends the job, or makes it deaf or mute until it is called; a hold is said with the way back."""
TYPED = (b"what size", b"pass me the big one", b"\xff\xfe\x00", b"\x1b[2J", b"9" * 5_000, "\u202eolleh".encode())
BUTTONS = ("next", "mark done", "repeat", "undo", "warning understood")
LOUDNESS_DB = 4.0
COLUMNS = (
    "minute", "commands said", "heard", "as another", "answered aloud", "page messages", "desk pages",
    "database killed", "sound server killed", "devices away", "events", "memory, MB", "of its workers", "threads",
    "open files",
)  # fmt: skip
ANSWERED_SECONDS, QUIET_SECONDS, LONGEST_ANSWER_SECONDS = 6.0, 0.8, 40.0


class Soak:
    """One run: the bench, what it leans on, and the counts."""

    def __init__(
        self, folder: Path, sound: SoundServer, database: Server, url: str, draw: random.Random, port: int
    ) -> None:
        self._folder, self._sound, self._database, self._draw = folder, sound, database, draw
        self._port = port
        self._store = SqliteEventStore(folder / "log.sqlite")
        self._share = subprocess.Popen(
            (*PROGRAM, "share", url, "--watch", "--data", str(folder)),
            stdout=(folder / "share").open("wb"),
            stderr=subprocess.STDOUT,
        )
        self.bench = self._begins()
        self.mouth = Mouth(sound)
        self.said = self.heard = self.misheard = self.answered = self.asked = self.begun_again = 0
        self.killed = dict.fromkeys(("database", "sound server", "devices"), 0)
        self._events: tuple[Recorded, ...] = ()
        self._last = ""
        phrases = load_phrases().patterns
        fit = {one.phrase: one.command for one in phrases if "{" not in one.phrase and "working" in one.situations}
        self._commands = [phrase for phrase, command in fit.items() if command not in LEFT_OUT]
        self._holds = [phrase for phrase, command in fit.items() if command == "Hold"]

    def _begins(self) -> LiveBench:
        there = [job.id for job in self._store.jobs() if job.open]
        command = ("resume", there[0], "--listen", "always") if there else ("work", *WORK)
        return LiveBench((*PROGRAM, *command), self._folder, self._sound, self._port)

    def says(self, text: str, command: bool = True) -> None:
        """Aloud, once the bench is quiet, or over its voice; then see what was heard and answered."""
        if self._draw.random() > 0.15:
            self._waits(LONGEST_ANSWER_SECONDS, lambda: time.monotonic() - self.mouth.sounded_at > QUIET_SECONDS)
        before, sounded = len(self.bench.page.heard), self.mouth.seconds
        file = self._folder / "said.wav"
        loudness = 10 ** (self._draw.gauss(0, LOUDNESS_DB) / 20)
        soundfile.write(file, self._draw.choice(REPORTING).says(text) * loudness, 16_000)
        with suppress(subprocess.CalledProcessError):
            self._sound.play(file)
        self.said += command
        self._waits(ANSWERED_SECONDS, lambda: len(self.bench.page.heard) > before and self.mouth.seconds > sounded)
        accepted = [heard for heard, accepted in self.bench.page.heard[before:] if accepted]
        self.heard += command and text in accepted
        self.misheard += any(heard != text for heard in accepted)
        self.answered += bool(accepted) and self.mouth.seconds > sounded

    def turn(self) -> None:
        """One exchange: a command and what it asks, a hold and the way back, talk, a memo, a typed line, a button."""
        kind = self._draw.random()
        if kind < 0.08:
            self.says(next(sentences(self._draw.randrange(10**6))), command=False)
        elif kind < 0.14:
            self.says(self._draw.choice(self._holds))
            self.says("back to work")
        elif kind < 0.19:
            self.bench.types(self._draw.choice(TYPED) + b"\n")
        elif kind < 0.24:
            with suppress(OSError):
                self.bench.page.ask("/say", self._draw.choice(BUTTONS))
        else:
            phrase = self._draw.choice([one for one in self._commands if one != self._last])
            self._last = phrase
            self.says(phrase)
            if phrase.startswith("keep a"):
                self.says("the second bolt was seized and came with heat", command=False)
                self.bench.types(b"\t")
            elif "?" in self.bench.page.told:
                self.says(self._draw.choice(("yes confirm", "no cancel")))

    def row(self, minute: str) -> None:
        """Print how it stands; what the log held once, it holds."""
        (job, *_) = self._store.jobs()
        events = self._store.events(job.id)
        assert events[: len(self._events)] == self._events, "an event was lost"
        self._events = events
        counts = (self.said, self.heard, self.misheard, self.answered, self.bench.page.messages, self.asked)
        memory = self.bench.measured() if self.bench.exit_code is None else ()
        told = (minute, *(f"{one:,}" for one in (*counts, *self.killed.values(), len(events), *memory)))
        print(f"| {' | '.join(told)} |", flush=True)

    def asks(self) -> None:
        """For a page of the desk."""
        with suppress(OSError):
            self.asked += self.bench.page.ask("/desk/today").status == 200

    def faults(self) -> Generator[None]:
        """What fails, one after another, until it is closed: then all of it is there again."""
        while True:
            with self._away("database", self._database.kill, self._database.start):
                yield
            self.asks()
            yield
            self.bench.resize(self._draw.randint(1, 60), self._draw.randint(1, 200))
            yield
            if self.killed["database"] % 4 == 1:
                with self._away("sound server", self._sound.kill, self._sound.start):
                    yield
            if self.killed["database"] % 4 == 3:
                self.killed["devices"] += 1
                with self._sound.without_devices():
                    yield
            if self.killed["database"] % 8 == 2:
                self.bench.stop_for(5)
            yield

    @contextmanager
    def _away(self, what: str, kill: Callable[[], None], start: Callable[[], None]) -> Iterator[None]:
        kill()
        self.killed[what] += 1
        try:
            yield
        finally:
            start()

    def looks_after(self) -> None:
        """A bench that ended is begun again, and that is counted."""
        if self.bench.exit_code is not None:
            print(f"it ended with {self.bench.exit_code}", flush=True)
            self.bench.page.close()
            self.bench = self._begins()
            self.begun_again += 1

    def ends(self, url: str) -> None:
        """All comes to rest; print what became of it."""
        code = self.bench.ends()
        self._share.terminate()
        self._share.wait()
        subprocess.run((*PROGRAM, "share", url, "--data", str(self._folder)), check=True)
        self.row("end")
        sound = all(verdict.sound for verdict in verify(self._store))
        ((shared,),) = self._database.tell("shop", "SELECT count(*) FROM sparehand.events")
        traces = sum((self._folder / name).read_bytes().count(b"Traceback") for name in ("screen", "share"))
        events = sum(len(self._store.events(job.id)) for job in self._store.jobs())
        print(
            f"exit code {code}, begun again {self.begun_again}, {events} events, {shared} in the database, "
            f"sound: {sound}, tracebacks: {traces}, "
            f"longest silence of the page {self.bench.page.longest_silence:.0f} s, page lost {self.bench.page.lost}"
        )

    def _waits(self, seconds: float, done: Callable[[], bool]) -> None:
        until = time.monotonic() + seconds
        while time.monotonic() < until and not done():
            time.sleep(0.1)


def prepared(folder: Path, database: Server) -> Path:
    """A data folder with the model and the voice of a technician, and a database that admits it."""
    folder.mkdir()
    (folder / MODELS_FOLDER).symlink_to(Path(os.environ["SPAREHAND_TEST_MODELS"]).resolve())
    set_value(folder, "technician", "Ada Brook")
    database.tell("postgres", "CREATE DATABASE shop", "CREATE ROLE bay_one LOGIN")
    shared = SharedDatabase(read_address(database.url("shop")))
    set_up(shared)
    admit(shared, "bay_one", "Demo Shop")
    shared.close()
    return folder


def main(minutes: float = 120, row_minutes: float = 5, fault_seconds: float = 25) -> None:
    """One soak."""
    with ExitStack() as closing:
        database = closing.enter_context(running_server())
        folder = closing.enter_context(scratch_folder())
        (folder / "sound").mkdir(mode=0o700)
        sound = closing.enter_context(sound_server(folder / "sound"))
        data = prepared(folder / "data", database)
        with socket.create_server(("127.0.0.1", 0)) as free:
            port = int(free.getsockname()[1])
        url = database.url("shop", "bay_one")
        soak = Soak(data, sound, database, url, random.Random(2026), port)
        print(f"| {' | '.join(COLUMNS)} |\n|{' ---: |' * len(COLUMNS)}", flush=True)
        started, rows, failed, faults = time.monotonic(), 1, 0.0, soak.faults()
        while (passed := time.monotonic() - started) < 60 * minutes:
            soak.looks_after()
            soak.turn()
            if passed - failed > fault_seconds:
                failed = passed
                next(faults)
            if passed >= 60 * row_minutes * rows:
                soak.row(f"{passed / 60:.0f}")
                rows += 1
        faults.close()
        soak.ends(url)


if __name__ == "__main__":
    main(*(float(text) for text in sys.argv[1:]))
