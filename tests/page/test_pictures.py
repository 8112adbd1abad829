"""A device of the page sends a picture: kept with its step, only from who may, only what is one, and never half."""

from __future__ import annotations

import http.client
from collections.abc import Iterator
from contextlib import ExitStack
from pathlib import Path
from uuid import UUID, uuid4

import pytest

from conversation.noted import NotedSpeaker
from ground.pictured import PLACE, as_file, drawn, png_that_claims, segments, with_place
from job.table import demo_procedure, opening
from log.demo import MORNING, closing
from log.memory_store import MemoryEventStore
from log.small_disk import small_disk_at
from page.test_page import Served
from sparehand.conversation.bench import Bench
from sparehand.conversation.input_stream import Incoming, PictureArrived, TimePassed, TypedLine
from sparehand.conversation.session import JobSession
from sparehand.ground.clock import HandClock, start_of_run
from sparehand.ground.picture_cleaning import PICTURE_BYTES
from sparehand.job.deciding.decide_noting import MOST_PICTURES
from sparehand.job.events import PictureTaken
from sparehand.log.memos import PICTURE, MemoFolder
from sparehand.page.page_state import ASKED_FOR_MS
from sparehand.page.picture_routes import SETTLED, Album
from sparehand.procedures.plan import StepKey
from sparehand.setup.hearing_trials import spoken_names
from sparehand.voice.phrases.phrase_file import load_phrases

PHRASES = load_phrases(spoken_names(demo_procedure()))
PHOTO = with_place()
SCRIPT = b"<script>alert(1)</script>"


class Bay:
    """A bench with a job and its page; what a device sends comes to the bench when `go_on` is called."""

    def __init__(self, closing: ExitStack, folder: Path, needs_code: bool = False) -> None:
        self.memos = MemoFolder(folder)
        self.brought: list[tuple[UUID, str, StepKey]] = []
        album = Album(self.memos, lambda id, job, at: self.brought.append((id, job, at)))
        self.served = Served(closing, needs_code, album)
        self.clock: HandClock = start_of_run(MORNING, "test")
        self.store = MemoryEventStore()
        self.session = JobSession.open(self.store, "a-job", opening(), self.clock.now(), "bench 1")
        self.view = self.served.view
        self.bench = Bench(self.view, NotedSpeaker(), PHRASES, asks_picture=self.view.asks_picture)
        self.go_on()

    def go_on(self, *lines: str, after_ms: int = 1_000) -> str:
        """Let the bench take in what came and what is typed; gives what the page tells then."""
        came, self.brought = self.brought, []
        self.clock.advance(after_ms)
        moment = self.clock.now()
        items: list[Incoming] = [PictureArrived(*one, moment) for one in came]
        items += [TypedLine(line, moment) for line in lines] or [TimePassed(moment)]
        self.bench.run(self.session, items)
        return self.view.shown.told

    def send(self, picture: bytes = PHOTO, asked: object = 0, **headers: str) -> tuple[int, str]:
        """What the page answers to a picture."""
        answer = self.served.ask(f"/picture?asked={asked}", picture, **headers)
        return answer.status, answer.read().decode()

    @property
    def taken(self) -> list[PictureTaken]:
        return [one.event for one in self.store.events("a-job") if isinstance(one.event, PictureTaken)]

    @property
    def files(self) -> list[Path]:
        return sorted(self.memos.folder.glob("*")) if self.memos.folder.exists() else []


@pytest.fixture
def bay(tmp_path: Path) -> Iterator[Bay]:
    with ExitStack() as closing:
        yield Bay(closing, tmp_path / "memos")


def test_a_picture_is_on_the_disk_before_its_event_and_belongs_to_the_step(bay: Bay) -> None:
    assert bay.send() == (204, "")
    (file,) = bay.files
    assert bay.taken == []
    assert "Picture kept." in bay.go_on()
    (taken,) = bay.taken
    assert taken.at == bay.session.state.progress.at
    assert file == bay.memos.path(taken.picture, PICTURE)
    assert [one.by for one in bay.store.events("a-job")][-1] == "page"


def test_what_is_kept_does_not_tell_where_it_was_taken(bay: Bay) -> None:
    assert PLACE in PHOTO
    bay.send()
    content = bay.files[0].read_bytes()
    segments(content)
    assert PLACE not in content
    assert b"Exif" not in content


def test_a_picture_belongs_to_the_finding_that_was_just_said(bay: Bay) -> None:
    bay.go_on("found worn roll link left soon")
    bay.send()
    assert "with finding" in bay.go_on()
    assert bay.taken[0].finding == 1


