"""A model comes whole over a line that is cut, stalls, redirects or lies, or it does not come at all."""

from __future__ import annotations

import re
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path

import pytest

from sparehand.ground.errors import FailureError, InputError
from sparehand.voice.models.model_catalogue import Archive, Catalogue
from sparehand.voice.models.model_download import Line, get_model
from voice.small_model import FILES, catalogue_of, published, small_archive

QUICK = Line(stall_seconds=0.3, tries=2)


@dataclass
class Site:
    """A server whose every request is answered by the next of `answers`; the last one stays."""

    content: bytes
    answers: list[Callable[[Site, BaseHTTPRequestHandler], None]]
    address: str = ""
    ranges: list[str | None] = field(default_factory=list)
    over: threading.Event = field(default_factory=threading.Event)


def send(handler: BaseHTTPRequestHandler, body: bytes, promised: int, status: int = 200, **headers: str) -> None:
    handler.send_response(status)
    handler.send_header("Content-Length", str(promised))
    for name, value in headers.items():
        handler.send_header(name.replace("_", "-"), value)
    handler.end_headers()
    handler.wfile.write(body)


def start_of(handler: BaseHTTPRequestHandler) -> int:
    asked = re.fullmatch(r"bytes=(\d+)-", handler.headers.get("Range") or "")
    return int(asked.group(1)) if asked else 0


def whole(site: Site, handler: BaseHTTPRequestHandler) -> None:
    start = start_of(handler)
    rest = site.content[start:]
    if start:
        send(handler, rest, len(rest), 206, Content_Range=f"bytes {start}-{len(site.content) - 1}/{len(site.content)}")
    else:
        send(handler, rest, len(rest))


def cut(site: Site, handler: BaseHTTPRequestHandler) -> None:
    start = start_of(handler)
    rest = site.content[start:]
    headers = {"Content_Range": f"bytes {start}-{len(site.content) - 1}/{len(site.content)}"} if start else {}
    send(handler, rest[:20_000], len(rest), 206 if start else 200, **headers)


def stall(site: Site, handler: BaseHTTPRequestHandler) -> None:
    send(handler, b"", len(site.content))
    handler.wfile.flush()
    site.over.wait()


def without_ranges(site: Site, handler: BaseHTTPRequestHandler) -> None:
    send(handler, site.content, len(site.content))


def lie(site: Site, handler: BaseHTTPRequestHandler) -> None:
    send(handler, b"<html>" + site.content[6:], len(site.content))


def round_and_round(site: Site, handler: BaseHTTPRequestHandler) -> None:
    send(handler, b"", 0, 302, Location=f"{site.address}/{len(site.ranges)}")


def gone(_site: Site, handler: BaseHTTPRequestHandler) -> None:
    send(handler, b"", 0, 404)


def local_file(_site: Site, handler: BaseHTTPRequestHandler) -> None:
    send(handler, b"", 0, 302, Location="file:///etc/hostname")


@contextmanager
def serving(content: bytes, *answers: Callable[[Site, BaseHTTPRequestHandler], None]) -> Iterator[Site]:
    site = Site(content, list(answers))

    class Handler(BaseHTTPRequestHandler):
        def do_GET(self) -> None:
            site.ranges.append(self.headers.get("Range"))
            answer = site.answers.pop(0) if len(site.answers) > 1 else site.answers[0]
            answer(site, self)

        def log_message(self, *args: object) -> None:
            pass

    server = ThreadingHTTPServer(("127.0.0.1", 0), Handler)
    site.address = f"http://127.0.0.1:{server.server_port}"
    thread = threading.Thread(target=server.serve_forever, kwargs={"poll_interval": 0.01})
    thread.start()
    try:
        yield site
    finally:
        site.over.set()
        server.shutdown()
        thread.join()
        server.server_close()


