"""`sparehand share` as a person types it."""

from __future__ import annotations

from pathlib import Path

import pytest
from PIL import Image

from ground.pictured import PLACE, as_file, drawn, segments, with_place
from sharing.shop import JOB, OTHER, Shop
from sparehand.cli.command_line import main
from sparehand.desk.shop_sharing import Wish, keep_sharing
from sparehand.ground.places import bundled
from sparehand.job.events import LessonKept, Undone
from sparehand.log.sqlite import SqliteEventStore
from sparehand.procedures.library import find_procedure
from sparehand.procedures.picture_files import read_picture
from sparehand.procedures.plan import PhaseKey, StepKey
from sparehand.settings import set_value
from sparehand.sharing.sync_state import SyncStates
from sparehand.shop.earlier_jobs import shop_lessons


def shares(shop: Shop, folder: Path, login: str, *options: str) -> None:
    with pytest.raises(SystemExit) as stop:
        main(["share", shop.server.url(shop.database, login), "--data", str(folder), *options])
    assert not stop.value.code


def test_two_benches_share_by_the_command_line(shop: Shop, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    shop.bench(tmp_path / "one").works()
    set_value(tmp_path / "one", "bench", "bay one")
    shares(shop, tmp_path / "one", "bay_one")
    assert "7 rows sent, 0 phase times" in capsys.readouterr().out
    shares(shop, tmp_path / "two", "bay_two")
    assert "0 rows sent, 1 phase times of other benches fetched" in capsys.readouterr().out


def test_a_lesson_and_a_procedure_of_one_bench_are_heard_and_found_on_another(shop: Shop, tmp_path: Path) -> None:
    one, two = tmp_path / "one", tmp_path / "two"
    bench = shop.bench(one)
    bench.works(JOB, 3, close=False)
    at = StepKey(at=PhaseKey("fit", "left"), step="offer-up")
    bench.records(JOB, 3, LessonKept(at=at, words="the long bar fits from behind"))
    bench.records(JOB, 4, LessonKept(at=at, words="never mind"))
    bench.records(JOB, 5, Undone(batch=4))
    set_value(one, "bench", "bay one")
    (one / "procedures").mkdir()
    demo = bundled("procedures") / "engine-mounts.yaml"
    own = (
        demo.read_text()
        .replace("id: engine-mounts", "id: our-own-mounts", 1)
        .replace("engine-mounts/", "our-own-mounts/")
    )
    (one / "procedures" / "our-own-mounts.yaml").write_text(own)
    picture = one / "procedures" / "our-own-mounts" / "bush-in.png"
    picture.parent.mkdir()
    picture.write_bytes(with_place())
    shares(shop, one, "bay_one")
    shares(shop, two, "bay_two")
    (lesson,) = shop_lessons(SqliteEventStore(two / "log.sqlite"))
    assert (lesson.note.words, lesson.note.by, lesson.procedure) == (
        "the long bar fits from behind",
        "Ida Demo",
        "demo-bracket",
    )
    found = find_procedure("our-own-mounts", two)
    assert found.procedure.id == "our-own-mounts"
    assert PLACE not in read_picture(found.path, "our-own-mounts/bush-in.png")
    segments(read_picture(found.path, "our-own-mounts/bush-in.png"))
    picture.write_bytes(as_file(drawn(80, 60), "PNG"))
    shares(shop, one, "bay_one")
    shares(shop, two, "bay_two")
    with Image.open(two / "shared" / "procedures" / "our-own-mounts" / "bush-in.png") as changed:
        assert changed.size == (80, 60)


def test_forgetting_by_the_command_line_reaches_the_shared_database(
    shop: Shop, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    shop.bench(tmp_path).works()
    shares(shop, tmp_path, "bay_one")
    url = shop.server.url(shop.database, "forgetter")
    with pytest.raises(SystemExit) as stop:
        main(["person", "forget", "Ida Demo", "--shared", url, "--data", str(tmp_path)])
    assert not stop.value.code
    assert "shop at 127.0.0.1: 1 forgotten." in capsys.readouterr().out
    assert shop.rows("SELECT name FROM people") == [(None,)]


def test_what_is_withheld_once_stays_withheld_until_nothing_is(shop: Shop, tmp_path: Path) -> None:
    bench = shop.bench(tmp_path)
    bench.works(JOB)
    shares(shop, tmp_path, "bay_one", "--without", "vehicles")
    bench.works(OTHER)
    shares(shop, tmp_path, "bay_one")
    assert shop.rows("SELECT DISTINCT redacted FROM events WHERE sequence = 0") == [(True,)]
    shares(shop, tmp_path, "bay_one", "--without", "nothing")
    assert SyncStates(tmp_path).withheld() == frozenset()


def test_watching_goes_on_after_a_failure_and_ends_when_it_is_stopped(
    shop: Shop, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    bench = shop.bench(tmp_path)
    waits: list[float] = []

    def wait(seconds: float) -> None:
        waits.append(seconds)
        if len(waits) == 1:
            shop.server.kill()
        elif len(waits) == 2:
            shop.server.start()
            bench.works(JOB)
        else:
            raise KeyboardInterrupt

    keep_sharing(Wish(shop.server.url(shop.database, "bay_one")), tmp_path, wait)
    printed = capsys.readouterr()
    assert waits == [30.0, 60.0, 30.0]
    assert "cannot be reached" in printed.err
    assert "7 rows sent" in printed.out
