"""What is due over all jobs, lines beside the procedure, who pays: written at the desk, read everywhere."""

from __future__ import annotations

import json
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any

import pytest

from desk.typed import command, refused
from job.table import opening
from log.demo import recorded
from sparehand.ground.places import LOG_FILE
from sparehand.job.events import Event, FollowUpDone, FollowUpScheduled, JobClosed, Vehicle
from sparehand.job.state import fold
from sparehand.log.job_search import plate_key
from sparehand.log.sqlite import SqliteEventStore
from sparehand.log.timesheet import timesheet
from sparehand.screens.card import job_card
from sparehand.screens.due_table import when_words
from sparehand.shop.follow_ups import follow_ups_of_log, left_open_for, read_states

TODAY = date(2026, 11, 25)
OPEN, CLOSED, OTHER = "261101-open", "261102-shut", "261103-else"


def job(store: SqliteEventStore, id: str, *events: Event, plate: str = "DEMO 42", **read: Any) -> None:
    """A job whose operation brings a wheel alignment, with these events after its opening."""
    vehicle = Vehicle(name="invented estate", identification=plate, **read)
    store.append(id, 0, recorded(id, 0, opening().model_copy(update={"vehicle": vehicle}), *events))


@pytest.fixture
def store(tmp_path: Path) -> SqliteEventStore:
    return SqliteEventStore(tmp_path / LOG_FILE)


def rows(store: SqliteEventStore, today: date = TODAY) -> dict[tuple[str, str], str]:
    found, _ = follow_ups_of_log(store, today, None)
    assert {one for one in found if one.standing in ("overdue", "due", "later")} <= set(
        follow_ups_of_log(store, today, today)[0]
    )
    return {(one.job, one.note.id): one.standing for one in found}


def extra(id: str, **due: Any) -> FollowUpScheduled:
    return FollowUpScheduled(follow_up=id, words=f"Look at {id}", **due)


def test_each_follow_up_stands_as_its_date_its_distance_and_the_day_say(store: SqliteEventStore) -> None:
    marks = (
        extra("past", due_on=date(2026, 11, 24)),
        extra("today", due_on=TODAY),
        extra("soon", due_on=date(2026, 12, 24)),
        extra("driven", due_distance=85_000, distance_unit="km"),
        extra("far", due_distance=90_000, distance_unit="km"),
        extra("metered", due_hours=1200),
    )
    job(store, CLOSED, *marks, JobClosed(), odometer=80_000)
    job(store, OTHER, plate="demo-42", odometer=85_010)
    standing = {id: how for (of, id), how in rows(store).items() if of == CLOSED}
    brought = {standing.pop(id) for id in list(standing) if id not in {mark.follow_up for mark in marks}}
    assert brought == {"no date"}
    assert standing == {
        "past": "overdue",
        "today": "due",
        "driven": "due",
        "soon": "later",
        "far": "later",
        "metered": "later",
    }
    assert next(iter(standing)) == "past"


def card_of(store: SqliteEventStore) -> str:
    history = store.events(OPEN)
    state = fold(history)
    return job_card(state, timesheet(state), history)


@pytest.mark.parametrize(
    ("reading", "unit", "standing"),
    [
        (85_000, None, "due"),
        (84_999, None, "later"),
        # A mile is 1.609344 km exactly (NIST Special Publication 811, appendix B; from memory):
        # 52 817 mi are 85 000.7 km, 52 816 mi are 84 999.1 km.
        (52_817, "mi", "due"),
        (52_816, "mi", "later"),
        (85_000, "km", "due"),
    ],
)
def test_a_distance_is_due_in_whatever_unit_the_odometer_counts(
    reading: int, unit: str | None, standing: str, store: SqliteEventStore
) -> None:
    job(store, CLOSED, extra("driven", due_distance=85_000, distance_unit="km"), JobClosed(), odometer=60_000)
    job(store, OTHER, plate="demo-42", odometer=reading, odometer_unit=unit)
    if unit == "mi":
        job(store, OPEN, plate="demo-42", odometer=84_000, odometer_unit="km")
    assert rows(store)[CLOSED, "driven"] == standing


