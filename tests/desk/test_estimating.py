"""Estimates from the command line: made, kept, decided, and compared with what was worked."""

from __future__ import annotations

import json
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest

from desk.typed import command, refused
from log.demo import opening, recorded
from sparehand.ground.places import LOG_FILE, bundled
from sparehand.job.events import JobClosed, LineAdded, PayerChosen, StepDone
from sparehand.log.sqlite import SqliteEventStore
from sparehand.procedures.load import load_procedure
from sparehand.procedures.plan import PhaseKey, StepKey

RATES = """format = 1
currency = "EUR"
[labour]
customer = 90
warranty = 60
[parts]
disc = 41.50
pads = 58
guide-bolts = 2.10
carrier-bolts = 3.35
bearing = 64.30
plate-bolts = 1.15
hub-nut = 7.90
pinch-bolt = 3.20
strut-bolts = 2.75
"""
JOB = "261103-aaaa"
DISCS = load_procedure(bundled("procedures") / "brake-discs-epb.yaml").procedure


@pytest.fixture
def data(tmp_path: Path) -> Path:
    (tmp_path / "rates.toml").write_text(RATES, encoding="utf-8")
    return tmp_path


def estimate(data: Path, capsys: pytest.CaptureFixture[str], *arguments: str) -> dict[str, Any]:
    command(data, "estimate", *arguments, "--json", "--to", str(data / "e.html"))
    made: dict[str, Any] = json.loads(capsys.readouterr().out)
    return made


def open_the_job(data: Path, *after: Any) -> SqliteEventStore:
    store = SqliteEventStore(data / LOG_FILE)
    opened = opening(technician="Ida Demo").model_copy(
        update={"procedure": DISCS, "operations": ("brake-discs", "brake-pads"), "sides": ("left",)}
    )
    store.append(JOB, 0, recorded(JOB, 0, opened, *after))
    return store


def test_the_hours_of_the_operations_make_up_those_of_the_quote(data: Path, capsys: pytest.CaptureFixture[str]) -> None:
    made = estimate(data, capsys, "brake-discs-epb", "--sides", "left")
    command(data, "quote", "brake-discs-epb", "--sides", "left", "--json")
    quoted = json.loads(capsys.readouterr().out)
    assert Decimal(made["labour_hours"]) == Decimal(str(quoted["flat_rate_hours"]))
    assert made["chance_over"] == pytest.approx(quoted["chance_over"])
    assert Decimal(made["total"]) == Decimal(made["labour_hours"]) * 90 + Decimal("110.40")  # 41.5 + 58 + 4.2 + 6.7


