"""The desk's pages over the network: nobody without the code, nothing from another site, nothing endless."""

from __future__ import annotations

import http.client
from collections.abc import Iterator
from contextlib import ExitStack

import pytest

from sparehand.page.desk_routes import LONGEST_FIELD, DeskRequest
from sparehand.page.page_address import Address
from sparehand.page.page_app import desk_app, page_app
from sparehand.page.page_state import PageView
from sparehand.page.pairing import Pairing
from sparehand.page.server import PageServer

FORM = {"Content-Type": "application/x-www-form-urlencoded"}


class Desk:
    """A desk on this machine whose pages say what was asked for."""

    def __init__(self, closing: ExitStack, *, needs_code: bool, beside: bool) -> None:
        self.asked: list[DeskRequest] = []
        self.pairing = Pairing(needs_code)
        view = PageView()
        alone = desk_app(self.pairing, self._make)
        app = page_app(view, self.pairing, lambda _: None, self._make) if beside else alone
        server = PageServer(app, Address("127.0.0.1", 0))
        self.host = f"127.0.0.1:{server.port}"
        closing.callback(server.close)
        closing.callback(view.close)

    def _make(self, asked: DeskRequest) -> tuple[int, str]:
        self.asked.append(asked)
        return (303, "/desk/estimates?id=x") if asked.make else (200, "made")

    def ask(self, path: str, body: str | None = None, **headers: str) -> http.client.HTTPResponse:
        connection = http.client.HTTPConnection(self.host, timeout=20)
        origin = {"Origin": f"http://{self.host}"} if body is not None else {}
        connection.request("GET" if body is None else "POST", path, body, {**origin, **headers})
        return connection.getresponse()


@pytest.fixture(params=[True, False], ids=["beside the bay page", "alone"])
def beside(request: pytest.FixtureRequest) -> bool:
    return bool(request.param)


@pytest.fixture
def desk(beside: bool) -> Iterator[Desk]:
    with ExitStack() as closing:
        yield Desk(closing, needs_code=False, beside=beside)


@pytest.fixture
def guarded(beside: bool) -> Iterator[Desk]:
    with ExitStack() as closing:
        yield Desk(closing, needs_code=True, beside=beside)


def test_a_page_is_passed_on_with_its_fields(desk: Desk) -> None:
    answer = desk.ask("/desk/estimates?month=2026-10&x=" + "y" * 1_000)
    assert (answer.status, answer.read()) == (200, b"made")
    (asked,) = desk.asked
    assert (asked.page, asked.fields["month"], asked.make) == ("estimates", "2026-10", False)
    assert len(asked.fields["x"]) == LONGEST_FIELD
    assert desk.ask("/desk").getheader("location") == "/desk/today"
    assert "'unsafe-inline'" not in str(answer.getheader("content-security-policy")).partition("style-src")[0]
    assert desk.ask("/desk.css").status == 200


def test_without_the_code_there_is_no_page_and_with_it_there_is(guarded: Desk) -> None:
    assert guarded.ask("/desk/today").status == 303
    assert guarded.ask("/desk/estimates", "work=x", **FORM).getheader("location") == "/"
    assert guarded.asked == []
    assert b"eight digits" in guarded.ask("/").read()
    paired = guarded.ask("/pair", guarded.pairing.code)
    cookie = str(paired.getheader("set-cookie")).partition(";")[0]
    assert guarded.ask("/desk/today", Cookie=cookie).status == 200


def test_a_form_is_taken_from_the_page_itself_alone(desk: Desk) -> None:
    assert desk.ask("/desk/estimates", "work=x&plate=DEMO+42", **FORM).status == 303
    assert desk.asked[0].make
    assert desk.asked[0].fields == {"work": "x", "plate": "DEMO 42"}
    assert desk.ask("/desk/estimates", "work=x", **{**FORM, "Origin": "http://other.example"}).status == 403
    assert desk.ask("/desk/today", Host="other.example").status == 403
    assert len(desk.asked) == 1


def test_a_form_that_is_too_long_or_has_too_many_fields_brings_none(desk: Desk) -> None:
    desk.ask("/desk/estimates", "work=" + "x" * 20_000, **FORM)
    desk.ask("/desk/estimates", "&".join(f"f{number}=x" for number in range(50)), **FORM)
    assert [asked.fields for asked in desk.asked] == [{}, {}]
