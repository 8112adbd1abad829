"""The bay page: it shows the glance, lets nobody in without the code, and no other site can drive it."""

from __future__ import annotations

import http.client
import json
import subprocess
from collections.abc import Iterator
from contextlib import ExitStack
from dataclasses import asdict
from pathlib import Path

import pytest

from job.table import demo_procedure, open_job
from screens.browser import QUIET, find_browser
from sparehand.ground.errors import InputError
from sparehand.job import commands as c
from sparehand.job.experience import Experience
from sparehand.job.situation import SITUATIONS
from sparehand.page.buttons import BUTTONS
from sparehand.page.page_address import Address, names_a_number, parse_address
from sparehand.page.page_app import SECURITY_HEADERS, page_app
from sparehand.page.page_state import PageView
from sparehand.page.pairing import FREE_TRIES, LONGEST_WAIT_SECONDS, Pairing, TooSoonError
from sparehand.page.picture_routes import Album
from sparehand.page.server import PageServer
from sparehand.page.terminal_and_page import TerminalAndPage
from sparehand.screens.glance_view import glance
from sparehand.setup.hearing_trials import spoken_names
from sparehand.voice.phrases.phrase_file import load_phrases


class Served:
    """A page served on this machine, with the phrases that its buttons brought."""

    def __init__(self, closing: ExitStack, needs_code: bool, album: Album | None = None) -> None:
        self.view, self.pairing, self.pressed = PageView(), Pairing(needs_code), list[str]()
        app = page_app(self.view, self.pairing, self.pressed.append, album=album)
        server = PageServer(app, Address("127.0.0.1", 0))
        self.host = f"127.0.0.1:{server.port}"
        closing.callback(server.close)
        closing.callback(self.view.close)

    def ask(self, path: str, body: str | bytes | None = None, **headers: str) -> http.client.HTTPResponse:
        connection = http.client.HTTPConnection(self.host, timeout=20)
        given = {"Origin": f"http://{self.host}"} if body is not None else {}
        connection.request("GET" if body is None else "POST", path, body, {**given, **headers})
        return connection.getresponse()

    def first_shown(self, **headers: str) -> dict[str, object]:
        line = self.ask("/glances", **headers).readline()
        assert line.startswith(b"data: ")
        shown: dict[str, object] = json.loads(line.removeprefix(b"data: "))
        return shown


@pytest.fixture
def served() -> Iterator[Served]:
    with ExitStack() as closing:
        yield Served(closing, needs_code=False)


@pytest.fixture
def guarded() -> Iterator[Served]:
    with ExitStack() as closing:
        yield Served(closing, needs_code=True)


def show_a_job(view: PageView) -> None:
    table = open_job()
    view.listens("always listening")
    view.answered(table.do(c.Understood(), c.Next()))
    view.state(table.state, table.clock.now())


def test_it_shows_the_very_glance_of_the_terminal(served: Served) -> None:
    table = open_job()
    table.do(c.Understood(), c.Next())
    now = table.clock.now()
    served.view.listens("keyboard only")
    served.view.state(table.state, now)
    expected = glance(table.state, now, Experience(), None, "keyboard only")
    assert served.first_shown()["glance"] == json.loads(json.dumps(asdict(expected)))


def test_every_button_is_a_phrase_that_is_understood_and_stands_on_the_page(served: Served) -> None:
    phrases = load_phrases(spoken_names(demo_procedure()))
    page = served.ask("/").read().decode()
    for label, phrase in BUTTONS.items():
        assert phrases.command_for(phrase, SITUATIONS) is not None, phrase
        assert f'value="{label}"' in page


def test_a_button_comes_as_its_phrase(served: Served) -> None:
    assert served.ask("/say", "undo").status == 204
    assert served.pressed == ["undo that"]


@pytest.mark.parametrize("body", ["close the job", "", "x" * 100_000])
def test_nothing_but_the_buttons_can_be_said(served: Served, body: str) -> None:
    assert served.ask("/say", body).status == 400
    assert served.pressed == []


@pytest.mark.parametrize("origin", ["http://elsewhere.example", "null", ""])
def test_no_other_site_can_press_a_button(served: Served, origin: str) -> None:
    assert served.ask("/say", "next", Origin=origin).status == 403
    assert served.pressed == []


def test_a_name_that_was_made_to_point_here_is_refused(served: Served) -> None:
    assert served.ask("/", Host="elsewhere.example").status == 403


def test_every_answer_carries_the_security_headers(served: Served) -> None:
    for path in ("/", "/page.js", "/page.css", "/no-such-page"):
        answer = served.ask(path)
        assert {name: answer.getheader(name) for name in SECURITY_HEADERS} == SECURITY_HEADERS


