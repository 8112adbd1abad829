"""Pictures in a real browser: its camera takes one, a file input does where there is none, and the step's is shown.

Chromium's own fake camera stands in for a real one: a green picture with a clock and a circle that goes round.
"""

from __future__ import annotations

import io
from collections.abc import Iterator
from pathlib import Path
from urllib.parse import urlsplit

import pytest
from PIL import Image

import needs
from ground.pictured import segments
from job.table import open_job, procedure_file
from page.probed import Bench, Probe, browser_at
from sparehand.at_work.procedure_pictures import kept_pictures
from sparehand.job import commands as c
from sparehand.log.memos import PICTURE, MemoFolder
from sparehand.page.page_address import LOOPBACK, Address
from sparehand.page.picture_routes import Album
from sparehand.procedures.load import load_procedure

FAKE_CAMERA = ("--use-fake-device-for-media-stream", "--use-fake-ui-for-media-stream")
SIZES = {"phone": "390,800", "tablet": "820,1180", "desk": "1400,900"}
SHOWN = "[...document.querySelectorAll('#pictures img')].filter(one => one.complete && one.naturalWidth > 0).length"


class PicturedBench(Bench):
    """A bench at the step of the demonstration that has a picture, whose page takes pictures."""

    def __init__(self, folder: Path, host: str = LOOPBACK) -> None:
        self.memos = MemoFolder(folder / "memos")
        demo = load_procedure(procedure_file("engine-mounts"))
        told: list[str] = []
        pictures = kept_pictures(demo, self.memos, told.append)
        assert (told, list(pictures)) == ([], ["engine-mounts/bush-in.png"])
        self.table = open_job(demo.procedure, ("torque-arm",), pictures=pictures)
        self.table.work_until("bush-in")
        album = Album(self.memos, lambda id, job, at: self.do(c.PictureCame(id, job, at)))
        super().__init__(Probe(), album, host)

    def start(self, needs_code: bool = False) -> None:
        super().start(needs_code)
        self.do(c.Understood())

    def do(self, command: c.Command) -> None:
        """What the bench does with a command, and shows."""
        self.view.answered(self.table.do(command))
        self.view.state(self.table.state, self.table.clock.now())

    def picture(self) -> Image.Image:
        """The picture that was taken, as it is kept."""
        (taken,) = self.table.state.progress.pictures
        jpeg = self.memos.read(taken.picture, PICTURE) or b""
        segments(jpeg)
        return Image.open(io.BytesIO(jpeg))


@pytest.fixture
def bench(tmp_path: Path) -> Iterator[PicturedBench]:
    """A page of this machine, in a browser with a camera."""
    bench = PicturedBench(tmp_path)
    with browser_at(bench.url, tmp_path / "profile", *FAKE_CAMERA):
        yield bench
        bench.stop()


def test_a_word_takes_what_the_camera_sees(bench: PicturedBench) -> None:
    bench.probe.until(f"{SHOWN} === 1")
    bench.do(c.FoundFault("torn", "bush", "soon"))
    assert bench.view.asks_picture()
    bench.probe.until(f"{SHOWN} === 2")
    red, green, blue = bench.picture().convert("RGB").resize((1, 1)).getpixel((0, 0))  # type: ignore[misc]
    assert green > max(red, blue), "the fake camera's picture is green"
    assert bench.table.state.progress.pictures[0].finding == 1
    assert "torn" in bench.probe.ask("document.querySelector('#pictures figcaption').textContent")
    assert bench.probe.ask(
        "document.getElementById('finder').offsetHeight === 0 && !document.getElementById('finder').srcObject"
    )
    assert bench.view.shown.picture_asked == 0


def test_the_button_takes_one_too(bench: PicturedBench) -> None:
    bench.probe.until(f"{SHOWN} === 1")
    bench.probe.ask("document.getElementById('snap').click(), true")
    bench.probe.until(f"{SHOWN} === 2")
    assert bench.picture().size == (1600, 900)


CHOOSE = """(async () => {
    const sheet = new OffscreenCanvas(60, 30);
    sheet.getContext('2d').fillRect(0, 0, 60, 30);
    const file = new File([KIND], 'photo.jpg');
    const chosen = new DataTransfer();
    chosen.items.add(file);
    const input = document.getElementById('file');
    input.files = chosen.files;
    input.dispatchEvent(new Event('change'));
    return true;
})()"""


@pytest.fixture
def on_the_network(tmp_path: Path) -> Iterator[PicturedBench]:
    """A page at this machine's address in its network, where a browser lends no camera."""
    host = urlsplit(Address("0.0.0.0", 0).url(80)).hostname or ""
    needs.skip_unless(host not in ("", "0.0.0.0"), "this machine has no address in a network")
    bench = PicturedBench(tmp_path, host)
    with browser_at(bench.url, tmp_path / "profile", *FAKE_CAMERA):
        yield bench
        bench.stop()


def test_on_the_network_the_button_opens_a_file_input_and_its_picture_is_kept(on_the_network: PicturedBench) -> None:
    bench = on_the_network
    bench.probe.until(f"{SHOWN} === 1")
    assert bench.probe.ask("[isSecureContext, typeof navigator.mediaDevices]") == [False, "undefined"]
    opened = "window.opened = true; event.preventDefault()"
    bench.probe.ask(f"document.getElementById('file').addEventListener('click', (event) => {{ {opened} }}), true")
    assert bench.view.asks_picture()
    bench.probe.until("document.getElementById('camera').textContent.includes('Press Picture')")
    assert bench.probe.ask("document.getElementById('file').getAttribute('capture')") == "environment"
    bench.probe.ask("document.getElementById('snap').click(), true")
    assert bench.probe.ask("window.opened") is True
    bench.probe.ask(CHOOSE.replace("KIND", "'<svg/>'"))
    bench.probe.until("document.getElementById('camera').textContent.includes('no whole JPEG')")
    assert bench.view.shown.picture_asked == 1
    bench.probe.ask(CHOOSE.replace("KIND", "await sheet.convertToBlob({ type: 'image/png' })"))
    bench.probe.until(f"{SHOWN} === 2")
    assert bench.picture().size == (60, 30)
    assert bench.probe.ask("document.getElementById('camera').textContent") == ""


@pytest.mark.parametrize("size", SIZES)
def test_it_fits_a_telephone_a_tablet_and_a_desk(size: str, tmp_path: Path) -> None:
    bench = PicturedBench(tmp_path)
    with browser_at(bench.url, tmp_path / "profile", *FAKE_CAMERA, f"--window-size={SIZES[size]}"):
        bench.probe.until(f"{SHOWN} === 1")
        bench.probe.ask("document.getElementById('snap').click(), true")
        bench.probe.until(f"{SHOWN} === 2")
        wide = bench.probe.ask("document.documentElement.scrollWidth <= innerWidth")
        seen = bench.probe.ask("document.querySelector('#pictures img').getBoundingClientRect().width / innerWidth")
        bench.stop()
    assert wide, "it is wider than the screen"
    assert 0.2 < seen <= 1