def watched(bay: Bay) -> http.client.HTTPResponse:
    """A device that has the page open, until what is given is let go."""
    answer = bay.served.ask("/glances")
    answer.readline()
    return answer


def test_one_that_was_asked_for_belongs_to_the_step_where_it_was_asked_for(bay: Bay) -> None:
    device = watched(bay)
    at = bay.session.state.progress.at
    assert "Take it on the page." in bay.go_on("take a picture")
    assert bay.view.shown.picture_asked == 1
    bay.go_on("warning understood", "next")
    assert bay.session.state.progress.at != at
    assert bay.send(asked=1)[0] == 204
    assert bay.view.shown.picture_asked == 0
    bay.go_on()
    assert bay.taken[0].at == at
    assert bay.send(asked=1) == (409, SETTLED), "a second device sent the same"
    device.close()


def test_it_is_not_asked_for_when_nobody_has_the_page_open_and_not_for_ever(bay: Bay) -> None:
    assert "refused: Nobody has the bay page open." in bay.go_on("take a picture")
    assert bay.view.shown.picture_asked == 0
    device = watched(bay)
    bay.go_on("take a picture")
    bay.go_on(after_ms=ASKED_FOR_MS + 1_000)
    assert bay.view.shown.picture_asked == 0
    assert bay.send(asked=1) == (409, SETTLED)
    device.close()


@pytest.mark.parametrize(
    ("sent", "status", "says"),
    [
        (b"", 400, "no whole JPEG"),
        (b"<svg xmlns='http://www.w3.org/2000/svg'>" + SCRIPT + b"</svg>", 400, "no whole JPEG"),
        (b"<!doctype html>" + SCRIPT, 400, "no whole JPEG"),
        (as_file(drawn(), "GIF"), 400, "no whole JPEG"),
        (as_file(drawn(600, 600), "PNG")[:-300], 400, "no whole JPEG"),
        (png_that_claims(30_000, 30_000), 400, "50 million pixels"),
    ],
    ids=lambda value: value if isinstance(value, str) else None,
)
def test_what_is_no_picture_is_refused_in_one_line_and_leaves_nothing(
    bay: Bay, sent: bytes, status: int, says: str
) -> None:
    answered, told = bay.send(sent)
    assert (answered, says in told, "\n" in told) == (status, True, False)
    assert (bay.files, bay.brought) == ([], [])


def test_fifty_million_bytes_are_not_read(bay: Bay) -> None:
    connection = http.client.HTTPConnection(bay.served.host, timeout=20)
    connection.putrequest("POST", "/picture?asked=0")
    for name, value in {"Origin": f"http://{bay.served.host}", "Content-Length": str(50_000_000)}.items():
        connection.putheader(name, value)
    connection.endheaders()
    answer = connection.getresponse()
    assert (answer.status, "20 MB" in answer.read().decode()) == (413, True)