def test_on_a_network_nothing_is_shown_or_done_without_the_code(guarded: Served) -> None:
    show_a_job(guarded.view)
    assert guarded.ask("/glances").status == 403
    assert guarded.ask("/say", "next").status == 403
    assert "Pair this device" in guarded.ask("/").read().decode()
    assert guarded.pressed == []


def test_the_code_admits_one_device_once(guarded: Served) -> None:
    code = guarded.pairing.code
    answer = guarded.ask("/pair", f"{code[:4]} {code[4:]}")
    assert answer.status == 204
    cookie = str(answer.getheader("set-cookie"))
    assert "HttpOnly" in cookie
    assert "SameSite=strict" in cookie
    guarded.first_shown(Cookie=cookie.split(";")[0])
    assert guarded.ask("/say", "next", Cookie=cookie.split(";")[0]).status == 204
    assert guarded.ask("/pair", code).status == 403
    assert guarded.pairing.code == ""


class Seconds:
    """A steady clock, moved by hand."""

    now = 0.0

    def __call__(self) -> float:
        return self.now


def test_wrong_codes_slow_an_address_down_and_shut_nobody_out() -> None:
    seconds = Seconds()
    pairing = Pairing(needed=True, steady_seconds=seconds)
    for _ in range(FREE_TRIES + 20):
        seconds.now += LONGEST_WAIT_SECONDS
        assert pairing.pair("wrong", "10.0.0.9") is None
    seconds.now += 1
    with pytest.raises(TooSoonError, match="wait 59 s"):
        pairing.pair(pairing.code, "10.0.0.9")
    assert pairing.pair(pairing.code, "10.0.0.7") is not None, "another device is not kept out"


def test_a_code_cannot_be_found_by_trying_from_many_addresses() -> None:
    seconds = Seconds()
    pairing = Pairing(needed=True, steady_seconds=seconds)
    looked_at = 0
    for number in range(100_000):
        seconds.now += 0.001
        try:
            pairing.pair("wrong", number)
        except TooSoonError:
            continue
        looked_at += 1
    assert looked_at <= 200, "two a second in 100 seconds"


def test_a_wrong_code_too_soon_is_told_to_wait(guarded: Served) -> None:
    statuses = [guarded.ask("/pair", "00000000").status for _ in range(3)]
    assert statuses[0] == 403
    assert 429 in statuses[1:]


def test_the_terminal_shows_the_code_until_it_is_used() -> None:
    pairing, terminal = Pairing(needed=True), PageView()
    both = TerminalAndPage(terminal, PageView(), pairing)
    table = open_job()
    both.listens("always listening")
    both.state(table.state, table.clock.now())
    assert pairing.code in terminal.shown.glance.listening
    pairing.pair(pairing.code)
    both.state(table.state, table.clock.now())
    assert terminal.shown.glance.listening == "always listening"


@pytest.mark.parametrize(("given", "host"), [("8760", "127.0.0.1"), ("localhost:0", "127.0.0.1"), ("[::1]:1", "::1")])
def test_it_is_served_to_this_machine_alone_unless_an_address_is_named(given: str, host: str) -> None:
    assert parse_address(given).host == host
    assert parse_address(given).loopback
    assert not parse_address("0.0.0.0:8760").loopback


@pytest.mark.parametrize("given", ["", "here", "shop.example:80", "127.0.0.1:x", "70000"])
def test_an_address_that_is_none_is_refused(given: str) -> None:
    with pytest.raises(InputError, match="--page"):
        parse_address(given)


@pytest.mark.parametrize(("host", "numbered"), [("10.0.0.7:80", True), ("[::1]:80", True), ("a.example:80", False)])
def test_only_numbers_and_localhost_name_this_machine(host: str, numbered: bool) -> None:
    assert names_a_number(host) is numbered


def test_a_browser_shows_the_step_and_its_buttons(served: Served, tmp_path: Path) -> None:
    show_a_job(served.view)
    served.view.close()
    picture = tmp_path / "page.png"
    command = [find_browser(), *QUIET, f"--user-data-dir={tmp_path / 'profile'}", "--window-size=800,1100"]
    url = f"http://{served.host}/"
    dumped = subprocess.run(
        [*command, "--virtual-time-budget=4000", "--dump-dom", url], check=True, capture_output=True, timeout=120
    ).stdout.decode()
    shown = served.view.shown.glance
    assert shown.step in dumped
    assert shown.place in dumped
    subprocess.run(
        [*command, "--virtual-time-budget=4000", f"--screenshot={picture}", url],
        check=True,
        capture_output=True,
        timeout=120,
    )
    assert picture.stat().st_size > 0