def test_of_rust_and_support_that_nobody_saw_it_is_as_unsure_as_the_quote(
    data: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    command(data, "times", "import", str(bundled("procedures") / "engine-mounts.times.csv"))
    parts = load_procedure(bundled("procedures") / "engine-mounts.yaml").procedure.parts
    priced = "".join(f'"engine-mounts.{part.id}" = 1\n' for part in parts)
    (data / "rates.toml").write_text(RATES + priced, encoding="utf-8")
    asked = ("--sides", "left,right")
    capsys.readouterr()
    command(data, "quote", "engine-mounts", "--operations", "mounts", *asked, "--json")
    quoted = json.loads(capsys.readouterr().out)
    made = estimate(data, capsys, "engine-mounts:mounts", *asked)
    assert Decimal(made["labour_hours"]) == Decimal(str(quoted["flat_rate_hours"]))


@pytest.mark.parametrize(
    ("name", "says"),
    [
        ("Ida Dmeo", "Ida Dmeo has no times here: taken as someone new to the shop. Is Ida Demo meant?"),
        ("Cleo", "Cleo has no times here: taken as someone new to the shop."),
        ("Ida Demo", ""),
    ],
)
def test_a_technician_who_has_no_times_is_asked_about(
    data: Path, capsys: pytest.CaptureFixture[str], name: str, says: str
) -> None:
    open_the_job(data).close()
    command(data, "estimate", "brake-discs-epb", "--technician", name, "--to", str(data / "e.html"))
    last = " ".join(capsys.readouterr().out.partition("e.html")[2].split())
    assert last == says


def test_access_that_two_procedures_share_is_counted_once(data: Path, capsys: pytest.CaptureFixture[str]) -> None:
    together = estimate(
        data, capsys, "brake-discs-epb:brake-discs,wheel-bearing-press:wheel-bearing", "--sides", "left"
    )
    apart = [
        estimate(data, capsys, work, "--sides", "left")
        for work in ("brake-discs-epb:brake-discs", "wheel-bearing-press:wheel-bearing")
    ]
    assert Decimal(together["labour_hours"]) < sum(Decimal(one["labour_hours"]) for one in apart)
    assert together["shared_minutes"] > 0
    assert [row["operation"] for row in together["labour"]] == ["brake-discs", "wheel-bearing"]


def test_payer_book_time_and_lines_stand_on_the_sheet_and_the_page(
    data: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    options = ("--payer", "brake-discs=warranty", "--book", "brake-discs=1.2", "--line", "diagnosis=0.5")
    made = estimate(data, capsys, "brake-discs-epb:brake-discs", *options, "--complaint", "<b>it squeals</b>")
    first, line = made["labour"]
    assert Decimal(first["price"]) == Decimal(first["hours"]) * 60
    assert (first["book_hours"], line["title"], line["hours"], line["price"]) == ("1.2", "Diagnosis", "0.5", "45.00")
    page = (data / "e.html").read_text(encoding="utf-8")
    assert "&lt;b&gt;it squeals" in page
    assert "1.2" in page
    assert "the work takes longer" in page


def test_a_part_can_be_paid_by_another_and_each_share_stands_on_the_page(
    data: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    payers = ("--payer", "brake-pads=warranty", "--payer", "pads=warranty")
    made = estimate(data, capsys, "brake-discs-epb:brake-pads", *payers, "--line", "diagnosis=0.5")
    shares = {share["payer"]: Decimal(share["total"]) for share in made["shares"]}
    parts = {part["part"]: part["payer"] for part in made["parts"]}
    assert (parts["pads"], parts["guide-bolts"]) == ("warranty", "customer")
    assert shares["warranty"] == Decimal(made["labour"][0]["hours"]) * 60 + 58
    assert shares["customer"] + shares["warranty"] == Decimal(made["total"])
    assert "of which warranty" in (data / "e.html").read_text(encoding="utf-8")


def test_an_approved_estimate_is_compared_with_what_was_worked(data: Path, capsys: pytest.CaptureFixture[str]) -> None:
    made = estimate(data, capsys, "brake-discs-epb", "--payer", "brake-pads=warranty")
    store = open_the_job(data)
    command(data, "estimates", "approve", made["id"], "--job", JOB)
    count = len(store.events(JOB))
    first = DISCS.phases[0]
    done = StepDone(step=StepKey(PhaseKey(first.id), first.steps[0].id))
    lines = (LineAdded(work="diagnosis", minutes=34), PayerChosen(payer="goodwill", line=1))
    store.append(JOB, count, recorded(JOB, count, done, *lines, JobClosed(reason="parts on order")))
    store.close()
    capsys.readouterr()
    command(data, "estimates", "list", made["given_at"][:7], "--json")
    row = json.loads(capsys.readouterr().out)
    by_payer = {one["payer"]: one for one in row["by_payer"]}
    assert row["outcome"] == "approved"
    assert by_payer["customer"]["approved"] == by_payer["customer"]["sold"] == made["labour"][0]["hours"]
    assert by_payer["warranty"]["approved"] == made["labour"][1]["hours"]
    # 34 minutes are 0.57 h, sold in tenths begun.
    assert (by_payer["goodwill"]["sold"], by_payer["goodwill"]["worked"]) == ("0.6", "0.57")


def test_an_estimate_for_a_closed_job_is_refused_and_stays_open(data: Path, capsys: pytest.CaptureFixture[str]) -> None:
    made = estimate(data, capsys, "brake-discs-epb:brake-pads")
    open_the_job(data, JobClosed()).close()
    assert "is closed" in refused(data, capsys, "estimates", "approve", made["id"], "--job", JOB)
    command(data, "estimates", "list", made["given_at"][:7], "--json")
    assert json.loads(capsys.readouterr().out)["outcome"] == "open"


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (("estimate", "no-such-procedure"), "no procedure 'no-such-procedure'"),
        (("estimate", "brake-discs-epb:gearbox"), "no operation 'gearbox'"),
        (("estimate", "brake-discs-epb,"), "is no work"),
        (("estimate", "brake-discs-epb", "--payer", "brake-discs=uncle"), "the payer 'uncle' is not known"),
        (("estimate", "brake-discs-epb", "--payer", "gearbox=warranty"), "no operation or part 'gearbox'"),
        (("estimate", "brake-discs-epb", "--book", "brake-discs=1.25"), "in tenths"),
        (("estimate", "brake-discs-epb", "--book", "brake-discs"), "write --book OPERATION=HOURS"),
        (("estimate", "brake-discs-epb", "--risk", "2"), "the risk 2.0 is no share"),
        (("estimate", "brake-discs-epb", "--rates", "none.toml"), "none.toml: the rates file cannot be read"),
        (("estimates", "approve", "zzz"), "'zzz' names 0 estimates"),
        (("estimates", "list", "2026-13"), "is no month"),
    ],
)
def test_wrong_input_is_one_clear_line(
    arguments: tuple[str, ...], says: str, data: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert says in refused(data, capsys, *arguments)
