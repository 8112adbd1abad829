"""How this data folder stands with the databases it shares with: which copy it is, and what it last sent.

It lies in a file of its own, so that sharing never holds the log's lock while a job is recorded.
"""

from __future__ import annotations

import json
import secrets
from collections.abc import Iterable
from dataclasses import asdict, dataclass, replace
from pathlib import Path

from sparehand.ground.bounds import read_json
from sparehand.ground.errors import FailureError
from sparehand.log.durable import write_durably

FOLDER = "shared"
"""What all that sharing keeps is called within the data folder."""
_FILE = "standing.json"


@dataclass(frozen=True)
class SyncState:
    """One installation towards one database.

    Each push carries a token that is written down here before it is sent. The database's last token is therefore the
    `confirmed` or the `intended` one, unless another copy of this folder has sent in between.
    """

    installation: str
    confirmed: str = ""
    intended: str = ""

    @property
    def tokens(self) -> tuple[str, str]:
        """What the database's last token may be."""
        return self.confirmed, self.intended

    def intending(self) -> SyncState:
        """As it stands when the next push is about to be sent."""
        return replace(self, intended=secrets.token_hex(8))

    def having(self, token: str) -> SyncState:
        """As it stands when the database is known to have `token` last."""
        return replace(self, confirmed=token)


def new_sync_state() -> SyncState:
    """An installation that has never shared."""
    return SyncState(secrets.token_hex(6))


class SyncStates:
    """The states of a data folder, by the name of the database, and what this folder withholds from all of them."""

    def __init__(self, folder: Path) -> None:
        self._path = folder / FOLDER / _FILE

    def of(self, database: str) -> SyncState | None:
        """How it stands with that database, None where it has never shared with it. Raises FailureError for damage."""
        told = self._read("databases").get(database)
        if told is None:
            return None
        try:
            return SyncState(**{key: str(value) for key, value in told.items()})
        except (TypeError, AttributeError) as error:
            raise self._damaged() from error

    def write(self, database: str, state: SyncState) -> None:
        """Write it down, durable on return. Raises FailureError where that cannot be done."""
        self._write("databases", self._read("databases") | {database: asdict(state)})

    def withheld(self) -> frozenset[str]:
        """What was last said to be withheld."""
        return frozenset(self._read("withheld"))

    def withhold(self, withheld: Iterable[str]) -> None:
        """Remember what is withheld from now on."""
        self._write("withheld", {each: {} for each in sorted(withheld)})

    def _read(self, part: str) -> dict[str, dict[str, str]]:
        try:
            told = read_json(self._path.read_text(encoding="utf-8")).get(part, {})
            return dict(told.items())
        except FileNotFoundError:
            return {}
        except (OSError, ValueError, AttributeError) as error:
            raise self._damaged() from error

    def _damaged(self) -> FailureError:
        return FailureError(f"{self._path} is damaged or cannot be read; remove it and share once with --take-over")

    def _write(self, part: str, told: dict[str, dict[str, str]]) -> None:
        whole = {each: self._read(each) for each in ("databases", "withheld")} | {part: told}
        try:
            self._path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
            write_durably(self._path, json.dumps(whole, indent=1, sort_keys=True).encode())
        except OSError as error:
            raise FailureError(f"{self._path} cannot be written ({error.strerror}); nothing was sent") from error
