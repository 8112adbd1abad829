"""A first job writes its own procedure: it grows by what is said, and by nothing that was not confirmed."""

from __future__ import annotations

from uuid import UUID

import pytest
from hypothesis import given, settings, strategies as st

from job.table import Table, demo_procedure, open_job
from sparehand.job import commands as c, events as e
from sparehand.job.draft_procedure import draft
from sparehand.job.growing_procedure import fastener_id, first_procedure
from sparehand.job.job_notes import notes
from sparehand.job.ledger import milliseconds
from sparehand.job.state import apply
from sparehand.procedures.model import Fastener, Procedure
from sparehand.procedures.quantities import TorqueValue


def first_job() -> Table:
    table = open_job(first_procedure("front-arm", "Front arm", "invented estate"))
    table.record(e.FirstJobBegun())
    return table


def name(note: e.NoteKind, words: str) -> c.NoteTaken:
    return c.NoteTaken(UUID(int=7), note, words=words)


def told(table: Table, *answers: c.Command) -> Fastener:
    """A new fastener with these answers, each number confirmed."""
    table.do(c.NewFastener(), name("fastener", "clamp bolt"))
    for answer in answers:
        table.do(answer)
        if isinstance(answer, c.Reading):
            table.do(c.Confirm())
    return table.state.plan.procedure.fasteners[-1]


ALL = (
    c.FastenerDoes("is tightened"),
    c.Reading("2"),
    c.Reading("12"),
    c.Reading("1.5"),
    c.Reading("18"),
    c.Reading("110"),
    c.FastenerUse(True),
    c.FastenerWaits(True),
)


def test_what_was_opened_and_never_told_of_is_not_drafted_and_its_time_is_kept() -> None:
    table = first_job()
    table.do(c.NewPhase(), name("phase", "Remove the arm"), c.NewStep(), name("step", "Undo the bolt"), c.NewStep())
    table.do(c.NewPhase())
    names = [note for note in notes(table.history) if note.kind in ("phase", "step")]
    drafted = draft(table.history, {"phase-1": 2.0, "phase-2": 10.0, "phase-3": 1.0}, names)
    assert [phase.title for phase in drafted.phases] == ["Remove the arm"]
    assert [step.say for step in drafted.phases[0].steps] == ["Undo the bolt."]
    assert drafted.phases[0].planned_minutes == 13.0
    assert drafted.operations[0].phases == (drafted.phases[0].id,)


def test_phases_and_steps_are_opened_by_voice_and_timed() -> None:
    table = first_job()
    table.do(name("step", "Raise the vehicle"), c.NewStep(), name("step", "Take the wheel off"), after_ms=60_000)
    table.do(c.NewPhase(), name("phase", "Remove the arm"), name("step", "Undo the clamp bolt"), after_ms=60_000)
    procedure = table.state.plan.procedure
    assert [phase.title for phase in procedure.phases] == ["Phase one", "Remove the arm"]
    assert [step.say for phase in procedure.phases for step in phase.steps] == [
        "Raise the vehicle.",
        "Take the wheel off.",
        "Undo the clamp bolt.",
    ]
    spans = table.state.ledger.all_spans()
    assert [(span.label.phase.phase, span.milliseconds) for span in spans] == [
        ("phase-1", 240_000),
        ("phase-2", 120_000),
    ]
    assert len(table.state.progress.done) == 2


def test_a_fastener_is_named_by_answering_short_questions() -> None:
    table = first_job()
    fastener = told(table, *ALL)
    assert fastener.name == "clamp bolt"
    assert (fastener.thread, fastener.drive_mm, fastener.quantity, fastener.use_once) == ("M12x1.5", 18, 2, True)
    (stage,) = fastener.tightening
    assert (stage.torque, stage.condition) == (TorqueValue(value=110, unit="N·m"), "ride-height")
    assert table.state.step.tightens == (fastener.id,)
    assert table.state.progress.naming is None


def test_every_number_is_read_back_digit_by_digit_and_counts_only_when_confirmed() -> None:
    table = first_job()
    table.do(c.NewFastener(), c.FastenerDoes("is tightened"), c.Reading("2"), c.Confirm())
    assert "I heard M one two for fastener one." in table.do(c.Reading("12")).spoken
    assert "Which thread?" in table.do(c.Refuse()).spoken
    assert table.state.plan.procedure.fasteners[0].thread is None
    assert "I heard M one zero" in table.do(c.Reading("10")).spoken
    assert "Which pitch?" in table.do(c.Confirm()).spoken
    table.do(c.NotKnown(), c.NotKnown())
    assert "Which torque, in newton metres?" in table.do(c.RepeatStep()).spoken
    assert "in foot pounds" in table.do(c.UseUnit("lbf·ft")).spoken
    assert "I heard eight one foot pounds" in table.do(c.Reading("81")).spoken
    table.do(c.Confirm())
    assert table.state.plan.procedure.fasteners[0].tightening[0].torque == TorqueValue(value=81, unit="lbf·ft")


@pytest.mark.parametrize("digits", ["0", "99999"])
def test_a_number_that_cannot_be_is_refused(digits: str) -> None:
    table = first_job()
    table.do(c.NewFastener(), c.FastenerDoes("comes out"))
    table.do(c.Reading(digits))
    assert table.refused()
    assert table.state.progress.question is None


