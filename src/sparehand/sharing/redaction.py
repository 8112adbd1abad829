"""What a shop may keep to itself: names of technicians, and what tells a customer's vehicle from others."""

from __future__ import annotations

import hashlib
import hmac
import secrets
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from sparehand.ground.errors import FailureError
from sparehand.log.customer import CUSTOMER_KINDS, without_customer
from sparehand.log.durable import write_durably
from sparehand.sharing.text_encoding import written_name

Withheld = Literal["names", "vehicles", "nothing"]

KEY_FILE = "pseudonyms.key"


@dataclass(frozen=True)
class Redaction:
    """What is withheld from the shared database.

    With names withheld `key` makes the pseudonyms: a name has the same one wherever that key is, and nobody without
    the key can tell or try out who is meant.
    """

    names: bool = False
    vehicles: bool = False
    key: bytes = b""

    def name(self, name: str | None) -> str | None:
        """What is sent for a technician's name; a name that was blanked stays blank."""
        if name is None:
            return None
        return pseudonym(name, self.key) if self.names else written_name(name)

    def body(self, kind: str, body: str) -> str:
        """What is sent for an event's written form: where vehicles are withheld, no customer or registration field."""
        return without_customer(body) if self.vehicles and kind in CUSTOMER_KINDS else body


def pseudonym(name: str, key: bytes) -> str:
    """A name's pseudonym: HMAC-SHA-256 (RFC 2104, FIPS 180-4) of it, the first 48 bits."""
    return f"technician {hmac.new(key, name.encode(), hashlib.sha256).hexdigest()[:12]}"


def pseudonym_key(folder: Path) -> bytes:
    """The key of a data folder, made when first asked for. Raises FailureError where it cannot be read or written.

    A shop's benches hold the same key when the file is copied from one to the others.
    """
    path = folder / KEY_FILE
    try:
        if not path.exists():
            write_durably(path, secrets.token_hex(32).encode())
            path.chmod(0o600)
        return bytes.fromhex(path.read_text(encoding="ascii").strip())
    except (OSError, ValueError) as error:
        raise FailureError(f"{path} cannot be read as a key ({error}); copy it again from another bench") from error
