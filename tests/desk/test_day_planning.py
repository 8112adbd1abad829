"""`sparehand day` from a plan file: planned and open jobs, what is wrong in a plan, promises and their calibration."""

from __future__ import annotations

import json
import tomllib
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from desk.typed import command, refused
from job.table import demo_procedure, opening
from log.demo import recorded
from sparehand.ground.clock import LiveClock
from sparehand.ground.places import LOG_FILE
from sparehand.job.events import JobClosed, Vehicle
from sparehand.log.sqlite import SqliteEventStore
from sparehand.log.visit_records import VisitRecords
from sparehand.visit.calibration import JobEnd, PromiseOutcome, calibration, promise_outcomes
from sparehand.visit.day_plan import plan_schema
from sparehand.visit.records import Promise, promise_record

NOON = datetime(2026, 11, 30, 12, 0, tzinfo=UTC)
PLAN = """format = 1
at = 2026-11-30T08:00:00+01:00
technicians = ["Ada Brook", "Ben Field"]
bays = ["lift", "yard"]

[[open]]
from = 2026-11-30T08:00:00+01:00
until = 2026-11-30T17:00:00+01:00

[[job]]
name = "estate"
work = "brake-discs-epb:brake-pads"
sides = ["left"]
plate = "DEMO 42"
promised = 2026-11-30T12:00:00+01:00

[[job]]
name = "van"
work = "wheel-bearing-press:wheel-bearing"
technician = "Ben Field"
bay = "lift"
"""
OPEN, SHUT = "261129-open", "261129-shut"


@pytest.fixture
def data(tmp_path: Path) -> Path:
    (tmp_path / "plan.toml").write_text(PLAN, encoding="utf-8")
    store = SqliteEventStore(tmp_path / LOG_FILE)
    now = LiveClock("now").now()
    for id, more in ((OPEN, ()), (SHUT, (JobClosed(),))):
        opened = opening().model_copy(update={"vehicle": Vehicle(identification="DEMO 7")})
        events = tuple(one.model_copy(update={"at": now}) for one in recorded(id, 0, opened, *more))
        store.append(id, 0, events)
    return tmp_path


def day(data: Path, capsys: pytest.CaptureFixture[str], plan: str = PLAN, *options: str) -> dict[str, Any]:
    (data / "plan.toml").write_text(plan, encoding="utf-8")
    command(data, "day", str(data / "plan.toml"), "--json", *options)
    told: dict[str, Any] = json.loads(capsys.readouterr().out)
    return told


def test_planned_jobs_get_who_where_when_and_how_sure(data: Path, capsys: pytest.CaptureFixture[str]) -> None:
    told = day(data, capsys)
    estate, van = sorted(told["jobs"], key=lambda row: str(row["name"]))
    assert (van["technician"], van["bay"], van["promised"]) == ("Ben Field", "lift", None)
    assert estate["bay"] == "yard"
    assert 0.5 < estate["chance"] <= 1
    assert estate["ready_half"] < estate["ready_most"]
    assert told["proven"]
    command(data, "day", str(data / "plan.toml"))
    assert "of 1 promise" in capsys.readouterr().out


def test_an_open_job_goes_on_first_with_who_works_on_it(data: Path, capsys: pytest.CaptureFixture[str]) -> None:
    job = f'[[job]]\nname = "in work"\njob = "{OPEN}"\n'
    rows = {row["name"]: row for row in day(data, capsys, PLAN + job)["jobs"]}
    assert rows["in work"]["technician"] == "Ada Brook"
    assert rows["in work"]["starts"].startswith("2026-11-30T08:00")


