"""Phase times go into a file and come back; a file is taken whole or not at all."""

from __future__ import annotations

import csv
import io
import sqlite3
from collections.abc import Iterator
from contextlib import suppress
from datetime import datetime, timedelta, timezone
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings, strategies as st
from pydantic import AwareDatetime, TypeAdapter

import needs
from log.demo import opening, recorded
from sparehand.ground.errors import FailureError, InputError
from sparehand.log.job_rows import rows_of
from sparehand.log.jobs_in_file import RowError, TimesFile
from sparehand.log.packed_jobs import PackedJob, cells_of, phases_text
from sparehand.log.sqlite import SqliteEventStore
from sparehand.log.time_rows import COLUMNS, TimeRow, read_row, write_row
from sparehand.log.times_csv import ImportReport, export_times, import_times
from sparehand.log.verify import verify
from sparehand.times.job_times import JobTimes, PhaseTime, SnagTime

HEADER = ",".join(COLUMNS)
GOOD = "j1,2026-03-02T08:00:00+01:00,demo-bracket,renew;drain,Ida Demo,left,fit,1200,60.5,seized:300,none,lift,yes"


@pytest.fixture
def store(tmp_path: Path) -> Iterator[SqliteEventStore]:
    store = SqliteEventStore(tmp_path / "log.sqlite")
    yield store
    store.close()


def taken_from(store: SqliteEventStore, *lines: str, skip_bad: bool = False, header: str = HEADER) -> ImportReport:
    path = store.path.with_name("times.csv")
    path.write_text("\n".join([header, *lines]) + "\n", encoding="utf-8")
    return import_times(path, store, skip_bad=skip_bad)


def job(name: str = "j1", *phases: PhaseTime, rework: bool = False) -> JobTimes:
    return JobTimes(
        job=name,
        opened_at=TypeAdapter(AwareDatetime).validate_python("2026-03-02T08:00:00+01:00"),
        procedure="demo-bracket",
        operations=("renew", "drain"),
        corrosion="none",
        support="lift",
        phases=phases or (phase(),),
        rework=rework,
    )


def phase(**changes: object) -> PhaseTime:
    plain = {
        "phase": "fit",
        "side": "left",
        "technician": "Ida Demo",
        "work_seconds": 1200,
        "held_seconds": 60.5,
        "snags": (SnagTime(kind="seized", seconds=300),),
        "complete": True,
    }
    return PhaseTime.model_validate(plain | changes)


def test_an_imported_row_says_all_that_the_file_said(store: SqliteEventStore) -> None:
    report = taken_from(store, GOOD)
    assert (report.rows, report.taken, report.known, report.bad) == (1, 1, 0, 0)
    assert store.times.imported() == (job(),)
    assert store.times.imported("demo-bracket") == (job(),)
    assert store.times.imported("another-procedure") == ()


def test_what_is_exported_and_imported_on_another_bench_is_the_same_file_again(
    store: SqliteEventStore, tmp_path: Path
) -> None:
    jobs = (
        job("j1", phase(), phase(side=None, phase="clean", snags=()), phase(technician='Ole, "the" Demo')),
        job("j2", phase(complete=False, work_seconds=0.125, snags=())),
    )
    first, second = tmp_path / "first.csv", tmp_path / "second.csv"
    assert export_times(jobs, first) == 4
    import_times(first, store)
    assert store.times.imported() == jobs
    export_times(store.times.imported(), second)
    assert second.read_bytes() == first.read_bytes()


def test_phases_that_were_opened_again_are_summed_before_export() -> None:
    again = phase(work_seconds=30, held_seconds=0, snags=(SnagTime(kind="broken", seconds=10),), complete=False)
    (row,) = rows_of(job("j1", phase(), again))
    assert (row.work_seconds, row.held_seconds, row.snags, row.complete) == (1230, 60.5, "seized:300;broken:10", False)


def test_the_same_row_again_counts_once_in_one_file_and_in_the_next(store: SqliteEventStore) -> None:
    report = taken_from(store, GOOD, GOOD)
    assert (report.rows, report.taken, report.known, report.bad) == (2, 1, 1, 0)
    report = taken_from(store, GOOD)
    assert (report.rows, report.taken, report.known, report.bad) == (1, 0, 1, 0)
    assert store.times.imported() == (job(),)


