"""Open jobs of the other benches: told without customers, heard of with their age, and nobody's but one's own."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import psycopg
import pytest

from desk.typed import command
from log.demo import opening, recorded
from sharing.attacks import MINE, THEIRS, says
from sharing.server import Server
from sharing.shop import Bench, Shop
from sharing.test_share_command import shares
from sparehand.desk.shop_sharing import drop_shared, list_set_aside
from sparehand.ground.clock import LiveClock
from sparehand.ground.places import LOG_FILE
from sparehand.job.events import Event, HoldStarted, JobClosed, LineNoted, LineStarted, Vehicle
from sparehand.log.sqlite import SqliteEventStore
from sparehand.settings import set_value
from sparehand.sharing.database import SharedDatabase
from sparehand.sharing.database_address import read_address
from sparehand.sharing.database_schema import MIGRATIONS, set_up
from sparehand.sharing.forget_people import forget_in_shop

HELD, AT_WORK = "261129-held", "261129-work"
PLATE, REFERENCE = "DEMO 42", "W-77"
COLUMNS = (
    "shop, installation, name, bench, procedure, standing, technicians, stopped_for, phase, phase_minutes, over_range, "
    "waits_for"
)


def opens(folder: Path, job: str, *after: Event) -> None:
    """An open job of the data folder, recorded just now, on a customer's vehicle."""
    vehicle = Vehicle(name="invented estate", identification=PLATE, odometer=84_210)
    opened = opening(technician="Ada Brook").model_copy(update={"vehicle": vehicle, "complaint": "knocks over bumps"})
    now = LiveClock("now").now()
    store = SqliteEventStore(folder / LOG_FILE)
    events = recorded(job, 0, opened, *after)
    store.append(job, 0, tuple(one.model_copy(update={"at": now, "technician": "Ada Brook"}) for one in events))
    store.close()


@pytest.fixture
def bays(shop: Shop, tmp_path: Path) -> tuple[Path, Path]:
    """Two data folders; the first has an open job that waits, and has shared it."""
    one, two = tmp_path / "one", tmp_path / "two"
    for folder, name in ((one, "bay one"), (two, "bay two")):
        folder.mkdir()
        set_value(folder, "bench", name)
    opens(one, HELD, LineStarted(work="work elsewhere"), HoldStarted(reason="parts"))
    store = SqliteEventStore(one / LOG_FILE)
    count = len(store.events(HELD))
    line = LineNoted(line=1, reference=REFERENCE)
    store.append(HELD, count, recorded(HELD, count, line))
    store.close()
    shares(shop, one, "bay_one")
    return one, two


def told(folder: Path, capsys: pytest.CaptureFixture[str]) -> list[dict[str, Any]]:
    capsys.readouterr()
    command(folder, "today", "--json")
    return [json.loads(line) for line in capsys.readouterr().out.splitlines()]


def shown(folder: Path, capsys: pytest.CaptureFixture[str]) -> str:
    capsys.readouterr()
    command(folder, "today")
    return " ".join(capsys.readouterr().out.split())


def test_every_bench_sees_the_open_jobs_of_the_others(
    shop: Shop, bays: tuple[Path, Path], capsys: pytest.CaptureFixture[str]
) -> None:
    one, two = bays
    opens(two, AT_WORK)
    shares(shop, two, "bay_two")
    shares(shop, one, "bay_one")
    here, there = told(two, capsys)
    assert (here["job"], here["shared_at"]) == (AT_WORK, None)
    assert (there["job"], there["bench"], there["standing"]) == (f"{HELD}@bay one", "bay one", "on hold")
    assert there["people"] == [{"name": "Ada Brook", "stopped_for": "parts"}]
    assert there["waits_for"] == ["parts", "work elsewhere"]
    # The bench itself, asked some seconds later.
    assert there["work_left"] == pytest.approx(told(one, capsys)[0]["work_left"], rel=0.05)
    ready = told(one, capsys)[1]
    assert (ready["job"], ready["standing"]) == (f"{AT_WORK}@bay two", "working")
    assert ready["ready_half"] < ready["ready_most"]
    assert "as of" in shown(one, capsys)


