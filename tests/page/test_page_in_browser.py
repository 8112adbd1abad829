"""The bay page as a browser shows it: the state, back after a restart, fit for gloves and glare."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from job.table import open_job
from page.camera import read_back
from page.measures import CONTRAST, TARGETS, WATCH_LOST, WIDEST
from page.probed import Bench, Probe, browser_at
from sparehand.job import commands as c
from sparehand.page.qr import qr_rows

AA_TEXT, AA_LARGE_TEXT, AA_COMPONENT = 4.5, 3.0, 3.0
"""Contrast of WCAG 2.2, success criteria 1.4.3 and 1.4.11."""
AA_TARGET_PX, GLOVE_PX = 24, 80
"""Target size of WCAG 2.2, success criterion 2.5.8; a gloved fingertip is some 20 mm, common practice, no source."""
TEXTS = ("place", "counted", "step", "listening", "warning", "fastener", "gate", "halted", "question")


@pytest.fixture(scope="module", params=["light", "dark"])
def opened(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Bench]:
    """One bench and one browser for all tests, on a light and on a dark device."""
    bench = Bench(Probe())
    flags = ("--window-size=900,1200", f"--blink-settings=preferredColorScheme={int(request.param == 'light')}")
    with browser_at(bench.url, tmp_path_factory.mktemp("profile"), *flags):
        yield bench
        bench.stop()


@pytest.fixture
def bench(opened: Bench) -> Bench:
    """A bench just started, with the page loaded anew."""
    return started(opened, needs_code=False)


@pytest.fixture
def guarded(opened: Bench) -> Bench:
    """A bench just started that lets nobody in without the code."""
    return started(opened, needs_code=True)


def started(bench: Bench, needs_code: bool) -> Bench:
    bench.stop()
    bench.start(needs_code)
    load(bench, "")
    return bench


def load(bench: Bench, after: str) -> None:
    """Load the page anew with something after its address."""
    bench.probe.ask(f"window.old = true, setTimeout(() => {{ location.href = '/{after}'; location.reload() }}), true")
    bench.probe.until("!window.old && document.readyState === 'complete'")


def show(bench: Bench, *commands: c.Command, until: str = "") -> None:
    """Show a job after some commands."""
    table = open_job()
    if until:
        table.work_until(until)
    bench.view.answered(table.do(*commands or (c.RepeatStep(),)))
    bench.view.state(table.state, table.clock.now())


@pytest.mark.parametrize("until", ["raise", "cam-tight"])
def test_what_it_shows_is_the_state(bench: Bench, until: str) -> None:
    show(bench, until=until)
    seen = bench.view.shown.glance
    bench.probe.until(f"document.getElementById('place').textContent === {seen.place!r}")
    for name in TEXTS:
        assert bench.probe.ask(f"document.getElementById('{name}').textContent") == getattr(seen, name)
    digits = bench.probe.ask("[...document.querySelectorAll('#figures dd')].map(each => each.firstChild.textContent)")
    assert digits == [figure.digits for figure in seen.figures]
    assert bench.probe.ask("[...document.querySelectorAll('#to_answer li')].map(e => e.textContent)") == list(
        seen.to_answer
    )


def test_what_is_loose_is_never_covered_and_the_warning_has_its_button(bench: Bench) -> None:
    covered = """(() => { const box = document.getElementById('loose').getBoundingClientRect();
        return document.elementFromPoint(box.left + 20, box.top + box.height / 2)?.id })()"""
    for until, hidden in (("cam-tight", ["warning understood"]), ("raise", ["mark done"])):
        show(bench, until=until)
        bench.probe.until(f"document.getElementById('place').textContent === {bench.view.shown.glance.place!r}")
        for down in (0, 150, 9_999):
            bench.probe.ask(f"scrollTo(0, {down}), true")
            assert bench.probe.ask(covered) == "loose"
        assert bench.probe.ask("[...document.querySelectorAll('nav > [hidden]')].map(one => one.value)") == hidden


def test_a_touched_button_comes_to_the_bench(bench: Bench) -> None:
    show(bench)
    bench.probe.ask("document.querySelector('button[value=repeat]').click()")
    bench.probe.until("performance.getEntriesByName(location.origin + '/say').length === 1")
    assert bench.pressed == ["repeat"]


def test_it_comes_back_after_the_bench_was_started_again(bench: Bench) -> None:
    show(bench, until="cam-tight")
    bench.probe.until("document.getElementById('step').textContent !== ''")
    bench.probe.ask(WATCH_LOST)
    bench.stop()
    bench.start()
    show(bench, until="height")
    bench.probe.until(f"document.getElementById('step').textContent === {bench.view.shown.glance.step!r}")
    bench.probe.until("document.getElementById('lost').hidden")
    assert bench.probe.ask("window.sawLost"), "it never said that the bench was gone"


def test_without_the_code_it_shows_nothing_of_the_job(guarded: Bench) -> None:
    show(guarded, until="cam-tight")
    assert "Pair this device" in guarded.probe.ask("document.body.innerText")
    assert guarded.view.shown.glance.step not in guarded.probe.ask("document.documentElement.outerHTML")
    guarded.probe.ask("document.getElementById('code').value = '00', document.querySelector('form').requestSubmit()")
    guarded.probe.until("document.getElementById('refused').textContent.includes('not the code')")


def test_the_qr_code_pairs_the_device_and_leaves_no_code_behind(guarded: Bench) -> None:
    show(guarded, until="cam-tight")
    url = read_back(qr_rows(f"{guarded.url}#{guarded.pairing.code}"))
    assert url.startswith(f"{guarded.url}#")
    load(guarded, url.removeprefix(guarded.url))
    guarded.probe.until(f"document.body.innerText.includes({guarded.view.shown.glance.step!r})")
    assert guarded.probe.ask("location.hash") == ""
    assert guarded.pairing.code == ""


def test_after_a_restart_a_paired_device_is_asked_for_the_new_code(guarded: Bench) -> None:
    show(guarded, until="cam-tight")
    load(guarded, f"#{guarded.pairing.code}")
    guarded.probe.until("document.getElementById('step') !== null")
    guarded.stop()
    guarded.start(needs_code=True)
    guarded.probe.until("document.body.innerText.includes('Pair this device')")


def test_text_and_controls_stand_out_on_light_and_dark(bench: Bench) -> None:
    show(bench, c.Hold("parts"), until="cam-tight")
    bench.probe.until("document.getElementById('step').textContent !== ''")
    measured = bench.probe.ask(CONTRAST)
    assert len(measured) > 8
    for each in measured:
        least = AA_COMPONENT if each["kind"] == "border" else AA_LARGE_TEXT if each["large"] else AA_TEXT
        assert each["ratio"] >= least, each


@pytest.mark.parametrize("width", [320, 800])
def test_a_glove_hits_every_button_at_any_width(bench: Bench, width: int) -> None:
    bench.probe.ask(f"document.body.style.maxWidth = '{width}px', true")
    show(bench, until="cam-tight")
    bench.probe.until("document.getElementById('step').textContent !== ''")
    bench.probe.ask("document.querySelector('details').open = true")
    targets = bench.probe.ask(TARGETS)
    assert len(targets) >= 9
    for target in targets:
        assert min(target["width"], target["height"]) >= max(AA_TARGET_PX, GLOVE_PX), target
    widest = bench.probe.ask(WIDEST)
    assert widest <= width, "nothing is to be scrolled sideways (1.4.10)"
