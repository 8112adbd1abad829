"""What any boundary takes, every reader reads; what is out of bounds is one line, or is cut when it is read."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path
from uuid import UUID

import pytest
from hypothesis import given, strategies as st
from pydantic import ValidationError

from job.table import opening
from log.demo import PROCEDURE, recorded
from log.memory_store import MemoryEventStore
from sparehand.conversation.session import JobSession
from sparehand.ground.bounds import DEPTH, LAST_MOMENT, NAME_CHARACTERS, WORDS_CHARACTERS, read_json
from sparehand.ground.clock import Moment, start_of_run
from sparehand.job import commands as c
from sparehand.job.events import LessonKept, OrderNoted
from sparehand.log.packed_jobs import admitted_job, packed
from sparehand.log.time_rows import CellError, TimeRow, read_row, write_row
from sparehand.log.wire import from_wire, to_wire
from sparehand.procedures.plan import plan_run

JOB = "261125-k7qm"
STEP = plan_run(PROCEDURE).steps[0]
ROW = TimeRow(
    JOB, "2026-11-25T08:00:00+01:00", "demo", "renew", "Ida Demo", "left", "strip", 60, 0, "", "none", "lift", True
)


def test_a_typed_lesson_that_is_too_long_is_refused_and_the_job_goes_on() -> None:
    clock = start_of_run(datetime(2026, 3, 2, 8, 0, tzinfo=UTC), "run 0")
    session = JobSession.open(MemoryEventStore(), JOB, opening(), clock.now(), "bench 1")
    clock.advance(1_000)
    long = c.NoteTaken(UUID(int=1), "lesson", words="x" * (WORDS_CHARACTERS + 1))
    said = session.respond(long, clock.now())
    assert "cannot be recorded" in said.spoken
    assert "4000 characters" in said.spoken
    fits = c.NoteTaken(UUID(int=1), "lesson", words="x" * WORDS_CHARACTERS)
    session.respond(fits, clock.now())
    assert session.state.next_sequence == 2


@pytest.mark.parametrize(
    "out",
    [
        {"wall": "0001-01-01T00:00:00+14:00"},
        {"wall": "9999-12-31T23:00:00-12:00"},
        {"steady_ms": 10**30},
        {"run": "x" * (NAME_CHARACTERS + 1)},
        {"run": "\x1b[2J"},
    ],
)
def test_a_moment_out_of_bounds_is_none(out: dict[str, object]) -> None:
    sound = {"wall": LAST_MOMENT.isoformat(), "steady_ms": 0, "run": "a"}
    Moment.model_validate(sound)
    with pytest.raises(ValidationError):
        Moment.model_validate(sound | out)


def test_a_text_that_an_earlier_version_took_is_cut_when_it_is_read() -> None:
    first = recorded(JOB, 1, LessonKept(at=STEP, words="x"))[0]
    noted = recorded(JOB, 2, OrderNoted(about="cause", words="y"))[0]
    for one, most in ((first, WORDS_CHARACTERS), (noted, 600)):
        body = json.loads(to_wire(one, str))
        body["event"]["words"] *= 2 * most
        read = from_wire(json.dumps(body), str).event
        assert isinstance(read, LessonKept | OrderNoted)
        assert len(read.words) == most


@pytest.mark.parametrize(
    "out",
    [
        {"work_seconds": float("nan")},
        {"work_seconds": 1e308},
        {"held_seconds": -1.0},
        {"opened_at": "0001-01-01T00:00:00+14:00"},
        {"opened_at": "9999-12-31T23:59:59-12:00"},
        {"technician": "Ole\x1b[31m"},
        {"job": "x" * 200},
        {"snags": "seized:" + "9" * 5_000},
        {"operations": ";".join(["renew"] * 5_000)},
    ],
)
def test_a_row_out_of_bounds_is_refused_wherever_it_comes_from(out: dict[str, object]) -> None:
    assert admitted_job(packed([ROW])) == packed([ROW])
    with pytest.raises(CellError):
        admitted_job(packed([TimeRow(**{**vars(ROW), **out})]))


@given(
    st.builds(
        TimeRow,
        **{name: st.text(max_size=8) for name in ("job", "procedure", "operations", "technician", "phase", "snags")},
        opened_at=st.datetimes().map(lambda moment: moment.isoformat() + "+00:00"),
        work_seconds=st.floats(),
        held_seconds=st.floats(min_value=0, max_value=1e12),
        side=st.sampled_from(("", "left")),
        corrosion=st.just("none"),
        support=st.just("lift"),
        complete=st.booleans(),
    )
)
def test_what_is_admitted_is_read_back_alike(row: TimeRow) -> None:
    try:
        taken = admitted_job(packed([row]))
    except CellError:
        with pytest.raises(CellError):
            read_row(write_row(replace(row, technician=row.technician or "nobody")))
        return
    assert packed([read_row(write_row(replace(row, technician=row.technician or "nobody")))]).seconds == taken.seconds


@pytest.mark.parametrize("text", ["[" * 100_000, '{"a":' * (DEPTH + 1) + "1" + "}" * (DEPTH + 1), "NaN", "[Infinity]"])
def test_json_out_of_bounds_is_refused_before_it_is_built(text: str) -> None:
    with pytest.raises(ValueError, match=r"nested|no number"):
        read_json(text)


@given(
    st.recursive(
        st.none() | st.integers() | st.text(), lambda inner: st.lists(inner) | st.dictionaries(st.text(), inner)
    )
)
def test_json_in_bounds_is_what_it_was(value: object) -> None:
    assert read_json(json.dumps(value)) == value


def test_a_bound_in_an_option_is_one_line(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    from sparehand.cli.app import run_command

    with pytest.raises(SystemExit) as ended:
        run_command(["work", "wheel-bearing-press", "--complaint", "x" * 5_000, "--data", str(tmp_path), "--mute"])
    assert ended.value.code == 2
    lines = capsys.readouterr().err.splitlines()
    assert len(lines) == 1
    assert "words" in lines[0]
    assert "600 characters" in lines[0]
