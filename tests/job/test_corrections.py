"""A forgotten word is asked about at a quiet moment or at the close, and put right by an event that keeps the first."""

from __future__ import annotations

from datetime import timedelta

import pytest
from hypothesis import given, settings, strategies as st

from job.table import Table, demo_procedure, open_job
from sparehand.job import commands as c, events as e
from sparehand.job.account import Label, Span
from sparehand.job.answer import Answer
from sparehand.job.answering.answer_context import AnswerContext
from sparehand.job.answers import answer
from sparehand.job.corrected import corrected
from sparehand.job.decide import decide
from sparehand.job.decision import Context
from sparehand.job.experience import Experience
from sparehand.job.ledger import milliseconds
from sparehand.job.state import fold
from sparehand.log.timesheet import timesheet
from sparehand.procedures.plan import PhaseKey, plan_run
from sparehand.screens.hours_tables import correction_lines
from sparehand.times.time_left import Outlook, PhaseOutlook

MINUTE = 60_000
LOG_TEN_MINUTES = 6.396929655216146
PLAN = plan_run(demo_procedure(), ("roll-link",), ("right",))
EXPECTING = Experience(
    outlook=Outlook(tuple(PhaseOutlook(phase.key, LOG_TEN_MINUTES, 0.1) for phase in PLAN.phases), 0.02)
)
"""Every phase usually takes ten minutes."""
ON_THE_WAY = (c.Understood(), c.MarkIsMade(), c.MarkIsFound(), c.Renewed(), c.Finding("worn"), c.ConditionHolds())


def do(table: Table, command: c.Command, after_ms: int = 0) -> Answer:
    """Like `Table.do`, with what is expected of the phases."""
    table.clock.advance(after_ms)
    now = table.clock.now()
    decision = decide(table.state, command, Context(now, EXPECTING))
    table.decision = decision
    table.record(*decision.events)
    return answer(table.state, decision, AnswerContext(now, EXPECTING, Answer()))


def phase(number: int) -> PhaseKey:
    return PLAN.phases[number].key


def work_until(table: Table, place: int, minutes: float) -> None:
    """Finish phases up to the beginning of the phase at `place`, all the time in the first step of each."""
    while table.state.progress.at.at != phase(place):
        before = table.state.progress.at.at
        do(table, c.TimeCheck(), round(minutes * MINUTE))
        for _ in range(60):
            if table.state.progress.at.at != before:
                break
            for command in (*ON_THE_WAY, c.CheckPassed(), c.MarkDone(), c.Next()):
                if table.state.progress.at.at == before:
                    do(table, command)


def worked(table: Table, key: PhaseKey) -> float:
    spans = table.state.ledger.up_to(table.clock.now()).all_spans()
    return milliseconds((span for span in spans if span.label.phase == key), "work") / MINUTE


def asked(table: Table) -> str:
    return table.state.progress.question.question.kind if table.state.progress.question else ""


@pytest.fixture
def table() -> Table:
    return open_job(operations=("roll-link",))


def test_a_phase_that_runs_on_is_asked_about_once_and_at_a_quiet_moment(table: Table) -> None:
    assert "runs for 1 h now" in do(table, c.Tick(), 60 * MINUTE).shown
    do(table, c.Refuse())
    assert do(table, c.Tick(), MINUTE).lines == ()


def test_nothing_is_asked_on_hold_or_right_after_something_was_said(table: Table) -> None:
    do(table, c.Hold("parts"), 60 * MINUTE)
    assert do(table, c.Tick(), MINUTE).lines == ()
    do(table, c.GoOn())
    assert do(table, c.Tick(), 5_000).lines == ()
    assert do(table, c.Tick(), 15_000).lines != ()


