"""The shop's own procedures on every bench: files installed on one come to all.

A file that a bench has installed itself comes first there; one that was fetched lies apart from those.
"""

from __future__ import annotations

import hashlib
import re
from pathlib import Path

from sparehand.ground.errors import FailureError
from sparehand.log.durable import write_durably
from sparehand.procedures.library import installed_folder, shared_folder
from sparehand.sharing.database import SharedDatabase

_ID = re.compile(r"[a-z][a-z0-9]*(-[a-z0-9]+)*", re.ASCII)


def push_procedures(database: SharedDatabase, folder: Path, bench: str) -> int:
    """Send the procedure files installed in a data folder; gives how many are new in the database."""
    sent = 0
    for path in sorted(installed_folder(folder).glob("*.yaml")):
        if not _ID.fullmatch(path.stem):
            continue
        try:
            text = path.read_bytes()
            body = text.decode().replace("\0", "")
        except (OSError, UnicodeDecodeError) as error:
            raise FailureError(f"{path} cannot be read ({error}); mend or remove it") from error
        with database.transaction() as connection:
            sent += connection.exec_driver_sql(
                "INSERT INTO sparehand.procedures (shop, sha256, procedure, body, bench) "
                "VALUES (sparehand.my_shop(), %s, %s, %s, %s) ON CONFLICT DO NOTHING",
                (hashlib.sha256(text).hexdigest(), path.stem, body, bench),
            ).rowcount
    return sent


def pull_procedures(database: SharedDatabase, folder: Path) -> int:
    """Fetch the last file of each procedure of the shop; gives how many were new or changed."""
    target = shared_folder(folder)
    with database.transaction() as connection:
        latest = connection.exec_driver_sql(
            "SELECT DISTINCT ON (procedure) procedure, sha256 FROM sparehand.procedures ORDER BY procedure, place DESC"
        ).all()
    taken = 0
    for procedure, sha256 in latest:
        path = target / f"{procedure}.yaml"
        if not _ID.fullmatch(procedure) or (path.exists() and hashlib.sha256(path.read_bytes()).hexdigest() == sha256):
            continue
        with database.transaction() as connection:
            body = connection.exec_driver_sql(
                "SELECT body FROM sparehand.procedures WHERE sha256 = %s", (sha256,)
            ).scalar_one()
        try:
            target.mkdir(parents=True, exist_ok=True)
            write_durably(path, str(body).encode())
        except OSError as error:
            raise FailureError(f"{path} cannot be written ({error.strerror}); mend its permissions") from error
        taken += 1
    return taken