@pytest.fixture(autouse=True)
def _no_proxy(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("no_proxy", "127.0.0.1")


@pytest.fixture
def source(tmp_path: Path) -> Path:
    return small_archive(tmp_path / "publisher")


def served_from(site: Site, source: Path) -> Catalogue:
    archive: Archive = published(source).model_copy(update={"url": f"{site.address}/model"})
    return catalogue_of(archive)


def got(site: Site, source: Path, models: Path, progress: Callable[[int, int], None] = lambda *_: None) -> Path:
    return get_model("english", models, progress, served_from(site, source), QUICK)


def test_a_model_is_fetched_installed_and_its_archive_not_kept(tmp_path: Path, source: Path) -> None:
    seen: list[tuple[int, int]] = []
    with serving(source.read_bytes(), whole) as site:
        folder = got(site, source, tmp_path / "models", lambda have, whole: seen.append((have, whole)))
    assert (folder / "graph/Gr.fst").read_bytes() == FILES["graph/Gr.fst"]
    size = source.stat().st_size
    assert seen[0] == (0, size)
    assert seen[-1] == (size, size)
    assert seen == sorted(seen)
    assert list((tmp_path / "models" / ".fetched").iterdir()) == []


def test_a_cut_line_goes_on_from_where_it_was_cut(tmp_path: Path, source: Path) -> None:
    with serving(source.read_bytes(), cut, cut, whole) as site:
        got(site, source, tmp_path / "models")
    assert site.ranges == [None, "bytes=20000-", "bytes=40000-"]


def test_what_came_before_a_failure_is_kept_for_the_next_call(tmp_path: Path, source: Path) -> None:
    with serving(source.read_bytes(), cut, gone, whole) as site:
        with pytest.raises(FailureError, match=r"the server answers 404.*models add"):
            got(site, source, tmp_path / "models")
        got(site, source, tmp_path / "models")
    assert site.ranges == [None, "bytes=20000-", "bytes=20000-"]


def test_a_server_that_cannot_go_on_is_taken_from_the_start(tmp_path: Path, source: Path) -> None:
    with serving(source.read_bytes(), cut, without_ranges) as site:
        folder = got(site, source, tmp_path / "models")
    assert (folder / "am/final.mdl").read_bytes() == FILES["am/final.mdl"]


def test_a_stalled_line_is_given_up(tmp_path: Path, source: Path) -> None:
    with serving(source.read_bytes(), stall) as site:
        with pytest.raises(FailureError, match=r"no answer in time; try `sparehand models get` again"):
            got(site, source, tmp_path / "models")
        assert len(site.ranges) == QUICK.tries


def test_another_file_of_the_same_size_is_not_installed_and_not_kept(tmp_path: Path, source: Path) -> None:
    with serving(source.read_bytes(), lie, whole) as site:
        with pytest.raises(FailureError, match="not the published file; nothing was installed"):
            got(site, source, tmp_path / "models")
        assert not (tmp_path / "models" / "english").exists()
        got(site, source, tmp_path / "models")
    assert site.ranges == [None, None]


def test_redirects_are_followed_but_not_for_ever(tmp_path: Path, source: Path) -> None:
    with serving(source.read_bytes(), round_and_round, whole) as site:
        got(site, source, tmp_path / "models")
    with serving(source.read_bytes(), round_and_round) as site, pytest.raises(FailureError):
        got(site, source, tmp_path / "other")
    assert len(site.ranges) <= 10


def test_a_redirect_to_a_file_of_this_machine_is_not_followed(tmp_path: Path, source: Path) -> None:
    with serving(source.read_bytes(), local_file) as site, pytest.raises(FailureError):
        got(site, source, tmp_path / "models")


def test_a_language_without_an_address_is_to_be_added_from_a_file(tmp_path: Path, source: Path) -> None:
    catalogue = catalogue_of(published(source).model_copy(update={"url": None}))
    with pytest.raises(InputError, match="sparehand models add"):
        get_model("english", tmp_path / "models", lambda *_: None, catalogue, QUICK)
