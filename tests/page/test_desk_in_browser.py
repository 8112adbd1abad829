"""The desk's pages as a browser shows them, at desk and tablet size, on a light and on a dark device."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from desk.test_estimating import RATES
from job.table import opening
from log.demo import recorded
from page.measures import CONTRAST, TARGETS
from page.probed import Probe, browser_at
from sparehand.desk.desk_pages import made_page
from sparehand.ground.clock import LiveClock
from sparehand.ground.places import LOG_FILE
from sparehand.job.events import FollowUpScheduled, Vehicle
from sparehand.log.sqlite import SqliteEventStore
from sparehand.page.page_address import Address
from sparehand.page.page_app import desk_app
from sparehand.page.pairing import Pairing
from sparehand.page.server import PageServer
from sparehand.screens.desk_page import PLACES

AA_TEXT, AA_COMPONENT, AA_TARGET_PX = 4.5, 3.0, 24
"""WCAG 2.2, success criteria 1.4.3, 1.4.11 and 2.5.8."""
SIZES = {"desk, light": ("1280,900", 1), "tablet, dark": ("820,1180", 0)}
PAGE_WIDTH = "[document.documentElement.scrollWidth, document.documentElement.clientWidth]"


def fill(folder: Path) -> None:
    """An open job that has something due, rates, and a day of five jobs."""
    (folder / "rates.toml").write_text(RATES, encoding="utf-8")
    opened = opening().model_copy(update={"vehicle": Vehicle(name="invented estate", identification="DEMO 42")})
    due = FollowUpScheduled(follow_up="bleed", words="Bleed again", due_on=datetime.now(UTC).date())
    events = recorded("261129-demo", 0, opened, due)
    now = LiveClock("now").now()
    store = SqliteEventStore(folder / LOG_FILE)
    store.append("261129-demo", 0, tuple(one.model_copy(update={"at": now}) for one in events))
    begins = datetime.now(UTC).replace(microsecond=0)
    ends, promised = begins + timedelta(hours=9), begins + timedelta(hours=4)
    lines = [f'technicians = ["Ada", "Ben"]\n[[open]]\nfrom = {begins.isoformat()}\nuntil = {ends.isoformat()}']
    lines += [
        f'[[job]]\nname = "van {number}"\nwork = "brake-discs-epb"\npromised = {promised.isoformat()}'
        for number in range(5)
    ]
    (folder / "day.toml").write_text("format = 1\n" + "\n".join(lines), encoding="utf-8")


@pytest.fixture(scope="module", params=list(SIZES))
def probe(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Probe]:
    folder, probe = tmp_path_factory.mktemp("data"), Probe()
    fill(folder)
    app = desk_app(Pairing(needed=False), lambda asked: made_page(asked.page, asked.fields, folder, to_make=asked.make))
    server = PageServer(probe.around(app), Address("127.0.0.1", 0))
    size, light = SIZES[request.param]
    flags = (f"--window-size={size}", f"--blink-settings=preferredColorScheme={light}")
    with browser_at(f"http://127.0.0.1:{server.port}/desk/today", tmp_path_factory.mktemp("profile"), *flags):
        yield probe
    server.close()


def go(probe: Probe, place: str) -> None:
    probe.ask(f"window.old = true, setTimeout(() => {{ location.href = '/desk/{place}' }}), true")
    probe.until("!window.old && document.readyState === 'complete'")


@pytest.mark.parametrize("place", [place for place, _ in PLACES])
def test_nothing_is_cut_and_everything_can_be_read_and_hit(probe: Probe, place: str) -> None:
    go(probe, place)
    wanted, there = probe.ask(PAGE_WIDTH)
    assert wanted <= there, "the page is not to be scrolled sideways"
    for each in probe.ask(CONTRAST):
        assert each["ratio"] >= (AA_COMPONENT if each["kind"] == "border" else AA_TEXT), each
    targets = probe.ask(TARGETS)
    assert len(targets) >= len(PLACES)
    for target in targets:
        assert min(target["width"], target["height"]) >= AA_TARGET_PX, target


def test_an_estimate_is_made_of_what_stands_in_the_form(probe: Probe) -> None:
    # The estimate's own policy runs no script, so that the form is sent from here instead of leaving the page.
    go(probe, "estimates")
    sent = """(async () => {
      const form = document.querySelector("form");
      document.getElementById("work").value = "brake-discs-epb:brake-pads";
      const fields = new URLSearchParams(new FormData(form));
      const answer = await fetch(form.action, { method: form.method, body: fields });
      return [form.checkValidity(), answer.status, await answer.text()];
    })()"""
    valid, status, page = probe.ask(sent)
    assert (valid, status) == (True, 200)
    assert "How sure this is" in page


def test_the_day_is_drawn(probe: Probe) -> None:
    go(probe, "day")
    assert probe.ask("document.querySelectorAll('svg rect').length") == 10
    assert probe.ask("document.querySelector('svg').getBoundingClientRect().height") > 100