def test_nothing_of_a_customer_is_told(shop: Shop, bays: tuple[Path, Path], capsys: pytest.CaptureFixture[str]) -> None:
    ((row,),) = shop.rows("SELECT open_jobs::text FROM open_jobs")
    for private in (PLATE, REFERENCE, "invented estate", "84210", "knocks", "Ada Brook"):
        assert private not in str(row)
    shares(shop, bays[1], "bay_two")
    (there,) = told(bays[1], capsys)
    assert (there["vehicle"], there["plate"], there["promised"]) == ("", "", None)


def test_a_job_that_is_closed_is_open_no_more(
    shop: Shop, bays: tuple[Path, Path], capsys: pytest.CaptureFixture[str]
) -> None:
    one, two = bays
    shares(shop, two, "bay_two")
    store = SqliteEventStore(one / LOG_FILE)
    count = len(store.events(HELD))
    store.append(HELD, count, recorded(HELD, count, JobClosed(reason="parts on order")))
    store.close()
    shares(shop, one, "bay_one")
    assert shop.count("open_jobs") == 0
    assert len(told(two, capsys)) == 1
    shares(shop, two, "bay_two")
    assert told(two, capsys) == []


def test_an_old_row_says_how_old_and_an_older_one_goes(
    shop: Shop, bays: tuple[Path, Path], capsys: pytest.CaptureFixture[str]
) -> None:
    one, two = bays
    opens(one, AT_WORK)
    shares(shop, one, "bay_one")
    shop.rows("UPDATE open_jobs SET arrived = now() - interval '3 hours' RETURNING 1")
    shares(shop, two, "bay_two")
    held, working = told(two, capsys)
    assert (held["standing"], working["standing"], working["ready_half"]) == ("on hold", "bench off", None)
    assert working["work_left"]
    assert shown(two, capsys).count("3 h 0 min ago") == 2
    shop.rows("UPDATE open_jobs SET arrived = now() - interval '31 days' RETURNING 1")
    shares(shop, two, "bay_two")
    assert told(two, capsys) == []
    assert shop.count("open_jobs") == 0


def test_names_go_as_everywhere_and_a_forgotten_one_is_gone(
    shop: Shop, bays: tuple[Path, Path], capsys: pytest.CaptureFixture[str]
) -> None:
    one, two = bays
    shares(shop, two, "bay_two")
    database = SharedDatabase(read_address(shop.server.url(shop.database, "forgetter")))
    assert forget_in_shop(database, ["Ada Brook"]) == 1
    database.close()
    shares(shop, two, "bay_two")
    assert told(two, capsys)[0]["people"][0]["name"].startswith("forgotten ")
    assert "Ada" not in shown(two, capsys)
    with pytest.raises(psycopg.errors.InsufficientPrivilege):
        says(shop, "forgetter", "SELECT * FROM open_jobs")
    assert one.exists()