@pytest.mark.parametrize("in_one_file", [True, False])
def test_a_row_that_differs_from_one_of_the_same_key_is_refused(store: SqliteEventStore, in_one_file: bool) -> None:
    other = GOOD.replace(",1200,", ",1260,")
    if not in_one_file:
        taken_from(store, GOOD)
    report = taken_from(store, GOOD, other)
    assert [(error.line, error.column) for error in report.errors] == [(3, "work_seconds")]
    assert "'1260' differs from '1200'" in report.errors[0].says
    assert store.times.imported() == (() if in_one_file else (job(),))


def test_another_phase_of_the_job_must_say_the_same_of_the_job(store: SqliteEventStore) -> None:
    other_phase = GOOD.replace(",fit,", ",clean,")
    report = taken_from(store, GOOD, other_phase.replace(",none,", ",heavy,"))
    assert [(error.line, error.column) for error in report.errors] == [(3, "corrosion")]
    taken_from(store, GOOD)
    report = taken_from(store, other_phase.replace("renew;drain", "renew"))
    assert [(error.line, error.column) for error in report.errors] == [(2, "operations")]
    assert taken_from(store, other_phase).taken == 1


BAD_CELLS = [
    ("job", "", "is no name"),
    ("opened_at", "2026-03-02T08:00:00", "has no offset"),
    ("opened_at", "yesterday", "is no ISO 8601 time"),
    ("procedure", "Demo Bracket", "is no id"),
    ("operations", "renew;;drain", "is no id"),
    ("technician", " ", "is no name"),
    ("side", "port", "is not one of: (empty), left, right, front, rear"),
    ("phase", "", "is no id"),
    ("work_seconds", "20 min", "is no number of seconds"),
    ("work_seconds", "nan", "is no number of seconds"),
    ("work_seconds", "-1", "is no number of seconds"),
    ("work_seconds", "1e3", "is no number of seconds"),
    ("work_seconds", "99999999999", "is no number of seconds"),
    ("work_seconds", "120", "unused"),
    ("held_seconds", "", "is no number of seconds"),
    ("snags", "seized", "is no list of snags"),
    ("snags", "seized:300;", "is no list of snags"),
    ("snags", "seized:1201", "longer than the work of 1200"),
    ("corrosion", "some", "is not one of: none, light, heavy"),
    ("support", "jack", "is not one of: lift, stands"),
    ("complete", "true", "is not one of: yes, no"),
]


@pytest.mark.parametrize(("column", "cell", "says"), BAD_CELLS)
def test_a_bad_cell_is_told_by_line_and_column_and_nothing_is_taken(
    store: SqliteEventStore, column: str, cell: str, says: str
) -> None:
    cells = GOOD.split(",")
    cells[COLUMNS.index(column)] = cell
    if says == "unused":
        column, says = "snags", "longer than the work of 120"
    report = taken_from(store, GOOD.replace("j1", "j0"), ",".join(cells))
    assert (report.rows, report.taken, report.bad) == (2, 0, 1)
    assert (report.errors[0].line, report.errors[0].column) == (3, column)
    assert says in str(report.errors[0])
    assert store.times.imported() == ()


def test_bad_rows_are_left_out_where_that_was_asked(store: SqliteEventStore) -> None:
    report = taken_from(store, GOOD, "too,short", "", GOOD.replace(",1200,", ",1260,"), skip_bad=True)
    assert (report.rows, report.taken, report.bad) == (3, 1, 2)
    assert [str(error).partition(":")[0] for error in report.errors] == ["line 3, procedure", "line 5, work_seconds"]
    assert store.times.imported() == (job(),)


def test_a_line_is_counted_right_after_a_cell_that_spans_lines(store: SqliteEventStore) -> None:
    report = taken_from(store, GOOD.replace("Ida Demo", '"Ida\nDemo"'), GOOD.replace("lift", "jack"))
    assert [(error.line, error.column) for error in report.errors] == [(2, "technician"), (4, "support")]


def test_a_million_errors_are_counted_but_not_all_told(store: SqliteEventStore) -> None:
    report = taken_from(store, *["x"] * 250)
    assert report.bad == 250
    assert len(report.errors) == 100


