"""The desk's pages from a log: what each shows, that words from outside stay words, and an estimate that is made."""

from __future__ import annotations

import json
import subprocess
import sys
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from desk.test_estimating import JOB as DISC_JOB, RATES, open_the_job
from job.table import opening
from log.demo import recorded
from sparehand.desk.desk_pages import made_page
from sparehand.ground.clock import LiveClock
from sparehand.ground.places import LOG_FILE
from sparehand.job.events import FollowUpDone, FollowUpScheduled, JobClosed, Vehicle
from sparehand.log.sqlite import SqliteEventStore
from sparehand.log.visit_records import VisitRecords
from sparehand.screens.desk_page import PLACES

JOB = "261129-demo"


@pytest.fixture
def data(tmp_path: Path) -> Path:
    """One open job on a vehicle whose name is mark-up, with a follow-up that is overdue."""
    (tmp_path / "rates.toml").write_text(RATES, encoding="utf-8")
    vehicle = Vehicle(name="<script>estate</script>", identification="DEMO 42")
    opened = opening().model_copy(update={"vehicle": vehicle})
    yesterday = datetime.now(UTC).date() - timedelta(days=2)
    due = FollowUpScheduled(follow_up="bleed", words="Bleed <b>again</b>", due_on=yesterday)
    now = LiveClock("now").now()
    events = (one.model_copy(update={"at": now}) for one in recorded(JOB, 0, opened, due))
    SqliteEventStore(tmp_path / LOG_FILE).append(JOB, 0, tuple(events))
    return tmp_path


def page(data: Path, place: str, **fields: str) -> str:
    status, html = made_page(place, fields, data, to_make=False)
    assert status == 200
    assert "<script>" not in html
    return html


def test_every_place_has_its_page_and_says_where_one_is(data: Path) -> None:
    for place, _ in PLACES:
        html = page(data, place)
        assert f'href="/desk/{place}" aria-current="page"' in html
        assert "prevail" in html


def test_today_and_due_show_the_job_and_escape_its_words(data: Path) -> None:
    assert "&lt;script&gt;estate" in page(data, "today")
    due = page(data, "due")
    assert "Bleed &lt;b&gt;again&lt;/b&gt;" in due
    assert '<tr class="marked"><td>overdue</td>' in due


def test_the_day_is_that_of_the_plan_in_the_data_folder(data: Path) -> None:
    assert "There is no day.toml" in page(data, "day")
    now = datetime.now(UTC).replace(microsecond=0)
    moments = {"from": now, "until": now + timedelta(hours=9), "promised": now + timedelta(minutes=20)}
    times = {name: f"{name} = {moment.isoformat()}\n" for name, moment in moments.items()}
    plan = (
        'format = 1\ntechnicians = ["Ada & Bo"]\n[[open]]\n' + times["from"] + times["until"] + "[[job]]\n"
        'name = "<i>van</i>"\nwork = "brake-discs-epb"\n' + times["promised"]
    )
    (data / "day.toml").write_text(plan, encoding="utf-8")
    html = page(data, "day")
    assert "<svg" in html
    assert "&lt;i&gt;van&lt;/i&gt;, Ada &amp; Bo, at risk" in html
    assert "<i>van" not in html
    (data / "day.toml").write_text(plan.replace("Ada & Bo", ""), encoding="utf-8")
    assert made_page("day", {}, data, to_make=False)[0] == 200
    (data / "day.toml").write_text("format = 3", encoding="utf-8")
    status, problem = made_page("day", {}, data, to_make=False)
    assert status == 400
    assert "day.toml:1: format" in problem


def test_an_estimate_is_made_shown_and_listed(data: Path) -> None:
    fields = {"work": "brake-discs-epb:brake-pads", "sides": "left", "plate": "DEMO 42", "corrosion": "light"}
    status, where = made_page("estimates", fields, data, to_make=True)
    assert status == 303
    id = where.partition("id=")[2]
    assert "DEMO 42" in page(data, "estimates", id=id)
    assert f'href="{where}"' in page(data, "estimates")
    assert f'href="{where}"' not in page(data, "estimates", month="2026-01")
    assert f"No answer yet to estimate {id}" in page(data, "today")


def answered(data: Path, **fields: str) -> tuple[int, str]:
    return made_page("estimates", fields, data, to_make=True)


