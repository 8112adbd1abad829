"""Files, names and data of earlier versions that came from other benches: what is wrong in them stops nobody."""

from __future__ import annotations

import hashlib
import sqlite3
from pathlib import Path

import pytest

from ground.pictured import as_file, drawn, png_that_claims
from sharing.attacks import MINE, NAN, NEXT, a_push, a_revision, says
from sharing.shop import JOB, OTHER, Bench, Shop
from sparehand.ground.errors import InputError
from sparehand.ground.places import bundled
from sparehand.job.events import JobClosed
from sparehand.sharing.database import SharedDatabase
from sparehand.sharing.database_address import read_address
from sparehand.sharing.database_schema import MIGRATIONS, set_up
from sparehand.sharing.parcel import imported_job
from sparehand.sharing.procedure_files import pull_procedures, push_procedures
from sparehand.sharing.pull import pull
from sparehand.sharing.read_shop_copy import shop_copy_notes
from sparehand.sharing.shop_copy import ShopCopy


@pytest.mark.parametrize("body", ["", "a: [", "&a [*a]", "format: 1\nid: p\n", "\u202e"])
def test_a_procedure_that_is_not_sound_is_set_aside_and_the_sound_one_before_it_stays(
    shop: Shop, two: tuple[Bench, Bench], body: str
) -> None:
    digest = hashlib.sha256(body.encode()).hexdigest()
    says(
        shop,
        "bay_two",
        "INSERT INTO procedures (shop, sha256, procedure, body, bench, installation) VALUES "
        f"('Demo Shop', '{digest}', 'our-own-joint', '{body}', 'bay two', {MINE})",
    )
    copy = ShopCopy(two[0].folder)
    assert pull_procedures(two[0].database, two[0].folder, copy) == 0
    (aside,) = copy.set_aside()
    copy.close()
    assert (aside.row, aside.sender) == (f"procedure/{digest}", "bay two")
    assert list((two[0].folder / "shared").rglob("*.yaml")) == []


@pytest.mark.parametrize(
    ("path", "body", "aside"),
    [
        ("our-own-mounts/bush-in.png", b"<svg><script>alert(1)</script></svg>", True),
        ("our-own-mounts/bush-in.png", png_that_claims(30_000, 30_000), True),
        ("our-own-mounts/other.png", as_file(drawn()), False),
        ("engine-mounts/bush-in.png", as_file(drawn()), False),
        ("../../outside.png", as_file(drawn()), False),
        ("/outside.png", as_file(drawn()), False),
    ],
)
def test_a_picture_that_is_none_or_that_no_procedure_names_is_not_taken(
    shop: Shop, two: tuple[Bench, Bench], path: str, body: bytes, aside: bool
) -> None:
    one, other = two
    installed = other.folder / "procedures"
    installed.mkdir()
    text = (bundled("procedures") / "engine-mounts.yaml").read_text()
    own = text.replace("id: engine-mounts", "id: our-own-mounts", 1).replace("engine-mounts/", "our-own-mounts/")
    (installed / "our-own-mounts.yaml").write_text(own)
    push_procedures(other.database, other.folder, "bay two", other.pushes().installation)
    digest = hashlib.sha256(body).hexdigest()
    says(
        shop,
        "bay_two",
        "INSERT INTO procedure_pictures (shop, procedure, path, sha256, body, bench, installation) VALUES "
        f"('Demo Shop', 'our-own-mounts', '{path}', '{digest}', '\\x{body.hex()}', 'bay two', {MINE})",
    )
    copy = ShopCopy(one.folder)
    assert pull_procedures(one.database, one.folder, copy) == 1
    assert [listed.row for listed in copy.set_aside()] == [f"picture/{digest}"] * aside
    copy.close()
    assert list(one.folder.rglob("*.png")) == []


@pytest.mark.usefixtures("two")
def test_an_import_that_has_the_name_of_another_bench_s_job_takes_none_of_its_place(shop: Shop, tmp_path: Path) -> None:
    name = f"{JOB}@bay one"
    job = f"'{imported_job(name)}'::uuid"
    told = (
        a_revision(job, 2, MINE, imported=True)
        .replace("'x'", f"'{name}'")
        .replace("'2026-11-25'", "'2026-11-25T08:00:00Z'")
    )
    rows = ", ".join(
        f"('Demo Shop', '2026-11-01', {job}, 2, '{phase}', '', 'y', 60, 0, '', true)" for phase in ("fit", "forged")
    )
    third = shop.bench(tmp_path / "three", "bay three", "bay_one")
    third.pulls()
    says(shop, "bay_two", a_push(MINE, NEXT), told, f"INSERT INTO phase_times VALUES {rows}")
    third.pulls()
    (kept,) = (times for times in third.knows_of_others() if times.job == name)
    assert [phase.phase for phase in kept.phases] == ["fit"]


