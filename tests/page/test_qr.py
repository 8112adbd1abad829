"""The QR code on the terminal: a camera reads it, it fits the smallest screen, and it goes when it is used up."""

from __future__ import annotations

from contextlib import ExitStack
from pathlib import Path

import pytest
from rich.console import Console

from job.table import open_job
from page.camera import read_back
from screens.bay import cam_bolt_waiting
from screens.terminal import Terminal
from screens.test_dialogue import Said
from sparehand.conversation.input_stream import Keyboard
from sparehand.log.memos import MemoFolder
from sparehand.page.page_address import parse_address
from sparehand.page.page_state import PageView
from sparehand.page.pairing import Pairing
from sparehand.page.qr import qr_rows
from sparehand.page.server import with_page
from sparehand.page.terminal_and_page import TerminalAndPage
from sparehand.screens.dialogue import DialogueView
from sparehand.screens.glance_screen import GlanceScreen

LONGEST_V4 = "http://192.168.100.100:65535/#12345678"


@pytest.mark.parametrize("text", [LONGEST_V4, "http://10.0.0.7:8760/#00000001"])
def test_a_camera_reads_the_address_and_the_code(text: str) -> None:
    assert read_back(qr_rows(text)) == text


def test_it_fits_the_smallest_screen_with_a_line_below_it() -> None:
    rows = qr_rows(LONGEST_V4)
    assert len(rows) + 1 <= 18
    assert {len(row) for row in rows} == {33}


def test_on_a_network_address_the_terminal_shows_it_before_anything_else() -> None:
    terminal = Terminal(60, 18)
    with ExitStack() as closing:
        with_page(GlanceScreen(terminal.console), "0.0.0.0:0", Keyboard(None), closing, MemoFolder(Path("none")))
        rows = terminal.shown()
    (told,) = [row for row in rows if "code" in row]
    assert read_back([row.ljust(60) for row in rows if row != told]).split("#")[0] in told
    assert "0.0.0.0" not in told or _no_way_out()


def test_it_goes_when_something_was_said() -> None:
    terminal, bay = Terminal(60, 18), cam_bolt_waiting()
    view = GlanceScreen(terminal.console)
    view.picture(qr_rows(LONGEST_V4))
    view.state(bay.state, bay.now)
    assert "not yet" not in "\n".join(terminal.shown())
    view.heard(Said("next"))
    assert "not yet" in "\n".join(terminal.shown())


def test_it_goes_when_the_code_is_used() -> None:
    terminal, pairing, table = Terminal(80, 24), Pairing(needed=True), open_job()
    view = GlanceScreen(terminal.console)
    view.picture(qr_rows(LONGEST_V4))
    both = TerminalAndPage(view, PageView(), pairing)
    pairing.pair(pairing.code)
    both.state(table.state, table.clock.now())
    assert table.state.step.say.split()[0] in "\n".join(terminal.shown())


def test_where_it_does_not_fit_the_glance_stays() -> None:
    terminal, bay = Terminal(60, 18), cam_bolt_waiting()
    view = GlanceScreen(terminal.console)
    view.picture(["█" * 40] * 40)
    view.state(bay.state, bay.now)
    assert "not yet" in "\n".join(terminal.shown())


def test_plain_lines_show_it_once(capsys: pytest.CaptureFixture[str]) -> None:
    DialogueView(Console(width=80)).picture(qr_rows(LONGEST_V4))
    assert read_back(capsys.readouterr().out.splitlines()) == LONGEST_V4


def _no_way_out() -> bool:
    return "0.0.0.0" in parse_address("0.0.0.0:1").url(1)