def test_a_body_that_does_not_tell_its_length_is_bounded_too(bay: Bay) -> None:
    def endless() -> Iterator[bytes]:
        for _ in range(PICTURE_BYTES // 1_000_000 + 2):
            yield bytes(1_000_000)

    connection = http.client.HTTPConnection(bay.served.host, timeout=20)
    origin = {"Origin": f"http://{bay.served.host}"}
    try:
        connection.request("POST", "/picture?asked=0", endless(), origin, encode_chunked=True)
        assert connection.getresponse().status == 400
    except ConnectionError:
        pass  # it was cut off before its end
    assert (bay.files, bay.brought) == ([], [])


def test_a_picture_that_is_a_page_too_is_kept_as_a_picture_alone(bay: Bay) -> None:
    bay.send(as_file(drawn(), comment=SCRIPT) + b"<html>" + SCRIPT)
    bay.go_on()
    answer = bay.served.ask(f"/pictures/{bay.taken[0].picture}")
    assert (answer.getheader("content-type"), answer.getheader("x-content-type-options")) == ("image/jpeg", "nosniff")
    assert SCRIPT not in answer.read()


@pytest.mark.parametrize("asked", ["", "-1", "1", "../../x", "9" * 400, "１"])
def test_the_number_of_the_request_is_a_number_or_none(bay: Bay, asked: str) -> None:
    status, _ = bay.send(asked=asked.replace("１", "%EF%BC%91"))
    assert status in (204, 409)
    assert all(file.parent == bay.memos.folder for file in bay.files)


def test_only_pictures_of_this_job_are_shown(bay: Bay) -> None:
    stranger = uuid4()
    bay.memos.keep_picture(stranger, PHOTO)
    (bay.memos.folder.parent / "secret.jpg").write_bytes(PHOTO)
    for path in (f"/pictures/{stranger}", "/pictures/..%2Fsecret", "/pictures/../secret.jpg"):
        assert bay.served.ask(path).status == 404


def test_an_unpaired_device_and_another_site_send_and_see_nothing(tmp_path: Path) -> None:
    with ExitStack() as closing:
        bay = Bay(closing, tmp_path / "memos", needs_code=True)
        assert bay.send()[0] == 403
        assert bay.send(Origin="http://elsewhere.example")[0] == 403
        paired = str(bay.served.ask("/pair", bay.served.pairing.code).getheader("set-cookie")).split(";")[0]
        assert bay.send(Cookie=paired)[0] == 204
        bay.go_on()
        path = f"/pictures/{bay.taken[0].picture}"
        assert bay.served.ask(path).status == 404
        assert bay.served.ask(path, Cookie=paired).status == 200
        assert bay.send(Cookie=paired, Origin="http://elsewhere.example")[0] == 403
    assert len(bay.taken) == 1


def test_a_job_takes_so_many_and_no_more(bay: Bay) -> None:
    for _ in range(MOST_PICTURES):
        bay.brought.append((uuid4(), "a-job", bay.session.state.progress.at))
    bay.brought.append((uuid4(), "a-job", bay.session.state.progress.at))
    assert "the most it can" in bay.go_on()
    assert len(bay.taken) == MOST_PICTURES
    assert bay.send() == (409, "this job takes no more pictures")
    bay.go_on("undo that")
    assert bay.send()[0] == 204


def test_a_picture_that_comes_too_late_is_refused_aloud(bay: Bay) -> None:
    bay.brought.append((uuid4(), "another-job", bay.session.state.progress.at))
    assert "of another job" in bay.go_on()
    bay.session.amend((closing(),), bay.clock.now())
    bay.brought.append((uuid4(), "a-job", bay.session.state.progress.at))
    assert "closed" in bay.go_on()
    assert bay.taken == []


def test_a_memo_that_is_being_recorded_goes_on_when_a_picture_comes(bay: Bay) -> None:
    moment, at = bay.clock.now(), bay.session.state.progress.at
    came = PictureArrived(uuid4(), "a-job", at, moment)
    said = [TypedLine(line, moment) for line in ("keep a memo", "the thread is sound")]
    bay.bench.run(bay.session, [said[0], came, said[1]])
    kinds = [one.event.kind for one in bay.store.events("a-job")]
    assert kinds[-2:] == ["picture taken", "memo kept"]


def test_a_full_disk_loses_nothing_that_was_answered(tmp_path: Path) -> None:
    with small_disk_at(tmp_path / "small", "64k") as disk, ExitStack() as closing:
        bay = Bay(closing, disk / "memos")
        assert bay.send()[0] == 204
        bay.go_on()
        (disk / "filler").write_bytes(bytes(40_000))
        with pytest.raises(OSError, match="No space"):
            (disk / "more").write_bytes(bytes(60_000))
        status, told = bay.send(as_file(drawn(1_600, 1_600).effect_spread(40)))
        assert (status, "the picture was not kept; free some room" in told) == (507, True)
        assert bay.files == [bay.memos.path(bay.taken[0].picture, PICTURE)]
        assert bay.brought == []


def test_the_page_shows_the_step_s_own_picture_and_those_that_were_taken(bay: Bay) -> None:
    procedure = demo_procedure()
    first = procedure.phases[0].steps[0].model_copy(update={"picture": "arm/first.png", "warnings": ()})
    phase = procedure.phases[0].model_copy(update={"steps": (first, *procedure.phases[0].steps[1:])})
    shown = procedure.model_copy(update={"phases": (phase, *procedure.phases[1:])})
    own = uuid4()
    begun = opening(shown).model_copy(update={"pictures": {"arm/first.png": own}})
    bay.session = JobSession.open(bay.store, "b-job", begun, bay.clock.now(), "bench 1")
    bay.memos.keep_picture(own, PHOTO)
    bay.go_on()
    bay.send()
    bay.go_on()
    (file_s, taken) = bay.view.shown.pictures
    assert (file_s.id, file_s.taken, taken.taken) == (own, False, True)
    assert bay.served.ask(f"/pictures/{own}").status == 200
    assert bay.view.shown.glance.counted.endswith(", picture on the page")
