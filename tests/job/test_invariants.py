"""What must always hold, over thousands of random command sequences."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings, strategies as st

from job.loose_count import LooseCount
from job.presence import elapsed_of, presence
from job.table import EXPERIENCE, Table, demo_procedure, open_job
from sparehand.ground.places import bundled
from sparehand.job import commands as c, events as e
from sparehand.job.experience import Offer
from sparehand.job.fasteners import inside_an_angle, is_final
from sparehand.job.ledger import milliseconds
from sparehand.job.open_items import open_items, safe_to_drive
from sparehand.job.progress import Progress
from sparehand.job.state import JobState, apply
from sparehand.job.visit_lines import is_line
from sparehand.log.timesheet import job_times, timesheet
from sparehand.procedures.load import load_procedure

PROCEDURES = {path.stem: load_procedure(path).procedure for path in sorted(bundled("procedures").glob("*.yaml"))}
PROCEDURES |= {name: demo_procedure(name) for name in ("arm-job", "axle-job")}
"""The demonstrations, a job with everything that real work asks of a file, and one that another procedure may join."""
HUB = demo_procedure("hub-boot")

Steps = list[tuple[c.Command, int, bool]]
"""What is said, how long before, and whether the power is cut first."""

_OPERATIONS = st.sampled_from(
    sorted(
        {"hub-boot.boot", *(operation.id for procedure in PROCEDURES.values() for operation in procedure.operations)}
    )
)
_WAYS = st.sampled_from(["lower", "short-key", "no-way"])
_PEOPLE = st.sampled_from(["Ada Brook", "Ben Field"])
_SPECIAL: dict[type[c.Command], st.SearchStrategy[c.Command]] = {
    c.MarkDone: st.builds(c.MarkDone, count=st.none() | st.integers(1, 6)),
    c.Reading: st.builds(c.Reading, digits=st.sampled_from(["0", "42", "95", "110.5", "380", "99999"])),
    c.StartTimer: st.builds(c.StartTimer, minutes=st.none() | st.integers(1, 90)),
    c.Close: st.builds(c.Close, reason=st.sampled_from([None, "parts on order"])),
    c.GoTo: st.builds(
        c.GoTo, phase=st.sampled_from(["fit-wheel", "lower-vehicle", "close-up", "hub-boot.lower", "nowhere"])
    ),
    c.FoundFault: st.builds(
        c.FoundFault,
        st.sampled_from(["torn", "worn"]),
        st.sampled_from(["boot", "guard-bolts", "disc", "wheel-bolts", "nothing"]),
        st.sampled_from(["now", "soon", "watch"]),
        st.sampled_from([None, "left", "right", "rear"]),
    ),
    c.FoundSomething: st.builds(c.FoundSomething, st.sampled_from(["now", "watch"])),
    c.FindingMeasures: st.builds(c.FindingMeasures, st.sampled_from(["2", "99999"])),
    c.PressSizeFits: st.just(c.PressSizeFits("62")),
    c.HelperFor: st.builds(c.HelperFor, st.integers(1, 90)),
    c.ChooseWay: st.builds(c.ChooseWay, way=_WAYS),
    c.Explain: st.builds(c.Explain, what=st.sampled_from(["why", "where", "compare"])),
    c.AddOperation: st.builds(c.AddOperation, operation=_OPERATIONS),
    c.DropOperation: st.builds(c.DropOperation, operation=_OPERATIONS),
    c.UseWrench: st.builds(c.UseWrench, wrench=st.sampled_from(["long one", "short one", "no such one"])),
    c.ExtensionInLine: st.builds(c.ExtensionInLine, digits=st.sampled_from(["0", "120", "99999"])),
    c.SecondCheck: st.builds(c.SecondCheck, technician=st.sampled_from(["", "Ada Brook", "Cem Dale"])),
    c.LimitApproval: st.just(c.LimitApproval("350")),
    c.ChooseOperation: st.just(c.ChooseOperation("lower-joint")),
    c.NoteTaken: st.builds(c.NoteTaken, sound_ms=st.integers(0, 120_000), words=st.sampled_from(["", "mind the clip"])),
    c.ChooseSides: st.just(c.ChooseSides(("left",))),
    **{kind: st.builds(kind, _PEOPLE) for kind in (c.TechnicianJoins, c.TechnicianLeaves, c.HandOver)},
    c.ChooseOperationPayer: st.builds(c.ChooseOperationPayer, _OPERATIONS, st.sampled_from(["customer", "warranty"])),
    c.RoadTestDistance: st.just(c.RoadTestDistance("12.5", "km")),
    c.FollowUpIs: st.builds(c.FollowUpIs, st.integers(0, 3), st.sampled_from(["good", "not good"])),
    c.FollowUpsDueAt: st.builds(c.FollowUpsDueAt, st.just("85000"), st.sampled_from(["km", "mi", "hours"])),
    c.FollowUpsDue: st.builds(c.FollowUpsDue, st.integers(1, 20), st.sampled_from(["days", "weeks", "months"])),
    c.TechnicianSpeaks: st.builds(c.TechnicianSpeaks, _PEOPLE),
}
_FORWARD = st.sampled_from(
    [
        c.Next(),
        c.MarkDone(),
        c.Understood(),
        c.Renewed(),
        c.MarkIsMade(),
        c.MarkIsFound(),
        c.ConditionHolds(),
        c.Confirm(),
        c.Redo("phase"),
        c.ChooseWay("lower"),
        c.ChooseWay("short-key"),
        c.GoBack(),
        c.FoundFault("torn", "boot", "soon"),
        c.Approve("customer", "by phone"),
        c.AddOperation("hub-boot.boot"),
        c.GoTo("hub-boot.boot-work"),
        c.Depart("thread insert"),
        c.TightenedOtherwise("the part maker's data"),
        c.Finding("worn"),
        c.CheckPassed(),
        c.ToolsBack(),
        c.Reading("380"),
    ]
)
_ANY = st.one_of([_SPECIAL.get(kind, st.builds(kind)) for kind in c.COMMANDS.values()])
STEPS = st.lists(
    st.tuples(st.one_of(_FORWARD, _FORWARD, _ANY), st.integers(0, 400_000), st.sampled_from([False] * 24 + [True])),
    max_size=60,
)


def opened(name: str, first_only: bool) -> Table:
    """A job of all operations of a procedure, or of the first alone so that the others are extra work."""
    procedure = PROCEDURES[name]
    table = open_job(procedure, (procedure.operations[0].id,) if first_only else ())
    if name == "axle-job":
        table.experience = replace(EXPERIENCE, offers=(Offer(HUB, ""),))
    return table


def play(table: Table, steps: Steps) -> list[JobState]:
    """Play every step, with a power cut where its flag says so; gives the live states."""
    states = [table.state]
    for command, wait_ms, cut in steps:
        if cut and table.state.progress.closed is None:
            table.restart(wait_ms)
        given = table.do(command, after_ms=wait_ms)
        if not isinstance(command, c.Tick):
            assert given.lines, f"silence after {command}"
        states.append(table.state)
    return states


@pytest.mark.parametrize("name", PROCEDURES)
@settings(max_examples=120, deadline=None)
@given(steps=STEPS, first_only=st.booleans())
def test_every_command_in_every_state_answers_and_replay_equals_live(name: str, steps: Steps, first_only: bool) -> None:
    table = opened(name, first_only)
    live = {state.next_sequence: state for state in play(table, steps)}
    state = None
    for recorded in table.history:
        state = apply(state, recorded)
        if state.next_sequence in live:
            assert state == live[state.next_sequence]


@pytest.mark.parametrize("name", PROCEDURES)
@settings(max_examples=80, deadline=None)
@given(steps=STEPS, first_only=st.booleans())
def test_all_time_is_accounted_for(name: str, steps: Steps, first_only: bool) -> None:
    table = opened(name, first_only)
    play(table, steps)
    spans = table.state.ledger.all_spans()
    assert elapsed_of(spans) == presence(table.history)
    elapsed = milliseconds(spans)
    assert milliseconds(spans, "work") + milliseconds(spans, "hold") + milliseconds(spans, "gap") == elapsed
    sheet = timesheet(table.state)
    assert sum(round(1000 * (row.work_seconds + row.held_seconds)) for row in sheet.phases) == elapsed - milliseconds(
        spans, "gap"
    )
    times = job_times(table.state, sheet)
    rows = [row for part in (times, *times.joined) for row in part.phases]
    rows += [row for row in sheet.phases if is_line(row.phase)]
    assert sum(round(1000 * row.work_seconds) for row in rows) == milliseconds(spans, "work")
    for row in sheet.phases:
        assert sum(snag.seconds for snag in row.snags) <= row.work_seconds + 1e-9


@pytest.mark.parametrize("name", PROCEDURES)
@settings(max_examples=80, deadline=None)
@given(steps=STEPS, first_only=st.booleans())
def test_a_job_closes_with_something_open_only_for_a_reason_that_the_record_shows(
    name: str, steps: Steps, first_only: bool
) -> None:
    table = opened(name, first_only)
    play(table, steps)
    closed = table.state.progress.closed
    if closed is not None and open_items(table.state):
        assert closed.reason
        assert set(open_items(table.state)) <= set(closed.left_open)


@pytest.mark.parametrize("name", PROCEDURES)
@settings(max_examples=80, deadline=None)
@given(steps=STEPS, first_only=st.booleans())
def test_the_loose_list_equals_an_independent_count(name: str, steps: Steps, first_only: bool) -> None:
    table = opened(name, first_only)
    play(table, steps)
    assert {str(entry.key) for entry in table.state.loose} == _count_loose(table)


@pytest.mark.parametrize("name", PROCEDURES)
@settings(max_examples=80, deadline=None)
@given(steps=STEPS, first_only=st.booleans())
def test_a_yes_ends_the_question_that_it_answers(name: str, steps: Steps, first_only: bool) -> None:
    table = opened(name, first_only)
    for each in steps:
        play(table, [each])
        asked = table.state.progress.question
        if asked and not table.state.progress.closed:
            table.do(c.Confirm())
            assert table.refused() or table.state.progress.question != asked, asked.question.kind


def _kept(table: Table) -> list[e.Recorded]:
    """The history without what was taken back."""
    kept: list[e.Recorded] = []
    for recorded in table.history:
        if isinstance(recorded.event, e.Undone):
            kept = [one for one in kept if one.batch < recorded.event.batch or isinstance(one.event, e.BenchStarted)]
        kept.append(recorded)
    return kept


def _count_loose(table: Table) -> set[str]:
    return LooseCount(table.state.plan, _kept(table)).loose


@pytest.mark.parametrize("name", PROCEDURES)
@settings(max_examples=80, deadline=None)
@given(steps=STEPS, first_only=st.booleans())
def test_undo_brings_the_former_state_back_but_for_time(name: str, steps: Steps, first_only: bool) -> None:
    table = opened(name, first_only)
    play(table, [step for step in steps if not step[2]])
    before = table.state
    if before.progress.question or before.progress.timers or before.progress.closed:
        return
    table.do(c.Hold("phone") if not before.progress.hold else c.GoOn())
    table.do(c.Undo())
    assert _without_angles(table.state) == _without_angles(before)


def _without_angles(state: JobState) -> Progress:
    """The progress with interrupted angles left out, for an interruption is not undone."""
    fastenings = {key: replace(value, angle_unknown=False) for key, value in state.progress.fastenings.items()}
    return replace(state.progress, fastenings=fastenings)


@pytest.mark.parametrize("name", PROCEDURES)
@settings(max_examples=80, deadline=None)
@given(steps=STEPS, first_only=st.booleans())
def test_after_an_interrupted_angle_nobody_is_told_to_turn(name: str, steps: Steps, first_only: bool) -> None:
    table = opened(name, first_only)
    play(table, steps)
    if table.state.progress.closed:
        return
    table.restart(1_000)
    unknown = [
        key
        for key, fastening in table.state.progress.fastenings.items()
        if inside_an_angle(table.state.plan.procedure.fastener(key.fastener), fastening)
        and not is_final(table.state.plan.procedure.fastener(key.fastener), fastening)
        and key.fastener in table.state.step.tightens
        and key.side == table.state.side
    ]
    for ask in (c.RepeatTorque(), c.RepeatStep(), c.WhatIsLoose()):
        said = table.do(ask).spoken
        if unknown:
            assert "turn nine" not in said


@pytest.mark.parametrize("name", PROCEDURES)
@settings(max_examples=80, deadline=None)
@given(steps=STEPS, first_only=st.booleans())
def test_nothing_but_a_check_passes_a_gate_and_no_vehicle_is_safe_before_it(
    name: str, steps: Steps, first_only: bool
) -> None:
    table = opened(name, first_only)
    play(table, steps)
    said: set[str] = set()
    for one in _kept(table):
        if isinstance(one.event, e.GatePassed):
            said.add(one.event.gate)
    assert table.state.progress.gates <= said
    wanted = {table.state.plan.step(key).passes_gate for key in table.state.plan.steps} - {None}
    if table.state.progress.done and (_count_loose(table) or wanted - table.state.progress.gates):
        assert not safe_to_drive(table.state)
        if not table.state.progress.closed and not table.state.progress.question:
            assert "Not safe to drive." in table.do(c.Park()).shown or table.refused()
