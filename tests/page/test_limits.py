"""A flood of the page: connections beyond a limit are ended, unfinished requests do not stay, the page answers."""

from __future__ import annotations

import resource
import socket
from collections.abc import Iterator
from contextlib import ExitStack

import pytest

from page.test_page import Served
from sparehand.page import limits, request_body
from sparehand.page.limits import MOST_OF_ONE_ADDRESS

PATIENCE_SECONDS = 30.0


@pytest.fixture
def short_of_patience(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(limits, "HEADER_SECONDS", 0.2)
    monkeypatch.setattr(request_body, "BODY_SECONDS", 0.2)


@pytest.fixture
def served() -> Iterator[Served]:
    with ExitStack() as closing:
        yield Served(closing, needs_code=False)


def connected(served: Served) -> socket.socket:
    host, _, port = served.host.partition(":")
    return socket.create_connection((host, int(port)), timeout=PATIENCE_SECONDS)


def ended(connection: socket.socket) -> bool:
    """Waits until the page ends a connection that never asked for anything."""
    try:
        return connection.recv(1) == b""
    except ConnectionResetError:
        return True


def test_a_flood_of_connections_leaves_the_bench_its_descriptors(served: Served) -> None:
    soft, hard = resource.getrlimit(resource.RLIMIT_NOFILE)
    resource.setrlimit(resource.RLIMIT_NOFILE, (min(hard, max(soft, 4096)), hard))
    flood = [connected(served) for _ in range(600)]
    # The last connection is answered after all before it: by then every one was taken.
    assert ended(flood[-1])
    assert all(ended(one) for one in flood)
    for one in flood:
        one.close()
    assert served.ask("/").status == 200


def test_one_address_has_no_more_than_its_share_and_others_theirs(served: Served) -> None:
    asking = [connected(served) for _ in range(MOST_OF_ONE_ADDRESS + 1)]
    request = f"GET /glances HTTP/1.1\r\nHost: {served.host}\r\n\r\n".encode()
    for one in asking:
        one.sendall(request)
    answered = [one.recv(12) for one in asking[:-1]]
    assert answered == [b"HTTP/1.1 200"] * MOST_OF_ONE_ADDRESS
    assert ended(asking[-1])
    with socket.create_connection(asking[0].getpeername(), source_address=("127.0.0.2", 0)) as other:
        other.sendall(request)
        assert other.recv(12) == b"HTTP/1.1 200"
    for one in asking:
        one.close()


@pytest.mark.usefixtures("short_of_patience")
@pytest.mark.parametrize("sent", [b"", b"GET / HT", b"GET / HTTP/1.1\r\nHost: 127.0.0.1\r\nX: "])
def test_a_request_that_is_never_finished_does_not_stay(served: Served, sent: bytes) -> None:
    with connected(served) as connection:
        connection.sendall(sent)
        assert ended(connection)


@pytest.mark.usefixtures("short_of_patience")
def test_a_head_that_dribbles_does_not_stay(served: Served) -> None:
    with connected(served) as connection:
        connection.settimeout(0.05)
        connection.sendall(b"GET / HTTP/1.1\r\n")
        assert not all(dribbled(connection) for _ in range(600))


def dribbled(connection: socket.socket) -> bool:
    """Whether one more byte of a head was taken, and the connection is still open."""
    try:
        connection.sendall(b"X")
        return connection.recv(1) != b""
    except TimeoutError:
        return True
    except OSError:
        return False


@pytest.mark.usefixtures("short_of_patience")
def test_a_body_that_never_comes_is_answered_all_the_same(served: Served) -> None:
    with connected(served) as connection:
        head = f"POST /say HTTP/1.1\r\nHost: {served.host}\r\nOrigin: http://{served.host}\r\nContent-Length: 4\r\n\r\n"
        connection.sendall(head.encode() + b"ne")
        assert connection.recv(12) == b"HTTP/1.1 400"
    assert served.pressed == []
