"""The pictures of the shop's own procedures on every bench, beside their files.

Sent is the clean copy, which tells no place. A picture is shared where it lies in a folder of its procedure's own name,
so that none can take the place of another procedure's.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from pathlib import Path

from sparehand.ground.errors import FailureError, InputError
from sparehand.ground.picture_cleaning import COPY_BYTES, clean_picture
from sparehand.log.durable import write_durably
from sparehand.procedures.library import shared_folder
from sparehand.procedures.load import load_procedure
from sparehand.procedures.picture_files import picture_copy
from sparehand.sharing.admission import SetAside
from sparehand.sharing.database import SharedDatabase, has_table
from sparehand.sharing.database_rules import MY_BENCH
from sparehand.sharing.shop_copy import ShopCopy

PICTURES_TABLE = f"""
CREATE TABLE procedure_pictures (
    shop text NOT NULL, procedure text NOT NULL CHECK (char_length(procedure) <= 60),
    path text NOT NULL CHECK (char_length(path) <= 120), sha256 text NOT NULL,
    place bigint GENERATED ALWAYS AS IDENTITY, body bytea NOT NULL, bench text NOT NULL, installation text NOT NULL,
    PRIMARY KEY (shop, procedure, path, sha256),
    CONSTRAINT in_bounds CHECK (octet_length(body) <= {COPY_BYTES} AND sha256 = encode(sha256(body), 'hex')));
ALTER TABLE procedure_pictures ENABLE ROW LEVEL SECURITY;
CREATE POLICY reads ON procedure_pictures FOR SELECT USING (shop = (SELECT my_shop()));
CREATE POLICY adds ON procedure_pictures FOR INSERT TO sparehand_bench WITH CHECK ({MY_BENCH});
GRANT SELECT, INSERT (shop, procedure, path, sha256, body, bench, installation) ON procedure_pictures
    TO sparehand_bench;
"""


def push_pictures(database: SharedDatabase, procedure: Path, bench: str, installation: str) -> None:
    """Send the pictures that a sound procedure file shows; one that is not there or is none is left out."""
    for path in _named(procedure):
        try:
            jpeg = picture_copy(procedure, path)
        except InputError:
            continue
        with database.transaction() as connection:
            if not has_table(connection, "procedure_pictures"):
                return
            connection.exec_driver_sql(
                "INSERT INTO sparehand.procedure_pictures (shop, procedure, path, sha256, body, bench, installation) "
                "VALUES (sparehand.my_shop(), %s, %s, %s, %s, %s, %s) ON CONFLICT DO NOTHING",
                (procedure.stem, path, hashlib.sha256(jpeg).hexdigest(), jpeg, bench, installation),
            )


def pull_pictures(database: SharedDatabase, folder: Path, copy: ShopCopy) -> None:
    """Fetch the last picture of each place that a fetched procedure names; what is none is set aside in `copy`."""
    files = sorted(shared_folder(folder).glob("*.yaml"))
    named = {(file.stem, path) for file in files for path in _named(file)}
    aside = {one.row for one in copy.set_aside()}
    with database.transaction() as connection:
        query = (
            "SELECT DISTINCT ON (procedure, path) procedure, path, sha256, bench FROM sparehand.procedure_pictures "
            "ORDER BY procedure, path, place DESC"
        )
        latest = connection.exec_driver_sql(query).all() if has_table(connection, "procedure_pictures") else []
    for procedure, path, sha256, bench in latest:
        target, row = shared_folder(folder) / path, f"picture/{sha256}"
        if (procedure, path) not in named or row in aside or has_file(target, sha256):
            continue
        with database.transaction() as connection:
            query = "SELECT body FROM sparehand.procedure_pictures WHERE procedure = %s AND path = %s AND sha256 = %s"
            body = bytes(connection.exec_driver_sql(query, (procedure, path, sha256)).scalar_one())
        try:
            clean_picture(body)
            target.parent.mkdir(parents=True, exist_ok=True)
            write_durably(target, body)
        except InputError as error:
            copy.list_aside([SetAside(row, bench, str(error))])
        except OSError as error:
            raise FailureError(f"{target} cannot be written ({error.strerror}); mend its permissions") from error


def _named(procedure: Path) -> Iterator[str]:
    """The pictures of a procedure file that are shared."""
    steps = (step for phase in load_procedure(procedure).procedure.phases for step in phase.steps)
    for path in dict.fromkeys(step.picture for step in steps):
        if path and path.startswith(f"{procedure.stem}/"):
            yield path


def has_file(path: Path, sha256: str) -> bool:
    """Whether a file is there and has that hash."""
    return path.is_file() and hashlib.sha256(path.read_bytes()).hexdigest() == sha256
