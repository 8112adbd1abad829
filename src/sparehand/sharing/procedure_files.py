"""The shop's own procedures on every bench: files installed on one come to all.

A file that a bench has installed itself comes first there; one that was fetched lies apart from those.
"""

from __future__ import annotations

import hashlib
import re
from pathlib import Path

from sparehand.ground.errors import FailureError, InputError
from sparehand.log.durable import write_durably
from sparehand.procedures.library import installed_folder, shared_folder
from sparehand.procedures.load import load_procedure
from sparehand.sharing.admission import SetAside
from sparehand.sharing.database import SharedDatabase
from sparehand.sharing.shared_pictures import has_file, pull_pictures, push_pictures
from sparehand.sharing.shop_copy import ShopCopy

_ID = re.compile(r"[a-z][a-z0-9]*(-[a-z0-9]+)*", re.ASCII)


def push_procedures(database: SharedDatabase, folder: Path, bench: str, installation: str) -> int:
    """Send the sound procedure files installed in a data folder, and their pictures; gives how many files are new."""
    sent = 0
    for path in sorted(installed_folder(folder).glob("*.yaml")):
        if not _ID.fullmatch(path.stem) or _unsound(path):
            continue
        try:
            text = path.read_bytes()
        except OSError as error:
            raise FailureError(f"{path} cannot be read ({error.strerror}); mend or remove it") from error
        with database.transaction() as connection:
            sent += connection.exec_driver_sql(
                "INSERT INTO sparehand.procedures (shop, sha256, procedure, body, bench, installation) "
                "VALUES (sparehand.my_shop(), %s, %s, %s, %s, %s) ON CONFLICT DO NOTHING",
                (hashlib.sha256(text).hexdigest(), path.stem, text.decode(), bench, installation),
            ).rowcount
        push_pictures(database, path, bench, installation)
    return sent


def pull_procedures(database: SharedDatabase, folder: Path, copy: ShopCopy) -> int:
    """Fetch the last file of each procedure of the shop, and its pictures; gives how many files were new or changed.

    One that is not sound is set aside in `copy`, and the file that was fetched before it stays.
    """
    target = shared_folder(folder)
    aside = {one.row for one in copy.set_aside()}
    taken = 0
    for path in sorted(target.glob("*.yaml")):
        if _unsound(path):  # fetched by an earlier version
            path.unlink(missing_ok=True)
    with database.transaction() as connection:
        latest = connection.exec_driver_sql(
            "SELECT DISTINCT ON (procedure) procedure, sha256, bench FROM sparehand.procedures "
            "ORDER BY procedure, place DESC"
        ).all()
    for procedure, sha256, bench in latest:
        path, row = target / f"{procedure}.yaml", f"procedure/{sha256}"
        if row in aside or (_ID.fullmatch(procedure) and has_file(path, sha256)):
            continue
        with database.transaction() as connection:
            query = "SELECT body FROM sparehand.procedures WHERE sha256 = %s"
            body = str(connection.exec_driver_sql(query, (sha256,)).scalar_one())
        try:
            wrong = _put(path, body.encode(), sha256) if _ID.fullmatch(procedure) else "has a name that is none"
        except OSError as error:
            raise FailureError(f"{path} cannot be written ({error.strerror}); mend its permissions") from error
        if wrong:
            copy.list_aside([SetAside(row, bench, wrong)])
        taken += not wrong
    pull_pictures(database, folder, copy)
    return taken


def _put(path: Path, body: bytes, sha256: str) -> str:
    """Put a file that is sound in its place; gives what is wrong with another."""
    if hashlib.sha256(body).hexdigest() != sha256:
        return "is not the file that it says it is"
    path.parent.mkdir(parents=True, exist_ok=True)
    tried = path.with_suffix(".tried")
    try:
        tried.write_bytes(body)
        wrong = _unsound(tried, path.stem)
    finally:
        tried.unlink(missing_ok=True)
    if not wrong:
        write_durably(path, body)
    return wrong


def _unsound(path: Path, id: str | None = None) -> str:
    """Why a file is no procedure, or not that of its name; nothing where it is."""
    try:
        found = load_procedure(path).procedure.id
    except InputError as error:
        return str(error).removeprefix(f"{path}").lstrip(":, ")
    wanted = id or path.stem
    return "" if found == wanted else f"holds the procedure {found}, not {wanted}"