def asked(table: Table) -> str:
    return table.state.progress.naming.asked if table.state.progress.naming else ""


def test_only_what_matters_is_asked() -> None:
    table = first_job()
    told(table, c.FastenerDoes("comes out"), c.Reading("1"), c.NotKnown(), c.Reading("18"))
    assert table.state.progress.naming is None, "no pitch without a thread, no torque of what comes out"
    table.do(c.NewStep(), c.FastenerAgain(1, "goes in"))
    assert asked(table) == "use", "what was left open is not asked again"


def test_a_fastener_that_went_in_is_loose_until_its_tightening_is_confirmed() -> None:
    table = first_job()
    told(table, c.FastenerDoes("goes in"), c.Reading("2"), c.Reading("12"), c.NotKnown(), c.Reading("18"), c.NotKnown())
    table.do(c.NewStep(), c.FastenerAgain(1, "is tightened"), c.Reading("110"), c.Confirm())
    table.do(c.FastenerUse(False), c.FastenerWaits(False))
    assert [entry.key.fastener for entry in table.state.loose] == [fastener_id(1)]
    table.do(c.NewStep())
    assert table.refused(), "it is not confirmed"
    table.do(c.MarkDone(1))
    assert table.state.loose
    table.do(c.MarkDone(1))
    assert table.state.loose == ()
    assert not table.refused()


def test_what_came_out_and_is_tightened_without_a_known_torque_is_in_again() -> None:
    table = first_job()
    told(table, c.FastenerDoes("comes out"), c.NotKnown(), c.NotKnown(), c.NotKnown())
    table.do(c.NewStep())
    assert [entry.key.fastener for entry in table.state.loose] == [fastener_id(1)]
    table.do(c.FastenerAgain(1, "is tightened"), c.NotKnown(), c.NotKnown(), c.MarkDone())
    assert table.state.loose == ()
    assert not table.refused()


@pytest.mark.parametrize(("asked", "digits"), [(0, "100"), (1, "101"), (2, "9"), (3, "101"), (4, "10000")])
def test_each_number_has_its_own_bound(asked: int, digits: str) -> None:
    table = first_job()
    sensible = (c.Reading("2"), c.Reading("12"), c.Reading("1.5"), c.Reading("18"))
    told(table, c.FastenerDoes("is tightened"), *sensible[:asked])
    table.do(c.Reading(digits))
    assert table.refused()


def test_what_waits_for_ride_height_does_not_keep_the_technician_at_its_step() -> None:
    table = first_job()
    told(table, *ALL)
    table.do(c.Renewed(), c.MarkDone())
    assert table.refused()
    table.do(c.NewPhase(), c.ConditionHolds(), c.GoToSkipped(), c.MarkDone())
    assert not table.refused()
    assert table.state.loose == ()


def test_undo_takes_a_phase_or_an_answer_back() -> None:
    table = first_job()
    before = table.state.plan
    table.do(c.NewPhase(), c.Undo())
    assert table.state.plan == before
    table.do(c.NewFastener(), c.FastenerDoes("comes out"), c.Undo())
    assert asked(table) == "doing"
    assert table.state.step.removes == ()


def test_a_job_that_follows_a_written_procedure_is_not_changed() -> None:
    table = open_job(demo_procedure())
    for command in (c.NewPhase(), c.NewStep(), c.NewFastener(), c.FastenerAgain(1, "goes in"), c.NotKnown()):
        table.do(command)
        assert table.refused()


_TALK = st.one_of(
    st.sampled_from([c.NewPhase(), c.NewStep(), c.NewFastener(), c.Confirm(), c.NotKnown(), c.MarkDone(), c.Undo()]),
    st.builds(c.FastenerAgain),
    st.builds(c.FastenerDoes),
    st.builds(c.FastenerUse),
    st.builds(c.FastenerWaits),
    st.builds(c.NoteTaken, words=st.sampled_from(["", "the long one"])),
    st.builds(c.Reading, digits=st.sampled_from(["0", "2", "12", "1.5", "110"])),
    st.sampled_from(
        [c.Next(), c.ConditionHolds(), c.Lifted(), c.Hold("phone"), c.GoOn(), c.Renewed(), c.GoToSkipped()]
    ),
    st.sampled_from(
        [c.RepeatTorque(), c.WhatSize(), c.WhatIsLoose(), c.WhatNext(), c.Refuse(), c.SkipStep(), c.GoBack()]
    ),
)


@settings(max_examples=150)
@given(talk=st.lists(st.tuples(_TALK, st.integers(0, 100_000)), max_size=50))
def test_every_command_answers_replay_equals_live_and_the_draft_is_a_procedure(
    talk: list[tuple[c.Command, int]],
) -> None:
    table = first_job()
    live = {}
    for command, wait_ms in talk:
        assert table.do(command, after_ms=wait_ms).lines, f"silence after {command}"
        live[table.state.next_sequence] = table.state
    state = None
    for recorded in table.history:
        state = apply(state, recorded)
        assert state == live.get(state.next_sequence, state)
    elapsed = table.history[0].at.milliseconds_until(table.history[-1].at)
    assert milliseconds(table.state.ledger.all_spans()) == elapsed
    procedure = table.state.plan.procedure
    assert Procedure.model_validate_json(procedure.model_dump_json()) == procedure
    assert not procedure.released