def test_the_unit_of_the_settings_is_recorded_and_printed(
    tmp_path: Path, store: SqliteEventStore, capsys: pytest.CaptureFixture[str]
) -> None:
    job(store, OPEN, extra("driven", due_distance=85_000, distance_unit="km"), odometer=80_000)
    assert "<dd>80000</dd>" in card_of(store)
    command(tmp_path, "settings", "set", "distance_unit", "mi")
    command(tmp_path, "amend", OPEN, "--odometer", "52000")
    command(tmp_path, "due", "set", OPEN, "driven", "--distance", "53000")
    assert "<dd>52000 mi</dd>" in card_of(store)
    found, _ = follow_ups_of_log(store, TODAY, None)
    assert "at 53000 mi, last read 52000 mi" in map(when_words, found)
    assert "distance_unit" in refused(tmp_path, capsys, "settings", "set", "distance_unit", "leagues")


def test_a_later_job_of_the_vehicle_brings_it_back_and_ticks_it(store: SqliteEventStore) -> None:
    job(store, CLOSED, extra("bleed", due_on=TODAY), JobClosed())
    vehicle = Vehicle(name="another name", identification="demo 42")
    open_ones = {(of, note.id) for of, note in left_open_for(store, vehicle)}
    assert (CLOSED, "bleed") in open_ones
    job(store, OTHER, FollowUpDone(follow_up="bleed", result="good", job=CLOSED))
    assert rows(store)[CLOSED, "bleed"] == "done"
    assert (CLOSED, "bleed") not in {(of, note.id) for of, note in left_open_for(store, vehicle)}


@pytest.mark.parametrize("vehicle", [Vehicle(), Vehicle(identification="DEMO 43"), Vehicle(name="invented estate")])
def test_another_vehicle_or_none_brings_nothing_back(store: SqliteEventStore, vehicle: Vehicle) -> None:
    job(store, CLOSED, extra("bleed"), JobClosed())
    job(store, OTHER, extra("bleed"), JobClosed(), plate="")
    assert left_open_for(store, vehicle) == ()


def test_plates_are_the_same_with_and_without_blanks() -> None:
    assert plate_key("DE-MO 42") == plate_key("demo42") != plate_key("")


def test_a_vehicle_without_a_plate_has_its_own_odometer_and_no_others(store: SqliteEventStore) -> None:
    driven = extra("driven", due_distance=85_000, distance_unit="km")
    job(store, CLOSED, driven, JobClosed(), plate="", odometer=84_000)
    job(store, OTHER, driven, JobClosed(), plate="", odometer=86_000)
    assert {of: how for (of, id), how in rows(store).items() if id == "driven"} == {CLOSED: "later", OTHER: "due"}


def test_one_damaged_job_keeps_nobody_from_the_others(store: SqliteEventStore) -> None:
    job(store, CLOSED, extra("bleed"), JobClosed())
    job(store, OTHER, extra("check"))
    with store.engine.begin() as connection:
        connection.exec_driver_sql("update events set body = replace(body, 'bleed', 'blood') where job = ?", (CLOSED,))
    states, damaged = read_states(store, (CLOSED, OTHER))
    assert ([state.job for state in states], damaged) == ([OTHER], [CLOSED])