def test_a_yes_goes_to_the_next_phase_and_counts_the_rest_there(table: Table) -> None:
    do(table, c.Tick(), 60 * MINUTE)
    told = do(table, c.Confirm())
    assert "Put right: 50 min" in told.shown
    assert table.state.progress.at.at == phase(1)
    assert worked(table, phase(0)) == pytest.approx(10, abs=0.01)
    assert worked(table, phase(1)) == pytest.approx(50, abs=0.01)
    sheet = timesheet(table.state)
    assert sheet.work_seconds == 3600
    assert "put right: 0:50:00" in correction_lines(sheet, demo_procedure())[0]


def test_undo_takes_the_correction_back_and_no_time_with_it(table: Table) -> None:
    do(table, c.Tick(), 60 * MINUTE)
    do(table, c.Confirm())
    do(table, c.Undo())
    assert worked(table, phase(0)) == 60
    assert table.state.progress.at.at == phase(0)


def test_a_phase_that_took_no_time_is_asked_about_and_shared_out(table: Table) -> None:
    work_until(table, 1, 20)
    work_until(table, 2, 0)
    assert "took" in do(table, c.Tick(), MINUTE).shown
    do(table, c.Confirm())
    assert worked(table, phase(0)) == pytest.approx(10)
    assert worked(table, phase(1)) == pytest.approx(10)


def test_where_every_phase_goes_fast_no_word_was_forgotten(table: Table) -> None:
    work_until(table, 1, 0.5)
    work_until(table, 2, 0)
    assert do(table, c.Tick(), MINUTE).lines == ()
    do(table, c.Close("towed away"))
    assert asked(table) == "close"


def test_what_was_never_answered_is_asked_at_the_close(table: Table) -> None:
    work_until(table, 1, 20)
    work_until(table, 2, 0)
    do(table, c.Close("towed away"))
    assert asked(table) == "forgotten word"
    do(table, c.Refuse())
    do(table, c.Close("towed away"))
    assert asked(table) == "close"


def test_a_closed_job_is_amended_and_never_edited(table: Table) -> None:
    do(table, c.TimeCheck(), 10 * MINUTE)
    do(table, c.Close("towed away"))
    do(table, c.Confirm())
    before = tuple(table.history)
    correction = e.TimeCorrected(
        technician="Ada Brook",
        phase=phase(0),
        milliseconds=4 * MINUTE,
        to_phase=phase(0),
        counted_as="hold",
        hold="phone",
    )
    table.clock.advance(round(timedelta(days=1) / timedelta(milliseconds=1)))
    table.record(correction)
    sheet = timesheet(fold(table.history))
    assert tuple(table.history[:-1]) == before
    assert (sheet.work_seconds, sheet.held_seconds, sheet.elapsed_seconds) == (360, 240, 600)
    assert sheet.holds[0].reason == "phone"


_KEYS = [phase(0), phase(1)]
_LABELS = st.builds(
    Label,
    st.sampled_from(["work", "hold", "gap"]),
    st.sampled_from(_KEYS),
    st.sampled_from(["Ada Brook", "Ben Field"]),
    snag=st.sampled_from([None, "seized"]),
)
_CORRECTIONS = st.builds(
    e.TimeCorrected,
    technician=st.sampled_from(["Ada Brook", "Ben Field"]),
    phase=st.sampled_from(_KEYS),
    milliseconds=st.integers(1, 10**7),
    to_phase=st.sampled_from(_KEYS),
    counted_as=st.sampled_from(["work", "hold"]),
    hold=st.sampled_from([None, "parts"]),
)


@settings(max_examples=100, deadline=None)
@given(
    spans=st.lists(st.builds(Span, _LABELS, st.integers(0, 10**7)), max_size=8).map(tuple),
    corrections=st.lists(_CORRECTIONS, max_size=5),
)
def test_no_millisecond_of_anybody_comes_or_goes_by_corrections(
    spans: tuple[Span, ...], corrections: list[e.TimeCorrected]
) -> None:
    after = corrected(spans, corrections)
    for name in ("Ada Brook", "Ben Field"):
        mine = [[span for span in some if span.label.technician == name] for some in (spans, after)]
        assert milliseconds(mine[0]) == milliseconds(mine[1])
        assert milliseconds(mine[0], "gap") == milliseconds(mine[1], "gap")