@pytest.mark.parametrize(
    ("header", "says"),
    [
        ("", "line 1, column 1: 'job' expected"),
        (HEADER + ",note", "line 1, column 14: nothing more expected"),
        (HEADER.replace("phase,", ""), "line 1, column 7: 'phase' expected"),
        (HEADER.removesuffix(",complete"), "line 1, column 13: 'complete' expected"),
    ],
)
def test_a_file_with_other_columns_is_refused(store: SqliteEventStore, header: str, says: str) -> None:
    with pytest.raises(InputError, match=says):
        taken_from(store, GOOD, header=header)


def test_what_is_no_text_file_is_refused_in_one_line(store: SqliteEventStore, tmp_path: Path) -> None:
    path = tmp_path / "times.csv"
    with pytest.raises(InputError, match=r"times\.csv cannot be read"):
        import_times(path, store)
    path.write_bytes(HEADER.encode() + b"\n\xff\xfe\x00")
    with pytest.raises(InputError, match="is no UTF-8 text"):
        import_times(path, store)
    with pytest.raises(FailureError, match="cannot be written"):
        export_times([], tmp_path / "nowhere" / "times.csv")


@pytest.mark.parametrize("endless", [Path("/dev/zero"), "no end of a line", "no end of a quotation"])
def test_a_file_without_end_is_refused_in_bounded_memory(
    store: SqliteEventStore, tmp_path: Path, endless: Path | str
) -> None:
    needs.skip_unless(isinstance(endless, str) or endless.exists(), "no /dev/zero")
    path = endless if isinstance(endless, Path) else tmp_path / "times.csv"
    if path != endless:
        begun = '"' if "quotation" in str(endless) else ""
        path.write_text(f"{HEADER}\n{begun}{'9' * 5_000_000}", encoding="utf-8")
    with suppress(InputError):
        assert import_times(path, store).bad > 0
    assert not store.times.imported()


def test_a_header_without_end_is_one_line(store: SqliteEventStore, tmp_path: Path) -> None:
    path = tmp_path / "times.csv"
    path.write_text('"' + "a" * 200_000, encoding="utf-8")
    with pytest.raises(InputError, match="line 1, column 1: 'job' expected"):
        import_times(path, store)


def test_a_file_from_a_spreadsheet_with_a_byte_order_mark_is_taken(store: SqliteEventStore, tmp_path: Path) -> None:
    path = tmp_path / "times.csv"
    path.write_text(f"{HEADER}\r\n{GOOD}\r\n", encoding="utf-8-sig", newline="")
    assert import_times(path, store).taken == 1


def test_progress_is_told_up_to_the_whole_file(store: SqliteEventStore, tmp_path: Path) -> None:
    path = tmp_path / "times.csv"
    lines = [GOOD.replace("j1,", f"j{number},") for number in range(12_000)]
    path.write_text("\n".join([HEADER, *lines]), encoding="utf-8")
    told: list[float] = []
    assert import_times(path, store, progress=told.append).taken == 12_000
    assert told == sorted(told)
    assert told[-1] == 1.0
    assert len(told) > 2


def test_kept_times_of_a_job_replace_those_before_and_are_not_imported_ones(store: SqliteEventStore) -> None:
    store.append("261125-k7qm", 0, recorded("261125-k7qm", 0, opening()))
    store.times.keep(job("261125-k7qm", phase(work_seconds=600)))
    store.times.keep(job("261125-k7qm", rework=True))
    assert store.times.of_this_bench() == (job("261125-k7qm", rework=True),)
    assert store.times.imported() == ()


def test_a_job_of_this_bench_is_never_counted_as_imported_too(store: SqliteEventStore) -> None:
    taken_from(store, GOOD.replace("j1", "261125-k7qm"))
    store.append("261125-k7qm", 0, recorded("261125-k7qm", 0, opening()))
    assert store.times.imported() == ()


def test_a_job_moved_in_the_order_of_its_log_is_found(store: SqliteEventStore) -> None:
    taken_from(store, GOOD)
    with sqlite3.connect(store.path) as raw:
        raw.execute("UPDATE job_times SET opened = opened - 1")
    raw.close()
    assert "job j1 at another place in their order" in str(verify(store)[0])


