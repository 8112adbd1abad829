"""Where the page is served: an address of this machine and a port."""

from __future__ import annotations

import ipaddress
import socket
from dataclasses import dataclass

from sparehand.ground.errors import InputError

LOOPBACK = "127.0.0.1"
_ANYWHERE_4, _ANYWHERE_6 = ("192.0.2.1", 9), ("2001:db8::1", 9)
"""Addresses of the blocks that RFC 5737 and RFC 3849 keep for documentation: nobody is there."""


@dataclass(frozen=True)
class Address:
    """An IP address of this machine and a port; port 0 lets the system choose."""

    host: str
    port: int

    @property
    def loopback(self) -> bool:
        """Whether only this machine can reach it."""
        return ipaddress.ip_address(self.host).is_loopback

    def url(self, port: int) -> str:
        """What to open in a browser, at the port that was really taken."""
        host = _way_out(self.host) if ipaddress.ip_address(self.host).is_unspecified else self.host
        return f"http://{f'[{host}]' if ':' in host else host}:{port}/"


def parse_address(given: str) -> Address:
    """The address of `PORT` (this machine alone) or `ADDRESS:PORT`. Raises InputError for anything else."""
    host, _, port = given.rpartition(":")
    host = host.strip("[]") or LOOPBACK
    if host == "localhost":
        host = LOOPBACK
    try:
        ipaddress.ip_address(host)
        number = int(port)
    except ValueError as error:
        raise InputError(f"--page {given}: give a port such as 8760, or an IP address and port") from error
    if not 0 <= number <= 65535:
        raise InputError(f"--page {given}: a port lies between 0 and 65535")
    return Address(host, number)


def _way_out(unspecified: str) -> str:
    """The address by which others reach this machine, where it serves on all of them; nothing is sent for this."""
    six = ":" in unspecified
    with socket.socket(socket.AF_INET6 if six else socket.AF_INET, socket.SOCK_DGRAM) as route:
        try:
            route.connect(_ANYWHERE_6 if six else _ANYWHERE_4)
        except OSError:
            return unspecified
        return str(route.getsockname()[0])


def names_a_number(host: str) -> bool:
    """Whether a Host header names this machine by number or as localhost.

    A name could be any site's that was made to point here after its page was loaded.
    """
    name = host.rpartition(":")[0] if not host.endswith("]") and ":" in host else host
    if name == "localhost":
        return True
    try:
        ipaddress.ip_address(name.strip("[]"))
    except ValueError:
        return False
    return True
