"""Two technicians on one job: each counts their own hours, from joining to leaving, to the millisecond."""

from __future__ import annotations

from hypothesis import given, settings, strategies as st

from job.presence import elapsed_of, presence
from job.table import Table, open_job
from sparehand.job import commands as c
from sparehand.job.ledger import milliseconds
from sparehand.job.state import apply
from sparehand.log.job_rows import rows_of
from sparehand.log.timesheet import job_times, timesheet
from sparehand.screens.card import job_card
from sparehand.screens.hours_tables import person_lines

ADA, BEN = "Ada Brook", "Ben Field"
MINUTE = 60_000


def of(table: Table, name: str) -> dict[str, int]:
    spans = [span for span in table.state.ledger.up_to(table.clock.now()).all_spans() if span.label.technician == name]
    return {kind: total for kind in ("work", "hold", "gap") if (total := milliseconds(spans, kind))}


def test_each_counts_from_joining_to_leaving() -> None:
    table = open_job()
    table.do(c.TechnicianJoins(BEN), after_ms=10 * MINUTE)
    table.do(c.TechnicianLeaves(BEN), after_ms=5 * MINUTE)
    table.do(c.TimeCheck(), after_ms=MINUTE)
    assert of(table, ADA) == {"work": 16 * MINUTE}
    assert of(table, BEN) == {"work": 5 * MINUTE}
    people = {person.technician: person for person in timesheet(table.state, table.clock.now()).people}
    assert people[ADA].elapsed_seconds == 960
    assert people[BEN].elapsed_seconds == 300


def test_a_break_stops_the_one_who_says_it_and_waiting_for_parts_stops_both() -> None:
    table = open_job()
    table.do(c.TechnicianJoins(BEN), after_ms=0)
    table.do(c.Hold("break"), after_ms=MINUTE)
    table.do(c.TechnicianSpeaks(ADA), after_ms=MINUTE)
    table.do(c.Hold("parts"), after_ms=MINUTE)
    table.do(c.GoOn(), after_ms=MINUTE)
    assert of(table, ADA) == {"work": 3 * MINUTE, "hold": MINUTE}
    assert of(table, BEN) == {"work": MINUTE, "hold": 3 * MINUTE}


def test_who_speaks_stands_in_the_record() -> None:
    table = open_job()
    answer = table.do(c.TechnicianJoins(BEN))
    assert answer.spoken == "Ben Field is speaking. Ada Brook is on the job too."
    assert table.state.progress.crew.acting == BEN


def test_what_cannot_be_is_refused_with_what_to_say_instead() -> None:
    table = open_job()
    for command in (c.TechnicianSpeaks(BEN), c.TechnicianLeaves(BEN), c.TechnicianLeaves(ADA), c.HandOver(ADA)):
        assert "Say " in table.do(command).shown
        assert table.refused()


def test_a_hand_over_ends_one_account_begins_another_and_says_how_the_vehicle_stands() -> None:
    table = open_job()
    answer = table.do(c.HandOver(BEN), after_ms=MINUTE)
    table.do(c.TimeCheck(), after_ms=MINUTE)
    assert answer.shown.startswith("Ben Field has the job now.")
    assert (of(table, ADA), of(table, BEN)) == ({"work": MINUTE}, {"work": MINUTE})
    table.do(c.Undo(), after_ms=MINUTE)
    assert (of(table, ADA), of(table, BEN)) == ({"work": 3 * MINUTE}, {})


def test_a_gap_is_told_by_each_for_themselves() -> None:
    table = open_job()
    table.do(c.TechnicianJoins(BEN), after_ms=0)
    table.restart(60 * MINUTE)
    table.do(c.WasWork(), after_ms=0)
    assert of(table, BEN) == {"work": 60 * MINUTE}
    answer = table.do(c.TechnicianSpeaks(ADA), after_ms=0)
    assert "The bench was off for 1 h" in answer.shown
    table.do(c.WasHold(), after_ms=0)
    assert of(table, ADA) == {"hold": 60 * MINUTE}


_NAMES = st.sampled_from([ADA, BEN, "Cy Moor"])
_SAID = st.one_of(
    *(st.builds(kind, _NAMES) for kind in (c.TechnicianJoins, c.TechnicianLeaves, c.TechnicianSpeaks, c.HandOver)),
    st.builds(c.Hold, st.sampled_from(["parts", "break", "lift"])),
    st.sampled_from([c.GoOn(), c.Undo(), c.Next(), c.Understood(), c.WasWork(), c.WasHold(), c.Snag("seized")]),
)


@settings(max_examples=60, deadline=None)
@given(steps=st.lists(st.tuples(_SAID, st.integers(0, 10**7), st.sampled_from([False] * 9 + [True])), max_size=20))
def test_work_hold_and_gap_are_all_the_time_from_joining_to_leaving_for_each(
    steps: list[tuple[c.Command, int, bool]],
) -> None:
    table = open_job()
    live = {}
    for command, wait_ms, cut in steps:
        if cut:
            table.restart(wait_ms)
        table.do(command, after_ms=wait_ms)
        live[table.state.next_sequence] = table.state
    assert elapsed_of(table.state.ledger.all_spans()) == presence(table.history)
    sheet = timesheet(table.state)
    for person in sheet.people:
        parts = (person.work_seconds, person.held_seconds, person.gap_seconds)
        assert sum(round(1000 * part) for part in parts) == round(1000 * person.elapsed_seconds)
    state = None
    for recorded in table.history:
        state = apply(state, recorded)
        assert live.get(state.next_sequence, state) == state


def test_timesheet_and_card_show_the_hours_of_each_of_several() -> None:
    table = open_job()
    table.do(c.TechnicianJoins(BEN), after_ms=10 * MINUTE)
    table.do(c.TimeCheck(), c.Hold("break"), after_ms=5 * MINUTE)
    sheet = timesheet(table.state)
    assert person_lines(sheet)[1] == "Ben Field worked 0:10:00 + held 0:00:00 + gap 0:00:00 = elapsed 0:10:00"
    assert person_lines(sheet)[1] in job_card(table.state, sheet, table.history)


def test_the_exported_times_have_a_row_for_each_technician_and_sum_up_to_the_labour() -> None:
    table = open_job()
    table.do(c.TechnicianJoins(BEN), after_ms=10 * MINUTE)
    table.do(c.Hold("break"), after_ms=5 * MINUTE)
    sheet = timesheet(table.state)
    rows = [(row.technician, row.work_seconds, row.held_seconds) for row in rows_of(job_times(table.state, sheet))]
    assert rows == [(ADA, 900, 0), (BEN, 300, 0)]
    assert sheet.work_seconds == 1200