def test_the_desk_schedules_and_ticks_weeks_later(
    store: SqliteEventStore, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    job(store, CLOSED, JobClosed())
    command(tmp_path, "due", "set", CLOSED, "bolts", "--words", "Re-check the wheel bolts", "--distance", "81000")
    command(tmp_path, "due", "set", CLOSED, "bolts", "--on", "2027-01-31")
    capsys.readouterr()
    command(tmp_path, "due", "--json")
    found = {one["note"]["id"]: one for one in map(json.loads, capsys.readouterr().out.splitlines())}
    assert (found["bolts"]["note"]["due_on"], found["bolts"]["note"]["due_distance"]) == ("2027-01-31", 81000)
    command(tmp_path, "due")
    assert "2027-01-31" in capsys.readouterr().out
    command(tmp_path, "due", "done", CLOSED, "bolts", "--result", "tight", "--by", "Ida Demo")
    assert "done on" in refused(tmp_path, capsys, "due", "done", CLOSED, "bolts")
    history = store.events(CLOSED)
    state = fold(history)
    card = " ".join(job_card(state, timesheet(state), history).split())
    assert f"Re-check the wheel bolts, done on {datetime.now(UTC).astimezone():%Y-%m-%d}: tight" in card


def test_lines_and_payers_of_the_desk_stand_on_the_card_and_in_its_facts(
    store: SqliteEventStore, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    job(store, CLOSED, JobClosed())
    command(tmp_path, "line", "add", CLOSED, "road test", "--minutes", "12", "--distance", "8.5", "--payer", "warranty")
    command(tmp_path, "line", "add", CLOSED, "work elsewhere", "--reference", "W-77")
    command(tmp_path, "line", "note", CLOSED, "2", "--result", "machined", "--amount", "84.50")
    command(tmp_path, "amend", CLOSED, "--payer", "roll-link=goodwill")
    command(tmp_path, "line", "list", CLOSED)
    assert "machined, reference W-77, 84.50 in the shop's money, customer" in capsys.readouterr().out
    command(tmp_path, "card", CLOSED, "--json")
    facts = json.loads(capsys.readouterr().out)
    test, elsewhere = facts["lines"]
    assert (test["work"], test["seconds"], test["distance"], test["payer"]) == ("road test", 720, 8.5, "warranty")
    assert (elsewhere["result"], elsewhere["amount"]) == ("machined", "84.50")
    assert facts["payers"] == {"roll-link": "goodwill"}
    history = store.events(CLOSED)
    state = fold(history)
    card = job_card(state, timesheet(state), history)
    assert "12 min" in card
    assert "<td>goodwill</td>" in card


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (("due", "set", CLOSED, "nothing", "--on", "2026-12-24"), "has no follow-up 'nothing'; it has: "),
        (("due", "set", CLOSED, "x", "--words", "Look", "--on", "24.12.2026"), "'24.12.2026' is no date"),
        (("due", "set", CLOSED, "x", "--words", "Look", "--distance", "-1"), "due_distance"),
        (("due", "set", CLOSED, "x", "--words", "Look", "--distance", "5", "--unit", "feet"), "the unit 'feet'"),
        (("due", "set", CLOSED, "x", "--words", "Look"), "nothing says when it is due"),
        (("due", "done", "zzz", "x"), "there is no job 'zzz'"),
        (("line", "add", CLOSED, "washing"), "the line 'washing' is not known"),
        (("line", "add", CLOSED, "waiting", "--distance", "3"), "a distance belongs to a road test"),
        (("line", "add", CLOSED, "road test", "--distance", "nan"), "distance"),
        (("line", "add", CLOSED, "waiting", "--amount", "12,50"), "'12,50' is no amount of money"),
        (("line", "add", CLOSED, "waiting", "--payer", "uncle"), "the payer 'uncle' is not known"),
        (("line", "note", CLOSED, "3", "--result", "good"), "has no line 3; it has: none"),
        (("amend", CLOSED, "--payer", "engine=warranty"), "this job has no operation 'engine'"),
    ],
)
def test_wrong_input_is_one_clear_line_and_nothing_is_written(
    arguments: tuple[str, ...], says: str, store: SqliteEventStore, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    job(store, CLOSED, JobClosed())
    assert says in refused(tmp_path, capsys, *arguments)
    assert len(store.events(CLOSED)) == 2
