"""Where the shared database is, as a person types it; a password has no place in it."""

from __future__ import annotations

import os
from dataclasses import dataclass
from urllib.parse import parse_qsl, unquote, urlencode, urlsplit

from sparehand.ground.errors import InputError

_SCHEMES = ("postgresql", "postgres")
_SECRETS = ("password", "sslpassword", "oauth_client_secret")
_EXAMPLE = "postgresql://bay3@db.example/shop?sslmode=verify-full"
_HERE = ("", "localhost", "127.0.0.1", "::1")


@dataclass(frozen=True)
class Address:
    """The address of a PostgreSQL database, safe to show: it holds no password."""

    url: str
    place: str
    """Host and database, as they are told to a person."""


def read_address(given: str) -> Address:
    """The address in `given`; to a server elsewhere the connection is encrypted unless `sslmode` says otherwise.

    Raises InputError for what is none and for one with a password in it; neither message repeats what was given.
    """
    try:
        parts = urlsplit(given)
        host, options = parts.hostname or "", parse_qsl(parts.query, keep_blank_values=True)
    except ValueError as error:
        raise InputError(f"this is no address of a database; give one such as {_EXAMPLE}") from error
    if parts.password is not None or any(name in _SECRETS for name, _ in options):
        raise InputError(
            "a password in the address can be read by everyone on this machine: leave it out, put it into "
            "~/.pgpass or type it when asked, and change it now"
        )
    database = unquote(parts.path.removeprefix("/"))
    if parts.scheme not in _SCHEMES or not (database or "service" in dict(options)):
        raise InputError(f"this is no address of a database; give one such as {_EXAMPLE}")
    if not _says_how_to_encrypt(options) and host not in _HERE:
        options.append(("sslmode", "require"))
    url = parts._replace(scheme="postgresql", query=urlencode(options)).geturl()
    return Address(url, f"{database} at {host or 'this machine'}")


def _says_how_to_encrypt(options: list[tuple[str, str]]) -> bool:
    return "sslmode" in dict(options) or "service" in dict(options) or bool(os.environ.get("PGSSLMODE"))
