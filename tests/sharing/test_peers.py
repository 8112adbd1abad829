"""No bench speaks for another; what one sent wrong stops nobody, and is set aside by row until the owner drops it."""

from __future__ import annotations

from pathlib import Path

import psycopg
import pytest

from sharing.attacks import (
    ATTACKS,
    INFINITY,
    MINE,
    MY_JOB,
    NAN,
    NEXT,
    a_push,
    a_revision,
    an_event,
    says,
)
from sharing.shop import JOB, LASTING, OTHER, Bench, Shop
from sparehand.cli.command_line import main
from sparehand.desk.shop_sharing import drop_shared
from sparehand.ground.errors import InputError
from sparehand.job.events import LessonKept
from sparehand.procedures.plan import PhaseKey, StepKey
from sparehand.sharing.read_shop_copy import shop_copy_notes
from sparehand.sharing.shop_copy import ShopCopy


def everything(shop: Shop) -> list[object]:
    return [
        sorted(map(repr, shop.rows(f"SELECT * FROM {table}"))) for table in ("installations", "open_jobs", *LASTING)
    ]


@pytest.mark.parametrize("attack", ATTACKS.values(), ids=ATTACKS)
@pytest.mark.usefixtures("two")
def test_a_bench_cannot_speak_for_another_nor_store_what_none_can_read(shop: Shop, attack: str) -> None:
    before = everything(shop)
    with pytest.raises((psycopg.errors.InsufficientPrivilege, psycopg.errors.CheckViolation)):
        says(shop, "bay_two", attack)
    assert everything(shop) == before


@pytest.mark.parametrize("column", ["work_seconds", "held_seconds"])
@pytest.mark.parametrize("value", [NAN, INFINITY, "'-infinity'", "-1", "1e308"])
@pytest.mark.usefixtures("two")
def test_seconds_that_are_none_are_refused_by_the_database(shop: Shop, column: str, value: str) -> None:
    seconds = {"work_seconds": "1", "held_seconds": "1"} | {column: value}
    values = f"'2026-11-01', {MY_JOB}, 98, 'fit', '', 'y', {', '.join(seconds.values())}, '', true"
    with pytest.raises(psycopg.errors.CheckViolation):
        says(
            shop,
            "bay_two",
            a_push(MINE, NEXT),
            a_revision(MY_JOB, 98, MINE),
            f"INSERT INTO phase_times VALUES ('Demo Shop', {values})",
        )


@pytest.mark.usefixtures("two")
def test_the_one_who_forgets_blanks_a_name_and_gives_nobody_another(shop: Shop) -> None:
    with pytest.raises(psycopg.errors.InsufficientPrivilege):
        says(shop, "forgetter", "UPDATE people SET name = 'Somebody Else'")
    says(shop, "forgetter", "UPDATE people SET name = NULL")
    assert shop.rows("SELECT DISTINCT name FROM people") == [(None,)]


def poison(shop: Shop, column: str, value: str) -> None:
    """Phase times as the second bench may send them, of which one value makes no sense."""
    values = {"phase": "'fit'", "side": "'left'", "technician": "'y'", "w": "60", "h": "0", "snags": "''"}
    told = values | {column: value}
    says(
        shop,
        "bay_two",
        a_push(MINE, NEXT),
        a_revision(MY_JOB, 98, MINE).replace(
            "'2026-11-25'", value if column == "opened_at" else "'2026-11-25T08:00:00Z'"
        ),
        f"INSERT INTO phase_times VALUES ('Demo Shop', '2026-11-01', {MY_JOB}, 98, "
        f"{', '.join(told[key] for key in values)}, true)",
    )


@pytest.mark.parametrize(
    ("column", "value"),
    [
        ("phase", "E'\\x1b[2J'"),
        ("side", "'below'"),
        ("technician", "E'\\u202e'"),
        ("snags", "'seized:NaN'"),
        ("snags", "'seized:1e9'"),
        ("opened_at", "'0001-01-01T00:00:00+14:00'"),
        ("opened_at", "'yesterday'"),
    ],
)
def test_what_a_bench_sent_wrong_is_set_aside_by_row_and_the_rest_goes_on(
    shop: Shop, two: tuple[Bench, Bench], tmp_path: Path, column: str, value: str, capsys: pytest.CaptureFixture[str]
) -> None:
    third = shop.bench(tmp_path / "three", "bay three", "bay_one")
    poison(shop, column, value)
    two[0].shift = 2 << 100
    two[0].works("261127-c3cc")
    two[0].pushes()
    third.pulls()
    known = {times.job for times in third.knows_of_others()}
    assert known == {f"{JOB}@bay one", "261127-c3cc@bay one"} | ({f"{OTHER}@bay two"} & known)
    with pytest.raises(SystemExit):
        main(["share", shop.server.url(shop.database), "--set-aside", "--data", str(third.folder)])
    listed = capsys.readouterr().out
    row, _, said = listed.partition("  ")
    assert said.startswith("bay two: ")
    with pytest.raises(InputError, match="may not do that"):
        says_on_the_command_line(shop, "bay_two", row)
    says_on_the_command_line(shop, "owner", row)
    third.pulls()
    copy = ShopCopy(third.folder)
    assert copy.set_aside() == ()
    copy.close()


def says_on_the_command_line(shop: Shop, login: str, row: str) -> None:
    drop_shared(shop.server.url(shop.database, login), row, "Demo Shop")


@pytest.mark.parametrize(
    "body",
    [
        "",
        "{",
        "[" * 5000,
        '{"event":{"kind":"lesson kept"}}',
        '{"technician":"a\\u0000b","event":{"kind":"lesson kept"}}',
        '{"technician":{},"event":{"kind":"lesson kept"}}',
    ],
)
def test_a_lesson_that_cannot_be_read_keeps_nobody_from_the_others(
    shop: Shop, two: tuple[Bench, Bench], tmp_path: Path, body: str
) -> None:
    at = StepKey(at=PhaseKey("fit", "left"), step="offer-up")
    two[0].records(JOB, 6, LessonKept(at=at, words="the long bar fits from behind"))
    two[0].pushes()
    said = an_event(MY_JOB, 99, MINE, NEXT.replace(" + 1", "")).replace("'undone', '{}'", f"'lesson kept', '{body}'")
    says(shop, "bay_two", a_push(MINE, NEXT), said)
    third = shop.bench(tmp_path / "three", "bay three", "bay_one")
    third.pulls()
    words = [
        one.event.words
        for history in shop_copy_notes(third.folder)
        for one in history
        if isinstance(one.event, LessonKept)
    ]
    assert words == ["the long bar fits from behind"]
    copy = ShopCopy(third.folder)
    (aside,) = copy.set_aside()
    copy.close()
    assert (aside.row.startswith("event/"), aside.sender) == (True, "bay two")