def test_names_in_imported_rows_are_forgotten_with_the_person(store: SqliteEventStore) -> None:
    taken_from(store, GOOD)
    assert store.forget_person("Ida Demo") == 1
    assert "Ida" not in repr(store.times.imported())


@st.composite
def rows(draw: st.DrawFn) -> TimeRow:
    ids = st.from_regex(r"[a-z][a-z0-9]{0,5}(-[a-z0-9]{1,4}){0,2}", fullmatch=True)
    names = st.text(st.characters(codec="utf-8"), min_size=1, max_size=8).filter(
        lambda text: text.isprintable() and text.strip() != ""
    )
    zones = st.integers(-14 * 4, 14 * 4).map(lambda quarters: timezone(timedelta(minutes=15 * quarters)))
    snag = draw(st.integers(0, 5_000))
    moments = st.datetimes(datetime(1901, 1, 1), datetime(2999, 1, 1), timezones=zones)
    return TimeRow(
        job=draw(names),
        opened_at=draw(moments).replace(microsecond=0).isoformat(),
        procedure=draw(ids),
        operations=";".join(draw(st.lists(ids, min_size=1, max_size=3))),
        technician=draw(names),
        side=draw(st.sampled_from(["", "left", "right", "front", "rear"])),
        phase=draw(ids),
        work_seconds=draw(st.integers(5_000, 10**8)) / 1000,
        held_seconds=draw(st.integers(0, 10**8)) / 1000,
        snags=draw(st.sampled_from(["", f"no access:{snag / 1000:g}"])),
        corrosion=draw(st.sampled_from(["none", "light", "heavy"])),
        support=draw(st.sampled_from(["lift", "stands"])),
        complete=draw(st.booleans()),
    )


wrong_cells = st.sampled_from([(column, cell) for column, cell, _ in BAD_CELLS if '"' not in cell])
drawn_lines = st.lists(
    st.tuples(rows(), st.integers(1, 3), st.one_of(st.none(), st.none(), st.none(), wrong_cells)),
    min_size=1,
    max_size=6,
)


@given(drawn_lines, st.sampled_from(("\n", "\r\n")), st.booleans())
@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.filter_too_much])
def test_rows_read_by_columns_are_those_read_one_by_one(
    tmp_path_factory: pytest.TempPathFactory,
    drawn: list[tuple[TimeRow, int, tuple[str, str] | None]],
    newline: str,
    ended: bool,
) -> None:
    lines = []
    for row, times, wrong in drawn:
        cells = list(write_row(row))
        if wrong:
            cells[COLUMNS.index(wrong[0])] = wrong[1]
        lines += [cells] * times
    folder = tmp_path_factory.mktemp("files")
    for name in ("plain", "quoted"):
        with (folder / name).open("w", encoding="utf-8", newline="") as file:
            text = io.StringIO()
            csv.writer(
                text, lineterminator=newline, quoting=csv.QUOTE_ALL if name == "quoted" else csv.QUOTE_MINIMAL
            ).writerows(lines)
            file.write(f"{HEADER}{newline}{text.getvalue() if ended else text.getvalue().removesuffix(newline)}")
    assert read_from(folder / "plain") == read_from(folder / "quoted")


def read_from(path: Path) -> tuple[list[tuple[int, PackedJob]], list[RowError]]:
    """What a file says, a row each, and what is wrong with it; cells in quotes are read row by row."""
    errors: list[RowError] = []
    with path.open(encoding="utf-8", newline="") as file:
        blocks = list(TimesFile(path, file, errors.append, lambda _: None).blocks())
    told = []
    for line, job in (job for block in blocks for job in block):
        for place, (cells, seconds) in enumerate(zip(cells_of(job.phases), job.seconds.split(";"), strict=True)):
            told.append((line + place, job._replace(phases=phases_text((cells,)), seconds=seconds)))
    return told, errors


@given(row=rows())
@settings(max_examples=80, deadline=None)
def test_every_row_reads_back_as_it_was_written(row: TimeRow) -> None:
    line = ",".join('"' + cell.replace('"', '""') + '"' for cell in write_row(row))
    (cells,) = csv.reader([line], strict=True)
    assert read_row(cells) == row