def test_what_became_of_an_estimate_is_written_down_on_the_page(data: Path) -> None:
    store = open_the_job(data)
    id = answered(data, work="brake-discs-epb", sides="left")[1].partition("id=")[2]
    assert f"/desk/estimates?answer={id}" in page(data, "today")
    form = page(data, "estimates", answer=id)
    assert f"<option>{DISC_JOB}</option>" in form
    assert JOB not in form, "a job of another procedure is not offered"
    assert answered(data, estimate=id, outcome="approved", job=DISC_JOB, by="Ida Demo") == (303, "/desk/estimates")
    recorded_ = [one for one in store.events(DISC_JOB) if one.event.kind in ("estimate approved", "payer chosen")]
    assert {(one.by, one.technician) for one in recorded_} == {("page", "Ida Demo")}
    assert ">approved</a>" in page(data, "estimates")
    assert answered(data, estimate=id, outcome="changed")[0] == 303
    assert ">changed</a>" in page(data, "estimates"), "the latest answer counts"
    bodies = [json.loads(one.body) for one in VisitRecords(store.engine, store.path).of_kind("estimate decided")]
    assert [(one["outcome"], one["by"]) for one in bodies] == [("approved", "page"), ("changed", "page")]


def test_an_answer_that_cannot_be_is_one_line_and_nothing_is_lost(data: Path) -> None:
    open_the_job(data, JobClosed(reason="parts on order")).close()
    id = answered(data, work="brake-discs-epb", sides="left")[1].partition("id=")[2]
    for fields, says in (
        ({"outcome": "approved", "job": DISC_JOB}, f"job {DISC_JOB} is closed"),
        ({"outcome": "approved", "job": JOB}, "name the job of one of those"),
        ({"outcome": "declined", "job": JOB}, "a declined estimate has no job"),
        ({"outcome": "perhaps"}, "the outcome &#39;perhaps&#39; is not known"),
    ):
        status, html = answered(data, estimate=id, **fields)
        assert (status, says in html) == (400, True), html
    assert answered(data, estimate="zzz", outcome="approved")[0] == 400
    assert ">open</a>" in page(data, "estimates")


def test_what_is_due_is_ticked_on_the_page_once(data: Path) -> None:
    assert f'href="/desk/due?job={JOB}&amp;what=bleed"' in page(data, "due")
    assert "Bleed &lt;b&gt;again&lt;/b&gt;" in page(data, "due", job=JOB, what="bleed")
    fields = {"job": JOB, "what": "bleed", "result": "good <i>", "by": "Ida Demo"}
    assert made_page("due", fields, data, to_make=True) == (303, "/desk/due")
    assert "Bleed" not in page(data, "due")
    last = SqliteEventStore(data / LOG_FILE).events(JOB)[-1]
    assert (last.event, last.by, last.technician) == (
        FollowUpDone(follow_up="bleed", result="good <i>"),
        "page",
        "Ida Demo",
    )
    for wrong, says in (({}, "was done on"), ({"what": "x"}, "has no follow-up"), ({"job": "zzz"}, "there is no job")):
        status, html = made_page("due", {**fields, **wrong}, data, to_make=True)
        assert (status, says in html) == (400, True), html
    assert made_page("due", {"job": JOB, "what": "bleed"}, data, to_make=False)[0] == 400


def test_the_way_to_the_bay_page_is_there_where_that_is(data: Path) -> None:
    assert 'href="/"' not in page(data, "today")
    assert 'href="/"' in made_page("today", {}, data, to_make=False, beside_bay=True)[1]


def test_a_labour_report_is_shown(data: Path) -> None:
    assert "/desk/labour?procedure=brake-discs-epb" in page(data, "labour")
    report = page(data, "labour", procedure="brake-discs-epb")
    assert "<svg" in report
    assert 'href="/desk/labour"' in report


@pytest.mark.parametrize(
    ("place", "fields", "to_make", "says"),
    [
        ("nowhere", {}, False, "there is no page"),
        ("nowhere", {}, True, "there is no page"),
        ("today", {"work": "brake-discs-epb"}, True, "there is no page &#39;today&#39; at the desk that takes a form"),
        ("estimates", {"work": "gearbox"}, True, "no procedure"),
        ("estimates", {}, True, "is no work"),
        ("estimates", {"id": "zzz"}, False, "names 0 estimates"),
        ("estimates", {"month": "<b>"}, False, "&lt;b&gt;"),
        ("labour", {"procedure": "../secret"}, False, "is no work for this page"),
        ("estimates", {"work": "C:\\secret"}, True, "is no work for this page"),
        ("estimates", {"work": "brake-discs-epb", "vehicle": "x" * 5_000}, True, "vehicle"),
    ],
)
def test_what_is_wrong_is_one_line_on_the_page(
    place: str, fields: dict[str, str], to_make: bool, says: str, data: Path
) -> None:
    status, html = made_page(place, fields, data, to_make=to_make)
    assert (status, says in html) == (400, True), html


def test_the_worker_answers_one_request(data: Path) -> None:
    asked = json.dumps({"page": "due", "fields": {}, "folder": str(data), "make": False, "beside_bay": False})
    worker = [sys.executable, "-m", "sparehand.desk.page_worker"]
    answer = subprocess.run(worker, input=asked, capture_output=True, encoding="utf-8", check=True)
    assert json.loads(answer.stdout)["status"] == 200