def test_with_names_withheld_a_pseudonym_is_told(
    shop: Shop, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    opens(tmp_path / "one", HELD)
    shares(shop, tmp_path / "one", "bay_one", "--without", "names")
    set_value(tmp_path / "two", "bench", "bay two")
    shares(shop, tmp_path / "two", "bay_two")
    assert told(tmp_path / "two", capsys)[0]["people"][0]["name"].startswith("technician ")


def a_row(installation: str = MINE, **wrong: str) -> str:
    row = {
        "installation": installation, "name": "'261126-b2xz'", "bench": "'bay two'", "standing": "'working'",
        "technicians": "ARRAY['p']", "stopped_for": "ARRAY['']", "phase": "'fit'", "minutes": "1", "waits_for": "'{}'",
    } | wrong  # fmt: skip
    values = ", ".join(
        row.get(field, default)
        for field, default in (
            ("shop", "'Demo Shop'"), ("installation", ""), ("name", ""), ("bench", ""), ("procedure", "'p'"),
            ("standing", ""), ("technicians", ""), ("stopped_for", ""), ("phase", ""), ("minutes", ""),
            ("over", "false"), ("waits_for", ""),
        )
    )  # fmt: skip
    return f"INSERT INTO open_jobs ({COLUMNS}) VALUES ({values})"


@pytest.mark.usefixtures("two")
@pytest.mark.parametrize(
    "attack",
    [
        a_row(THEIRS),
        a_row(bench="'bay one'"),
        a_row(name="'261125-k7qm'"),
        a_row(shop="'Another Demo Shop'"),
        a_row(name="repeat('x', 121)"),
        a_row(phase="repeat('x', 121)"),
        a_row(standing="'asleep'"),
        a_row(minutes="'NaN'"),
        a_row(minutes="-1"),
        a_row(technicians="array_fill('p'::text, ARRAY[21])", stopped_for="array_fill(''::text, ARRAY[21])"),
        a_row(technicians="ARRAY['p', 'q']"),
        a_row(technicians="ARRAY[['p']]", stopped_for="ARRAY[['']]"),
        a_row(technicians="ARRAY[NULL::text]"),
        a_row(waits_for="ARRAY[repeat('x', 9999)]"),
        a_row().replace(COLUMNS, f"{COLUMNS}, arrived").replace("'{}')", "'{}', now())"),
        "UPDATE open_jobs SET standing = 'working'",
        "TRUNCATE open_jobs",
    ],
)
def test_a_bench_tells_of_its_own_jobs_alone_and_within_bounds(shop: Shop, attack: str) -> None:
    says(shop, "bay_two", a_row())
    shop.rows("DELETE FROM open_jobs RETURNING 1")
    with pytest.raises((psycopg.errors.InsufficientPrivilege, psycopg.errors.CheckViolation)):
        says(shop, "bay_two", attack)


@pytest.mark.usefixtures("bays")
def test_a_bench_takes_away_no_row_of_another(shop: Shop) -> None:
    for login in ("bay_two", "elsewhere"):
        says(shop, login, "DELETE FROM open_jobs")
    assert shop.count("open_jobs") == 1


def test_a_row_that_cannot_be_shown_is_set_aside_and_the_rest_is_taken(
    shop: Shop, two: tuple[Bench, Bench], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert two
    says(shop, "bay_two", a_row(phase="E'\\x1b[2J'"))
    third = tmp_path / "three"
    set_value(third, "bench", "bay three")
    opens(tmp_path / "four", HELD)
    set_value(tmp_path / "four", "bench", "bay four")
    shares(shop, tmp_path / "four", "bay_one")
    shares(shop, third, "bay_one")
    assert [one["job"] for one in told(third, capsys)] == [f"{HELD}@bay four"]
    list_set_aside(third)
    row, _, said = capsys.readouterr().out.splitlines()[0].partition("  ")
    assert said.startswith("bay two: 'phase': a name has at most")
    drop_shared(shop.server.url(shop.database), row, "Demo Shop")
    shares(shop, third, "bay_one")
    capsys.readouterr()
    list_set_aside(third)
    assert capsys.readouterr().out == "Nothing.\n"


def test_benches_and_databases_of_an_earlier_version_work_on(
    server: Server, shop: Shop, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    # A released bench refuses a database whose version is above 2.
    assert shop.rows("SELECT version FROM about") == [(2,)]
    assert len(MIGRATIONS) == 2
    opens(tmp_path / "one", HELD)
    shop.rows("DROP TABLE open_jobs; SELECT 1")
    try:
        shares(shop, tmp_path / "one", "bay_one")
        assert "Open jobs are not shared" in capsys.readouterr().out
    finally:
        database = SharedDatabase(read_address(server.url(shop.database)))
        set_up(database)
        database.close()
    shares(shop, tmp_path / "one", "bay_one")
    assert shop.count("open_jobs") == 1
    assert "not shared" not in capsys.readouterr().out