def test_work_that_the_plan_does_not_have_is_named(data: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert day(data, capsys)["besides"] == [f"Ada Brook is at work on job {OPEN}, which the plan does not have."]
    job = f'[[job]]\nname = "in work"\njob = "{OPEN}"\n'
    assert day(data, capsys, PLAN + job)["besides"] == []


def test_a_technician_or_a_bay_cannot_be_in_work_twice(data: Path, capsys: pytest.CaptureFixture[str]) -> None:
    store = SqliteEventStore(data / LOG_FILE)
    store.append("261130-more", 0, recorded("261130-more", 0, opening()))
    jobs = (
        f'[[job]]\nname = "a"\njob = "{OPEN}"\nbay = "lift"\n[[job]]\nname = "b"\njob = "261130-more"\nbay = "lift"\n'
    )
    (data / "plan.toml").write_text(PLAN + jobs, encoding="utf-8")
    said = refused(data, capsys, "day", str(data / "plan.toml"))
    assert "'Ada Brook' is used twice" in said
    by_ben = opening().model_copy(update={"technician": "Ben Field"})
    store.append("261130-bens", 0, recorded("261130-bens", 0, by_ben))
    (data / "plan.toml").write_text(PLAN + jobs.replace("261130-more", "261130-bens"), encoding="utf-8")
    assert "bay 'lift' is used twice" in refused(data, capsys, "day", str(data / "plan.toml"))
    apart = jobs.replace('name = "b"', 'name = "b"\nparts_at = 2026-11-30T10:00:00+01:00')
    assert len(day(data, capsys, PLAN + apart)["jobs"]) == 4


HOURS = """
[[hours]]
technician = "Ben Field"
from = 2026-11-30T13:00:00+01:00
until = 2026-11-30T15:00:00+01:00

[[off]]
technician = "Ada Brook"
from = 2026-11-30T08:30:00+01:00
until = 2026-11-30T10:30:00+01:00
"""


def test_hours_of_a_technician_and_a_day_off_are_kept(data: Path, capsys: pytest.CaptureFixture[str]) -> None:
    free = {row["name"]: row for row in day(data, capsys)["jobs"]}
    kept = {row["name"]: row for row in day(data, capsys, PLAN + HOURS)["jobs"]}
    assert free["van"]["starts"].startswith("2026-11-30T08:00")
    assert kept["van"]["starts"].startswith("2026-11-30T13:00")
    # Ada alone can keep the promise of noon; her work stands still for two hours, or begins at half past ten.
    assert kept["estate"]["technician"] == "Ada Brook"
    two_hours = datetime.fromisoformat(kept["estate"]["ready_half"]) - datetime.fromisoformat(
        free["estate"]["ready_half"]
    )
    assert two_hours == timedelta(hours=2)
    # Ben is off from Monday, 14:00, to Wednesday: an hour, then two hours on Wednesday, the rest on Thursday.
    leave = HOURS.replace("Ada Brook", "Ben Field").replace("11-30T08:30", "11-30T14:00")
    late = {row["name"]: row for row in day(data, capsys, PLAN + leave.replace("11-30T10:30", "12-02T08:00"))["jobs"]}
    work = datetime.fromisoformat(free["van"]["ready_half"]) - datetime.fromisoformat("2026-11-30T08:00:00+01:00")
    thursday = datetime.fromisoformat("2026-12-03T13:00:00+01:00") + work - timedelta(hours=3)
    assert abs(datetime.fromisoformat(late["van"]["ready_half"]) - thursday) < timedelta(minutes=1), (
        "two simulations apart"
    )


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ("Ben Field", "Cy", "hours of 'Cy', who is none of the technicians: Ada Brook, Ben Field"),
        ("until = 2026-11-30T15", "until = 2026-11-30T12", "before it begins"),
        ("2026-11-30T13", "2026-11-30T14:30", "plan.toml"),
        ("2026-11-30T13:00", "2026-11-30T14:30", "'Ben Field' works for less than an hour before 2026-11-30 15:00"),
        ("from = 2026-11-30T13:00:00+01:00\nuntil = 2026-11-30T15:00", "from = 2026-11-30T18:00:00+01:00\n"
         "until = 2026-11-30T20:00", "'Ben Field' works from 2026-11-30 18:00, when it is not open"),
        ("until = 2026-11-30T10:30", "until = 2027-11-30T10:30", "more than 60 days ahead"),
        ("[[off]]", "[[hours]]\ntechnician = \"Ben Field\"\nfrom = 2026-11-30T09:00:00+01:00\n"
         "until = 2026-11-30T10:00:00+01:00\n[[off]]", "the span of 'Ben Field' from 2026-11-30 09:00 begins before"),
    ],
)  # fmt: skip
def test_wrong_hours_of_a_technician_are_one_clear_line(
    old: str, new: str, says: str, data: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert old in HOURS
    (data / "plan.toml").write_text(PLAN + HOURS.replace(old, new, 1), encoding="utf-8")
    assert says in refused(data, capsys, "day", str(data / "plan.toml"))


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ('technician = "Ben Field"', 'technician = "Cy"', "job 'van': no technician 'Cy' works then"),
        ('bay = "lift"', 'bay = "roof"', "job 'van': there is no bay 'roof'; there are: lift, yard"),
        ('"lift", "yard"', '"lift", "lift"', "bay 'lift' stands in it twice"),
        ('"Ada Brook", "Ben Field"', '"Ben Field", "Ben Field"', "technician 'Ben Field' stands in it twice"),
        ('name = "van"', 'name = "estate"', "job 'estate' stands in it twice"),
        ("promised = 2026-11-30T12", "promised = 2026-11-30T07", "job 'estate' was promised for 2026-11-30 07:00"),
        ("2026-11-30T12:00:00+01:00", "2026-11-30T12:00:00", "plan.toml:15: job.0.promised: must be a date and time"),
        ("promised = 2026", "promised = 2027", "more than 60 days ahead"),
        ("until = 2026-11-30T17", "until = 2026-11-30T07", "before it begins"),
        ("at = 2026-11-30", "at = 2026-12-01", "the last open span ended"),
        ("at = 2026-11-30", "at = 0001-01-01", "at: the year must be from 1900 to 2999"),
        ("until = 2026-11-30T17:00:00", "until = 2026-11-30T08:00:01", "it is open for less than an hour"),
        ("promised = 2026-11-30T12:00:00+01:00", "promised = 2026-11-30", "plan.toml:15: job.0.promised"),
        ('technicians = ["Ada Brook", "Ben Field"]', "technicians = []", "plan.toml:3: technicians"),
        ('sides = ["left"]', 'sides = ["up"]', "job.0.sides"),
        ('work = "wheel-bearing-press:wheel-bearing"', "", "'van' wants either `work` to begin or an open `job`"),
        ('work = "wheel-bearing-press:wheel-bearing"', f'job = "{SHUT}"', f"job 'van': {SHUT} is closed; take it out"),
        ('work = "wheel-bearing-press:wheel-bearing"', 'job = "zzz"', "there is no job 'zzz'"),
        ('work = "wheel-bearing-press:wheel-bearing"', 'work = "gearbox"', "no procedure 'gearbox'"),
        ("format = 1", "format = 2", "plan.toml:1: format"),
        ("[[open]]", "[[opening]]", "plan.toml"),
        ('name = "van"', 'name = "van"\ncolour = "red"', "colour: is not known here"),
        ("format = 1", "format = ", "is a TOML file: mend that line"),
    ],
)  # fmt: skip
def test_a_wrong_plan_is_one_clear_line(
    old: str, new: str, says: str, data: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert old in PLAN
    (data / "plan.toml").write_text(PLAN.replace(old, new, 1), encoding="utf-8")
    assert says in refused(data, capsys, "day", str(data / "plan.toml"), "--promise")
    store = SqliteEventStore(data / LOG_FILE)
    assert VisitRecords(store.engine, store.path).of_kind("promise made") == ()


def test_an_open_job_stands_in_the_plan_once(data: Path, capsys: pytest.CaptureFixture[str]) -> None:
    jobs = "".join(f'[[job]]\nname = "{name}"\njob = "{OPEN}"\n' for name in "ab")
    (data / "plan.toml").write_text(PLAN + jobs, encoding="utf-8")
    assert f"open job '{OPEN}' stands in it twice" in refused(data, capsys, "day", str(data / "plan.toml"))


def test_the_schema_takes_the_example_and_refuses_what_the_plan_refuses(
    data: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    command(data, "schema", "--day")
    schema = json.loads(capsys.readouterr().out)
    assert schema == json.loads(plan_schema())
    written = json.loads(json.dumps(tomllib.loads(PLAN), default=lambda moment: moment.isoformat()))
    checker = jsonschema.Draft202012Validator(schema)
    checker.check_schema(schema)
    checker.validate(written)
    checker.validate(json.loads(json.dumps(tomllib.loads(PLAN + HOURS), default=lambda moment: moment.isoformat())))
    assert not checker.is_valid({**written, "colour": "red"})
    assert not checker.is_valid({key: value for key, value in written.items() if key != "open"})


def test_promises_are_written_down_once_each_and_compared_with_what_happened(
    data: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    soon = datetime.now(UTC).replace(microsecond=0)
    plan = PLAN.replace("at = 2026-11-30T08:00:00+01:00\n", "")
    for was, now in (("2026-11-30T08", soon), ("2026-11-30T17", soon + timedelta(hours=20))):
        plan = plan.replace(f"{was}:00:00+01:00", now.isoformat())
    plan = plan.replace("2026-11-30T12:00:00+01:00", (soon + timedelta(hours=10)).isoformat())
    for _ in range(2):
        day(data, capsys, plan, "--promise")
    store = SqliteEventStore(data / LOG_FILE)
    assert len(VisitRecords(store.engine, store.path).of_kind("promise made")) == 2
    about = {"procedure": demo_procedure("brake-discs-epb"), "operations": ("brake-pads",), "sides": ("left",)}
    opened = opening().model_copy(update={"vehicle": Vehicle(identification="demo-42"), **about})
    events = recorded("261130-real", 0, opened, JobClosed())
    later = LiveClock("later").now()
    store.append("261130-real", 0, tuple(one.model_copy(update={"at": later}) for one in events))
    command(data, "promises", "--json")
    (outcome,) = (json.loads(line) for line in capsys.readouterr().out.splitlines())
    assert (outcome["job"], outcome["outcome"]) == ("261130-real", "kept")
    (band,) = calibration([PromiseOutcome.model_validate(outcome)])
    report = data / "report.html"
    command(data, "quote", "brake-discs-epb", "--report", str(report))
    cells = f"<td>1</td><td>{band.expected:.1f} ± {band.sd:.1f}</td><td>1</td>"
    assert cells in report.read_text(encoding="utf-8")
    command(data, "quote", "wheel-bearing-press", "--report", str(report))
    assert "How promises were kept" not in report.read_text(encoding="utf-8"), "no promise was about one"
    command(data, "promises")
    assert "1 were kept" in " ".join(capsys.readouterr().out.split())
    command(data, "log", "show", "261130-real")


def promise(number: int, chance: float, job: str | None, plate: str = "") -> Promise:
    return Promise(f"p{number}", NOON - timedelta(hours=4), NOON, chance, job, plate)


def test_stated_chances_stand_beside_what_happened() -> None:
    ends = [JobEnd(f"j{number}", "", NOON, NOON + timedelta(minutes=number - 7)) for number in range(10)]
    outcomes = promise_outcomes([promise(number, 0.75, f"j{number}") for number in range(10)], ends, NOON)
    # Jobs 0 to 7 are ready at noon at the latest; 7.5 of 10 were to be kept, give or take 1.37.
    (band,) = calibration(outcomes)
    assert (band.low, band.high, band.promises, band.expected, band.kept) == (0.7, 0.8, 10, 7.5, 8)
    assert band.sd == pytest.approx(1.369, abs=1e-3)


def test_a_promise_finds_the_job_of_its_vehicle_around_then_and_no_other() -> None:
    jobs = [
        JobEnd("long ago", "DEMO 42", NOON - timedelta(days=30), NOON - timedelta(days=29)),
        JobEnd("another", "DEMO 43", NOON, NOON),
        JobEnd("done before", "DEMO 42", NOON - timedelta(hours=9), NOON - timedelta(hours=5)),
        JobEnd("right", "demo-42", NOON, NOON + timedelta(hours=1)),
    ]
    with_plate, without = promise(1, 0.9, None, "DEMO 42"), promise(2, 0.9, None)
    first, second = promise_outcomes([with_plate, without], jobs, NOON)
    assert (first.job, first.outcome) == ("right", "missed")
    assert (second.job, second.outcome) == (None, "open")


def test_an_open_job_that_is_past_its_promise_has_missed_it() -> None:
    open_one = [JobEnd("j", "", NOON - timedelta(hours=5), None)]
    assert promise_outcomes([promise(1, 0.9, "j")], open_one, NOON)[0].outcome == "open"
    assert promise_outcomes([promise(1, 0.9, "j")], open_one, NOON + timedelta(seconds=1))[0].outcome == "missed"


def test_no_plate_or_name_is_public_in_a_promise(data: Path, capsys: pytest.CaptureFixture[str]) -> None:
    day(data, capsys, PLAN, "--promise")
    store = SqliteEventStore(data / LOG_FILE)
    (record,) = VisitRecords(store.engine, store.path).of_kind("promise made")
    assert record.private == "DEMO 42"
    assert "estate" not in record.subject + record.body
    assert promise_record(promise(1, 0.5, None, "DEMO 1"), "Ida").private == "DEMO 1"