@pytest.mark.usefixtures("two")
def test_a_bench_name_and_a_data_folder_belong_to_the_login_that_shared_first(shop: Shop, tmp_path: Path) -> None:
    stranger = shop.bench(tmp_path / "new", "bay one", "bay_two")
    with pytest.raises(InputError, match="'bay one' belongs to another login"):
        stranger.pushes(take_over=True)
    moved = shop.bench(tmp_path / "one", "bay one", "bay_two")
    with pytest.raises(InputError, match="has shared by another login"):
        moved.pushes()
    moved.name = "bay nine"
    moved.records(JOB, 6, JobClosed())
    assert moved.pushes(take_over=True).left_out == (JOB,)


def test_a_job_that_an_earlier_version_took_out_of_bounds_is_left_out_and_the_others_are_sent(
    shop: Shop, tmp_path: Path
) -> None:
    bench = shop.bench(tmp_path)
    bench.works(JOB)
    bench.works(OTHER)
    path = bench.store.path
    bench.store.close()
    with sqlite3.connect(path) as log:
        body = log.execute("SELECT body FROM events WHERE job = ? AND sequence = 0", (JOB,)).fetchone()[0]
        wrong = body.replace("2026-11-25T", "0001-01-01T")
        log.execute("UPDATE events SET body = ? WHERE job = ? AND sequence = 0", (wrong, JOB))
    assert bench.pushes().left_out == (JOB,)
    assert shop.rows("SELECT name FROM jobs") == [(OTHER,)]


@pytest.mark.usefixtures("two")
def test_a_copy_that_an_earlier_version_filled_opens_without_what_is_wrong_and_is_fetched_again(
    shop: Shop, tmp_path: Path
) -> None:
    third = shop.bench(tmp_path / "three", "bay three", "bay_one")
    third.pulls()
    with sqlite3.connect(third.folder / "shared" / "shop.sqlite") as copy:
        copy.execute("DROP TABLE set_aside")
        copy.execute("UPDATE job_times SET seconds = '1e308,0' WHERE job LIKE '%bay one'")
        copy.execute("INSERT INTO noted VALUES ('x', 1, '{')")
    assert [times.job for times in third.knows_of_others()] == [f"{OTHER}@bay two"]
    assert shop_copy_notes(third.folder) == ()
    third.pulls()
    assert len(third.knows_of_others()) == 2


def test_a_database_of_the_first_version_loses_what_none_can_read_and_keeps_the_rest(shop: Shop) -> None:
    name = shop.server.new_database()
    database = SharedDatabase(read_address(shop.server.url(name)))
    first = "CREATE SCHEMA sparehand; SET search_path = sparehand, pg_temp;" + MIGRATIONS[0]
    job = "'00000000-0000-0000-0000-00000000000{}'"
    row = "('Demo Shop', '2026-11-01', {}, 1, 'fit', '', 'y', {}, 0, '', true)"
    shop.server.tell(
        name,
        first
        + "UPDATE about SET version = 1; SELECT open_month('2026-11-01'); INSERT INTO phase_times VALUES "
        + ", ".join((row.format(job.format(1), NAN), row.format(job.format(2), "60")))
        + "; INSERT INTO pushes VALUES ('Demo Shop', 'old', 1, 'bay one', 't', 5, 0, 0)",
    )
    set_up(database)
    assert shop.server.tell(name, "SELECT work_seconds FROM sparehand.phase_times") == [(60.0,)]
    assert shop.server.tell(name, "SELECT count(*) FROM sparehand.pushes") == [(1,)]
    shop.server.tell(name, "SELECT sparehand.open_month('2026-10-01')")
    database.close()


def test_a_number_that_was_sent_far_ahead_is_not_counted_up_to(shop: Shop, two: tuple[Bench, Bench]) -> None:
    shop.rows(f"{a_push(MINE, 2**62)} RETURNING number")
    copy = ShopCopy(two[0].folder)
    assert pull(two[0].database, two[0].store, copy, "none") >= 1
    copy.close()
