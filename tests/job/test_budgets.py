"""Answers that a busy person keeps up with: words by topic over whole demonstration jobs, in full and terse."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterator

import pytest

from job.spoken_words import PROCEDURES, Said, whole_jobs
from job.table import Table, demo_procedure, open_job
from sparehand.job import commands as c
from sparehand.job.answer import from_file, plain
from sparehand.job.answering.budgets import REFUSAL, RESUME, budget, within
from sparehand.job.answering.value_lines import torque_line
from sparehand.job.fasteners import pieces_of
from sparehand.job.obligations import obligations, present_tightening
from sparehand.job.state import JobState

_OTHERS = {"refusal": REFUSAL, "resume": RESUME}


def by_topic() -> dict[str, list[Said]]:
    found: dict[str, list[Said]] = defaultdict(list)
    for said in whole_jobs():
        found[said.topic].append(said)
    return found


def test_no_answer_of_a_demonstration_job_is_longer_than_its_topic_allows() -> None:
    over = [
        (topic, said.counted, said.answer.spoken)
        for topic, answers in by_topic().items()
        for said in answers
        if said.counted > (_OTHERS.get(topic) or budget(topic))  # type: ignore[arg-type]
    ]
    assert over == []


def test_terse_is_never_longer_and_shortens_every_topic_that_says_more_than_its_facts() -> None:
    shorter = set()
    for topic, answers in by_topic().items():
        for said in answers:
            assert len(said.terse.spoken.split()) <= said.words, said.answer.spoken
            assert said.terse.shown == said.answer.shown
            if len(said.terse.spoken.split()) < said.words:
                shorter.add(topic)
    wordy = {topic for topic, answers in by_topic().items() if max(said.counted for said in answers) > 8}
    assert wordy - shorter <= {"which job", "again", "held by", "timer", "timers", "tools"}


def test_what_is_spoken_holds_no_figures_but_those_of_the_file_and_of_names() -> None:
    figures = {said.answer.spoken for said in whole_jobs() if re.search(r"\d", _own_words(said))}
    assert figures == set()


def _own_words(said: Said) -> str:
    spoken = " ".join(line.spoken for line in said.answer.lines if not line.whole)
    return re.sub(r"\bTimer \d+", "", spoken)


_COUNTED = "jobs?|steps?|phases?|fasteners?|bolts?|nuts?|screws?"


def test_numerals_agree_in_every_text() -> None:
    wrong = set()
    for said in whole_jobs():
        for text in (said.answer.spoken, said.answer.shown):
            for count, things in re.findall(rf"(?<!-)\b(\w+) (?:[a-z]+ )?({_COUNTED})\b(?! [a-z])", text):
                one, several = count in ("one", "1"), count in ("two", "three", "four", "five", "six", "2", "3", "4")
                compound = re.search(rf"\w+(?:ty|one) {count} ", text)
                if (one and things.endswith("s") and not compound) or (several and not things.endswith("s")):
                    wrong.add(f"{count} {things}: {text}")
    assert wrong == set()


def test_what_is_said_whole_is_never_cut_and_the_rest_waits_for_more() -> None:
    lines = (from_file("word " * 40), plain("one two three."), plain("four five six seven."), plain("eight " * 9))
    said, rest = within(lines, 16)
    assert rest == ()
    said, rest = within(lines, 8)
    assert said[0].spoken == lines[0].spoken
    assert [line.spoken for line in rest] == ["four five six seven.", "eight " * 9]
    assert [line.shown for line in said[:4]] == [line.shown for line in lines]


def test_a_list_is_read_in_threes_until_all_of_it_was_said() -> None:
    table = open_job(demo_procedure("wheel-bearing-press"))
    heard = [table.do(c.WhatDoINeed()).spoken]
    while "more" in heard[-1]:
        heard.append(table.do(c.SayMore()).spoken)
        assert len(heard) < 12
    tools = {id for key in table.state.plan.steps for id in table.state.plan.step(key).tools}
    told = " ".join(heard)
    assert [
        tool.name for tool in table.state.plan.procedure.tools if tool.id in tools and tool.name not in told.lower()
    ] == []
    assert table.do(c.SayMore()).spoken == "That was all."


def test_a_step_that_was_just_read_is_not_read_again_by_next() -> None:
    table = open_job(demo_procedure("brake-discs-epb"))
    keys = table.state.plan.steps
    quiet = next(
        number
        for number, key in enumerate(keys[1:], start=1)
        if not table.state.plan.step(key).warnings and not table.state.plan.step(keys[number - 1]).warnings
    )
    table.work_until(keys[quiet - 1].step)
    told = table.do(c.Understood(), c.Renewed(), c.MarkIsMade(), c.MarkDone())
    sentence = table.state.plan.step(keys[quiet]).say
    if table.state.progress.at == keys[quiet - 1] and sentence in told.spoken:
        after = table.do(c.Next())
        assert sentence not in after.spoken
        assert sentence in after.shown
        assert sentence in table.do(c.RepeatStep()).spoken


def heard_through(name: str) -> Iterator[tuple[JobState, str]]:
    """A job on both sides as somebody does it who only listens: the state after each command, and what was spoken."""
    procedure = demo_procedure(name)
    table = open_job(procedure, tuple(one.id for one in procedure.operations), procedure.sides)
    yield table.state, table.do(c.RepeatStep()).spoken
    while table.state.progress.at != table.state.plan.steps[-1] or obligations(table.state):
        told = table.do(_natural(table))
        yield table.state, told.spoken


def _natural(table: Table) -> c.Command:
    """What a technician says next."""
    open_now = obligations(table.state)
    if table.state.progress.question or not open_now:
        return c.Confirm() if table.state.progress.question else c.Next()
    measure = table.state.step.measure
    ways: dict[str, c.Command] = {
        "warning": c.Understood(),
        "mark to make": c.MarkIsMade(),
        "mark to find": c.MarkIsFound(),
        "inspection": c.Finding("good"),
        "measurement": c.Reading(f"{(measure.high or measure.low or 1) if measure else 1}"),
        "renewal": c.Renewed(),
        "condition": c.ConditionHolds(table.state.step.establishes or ""),
        "tightening": c.MarkDone(),
        "gate": c.CheckPassed(),
        "way": c.ChooseWay("carrier-out"),
    }
    return ways[open_now[0].duty]


@pytest.mark.parametrize("procedure", PROCEDURES)
def test_no_step_is_left_before_it_was_read(procedure: str) -> None:
    heard, at, last = "", None, ""
    for state, told in heard_through(procedure):
        if at is not None and state.progress.at != at:
            assert state.plan.step(at).say in heard
            heard = last
        at, last, heard = state.progress.at, told, f"{heard} {told}"


@pytest.mark.parametrize("procedure", PROCEDURES)
def test_every_torque_and_angle_is_spoken_when_it_is_due(procedure: str) -> None:
    before = None
    for state, told in heard_through(procedure):
        due = present_tightening(state)
        warned = any(one.duty == "warning" for one in obligations(state))
        if due and not warned and (due.key, due.stage) != before:
            assert torque_line(due.target, "N·m").spoken.lower() in told.lower()
            before = due.key, due.stage


def test_a_value_is_spoken_however_long_its_order_is() -> None:
    procedure = demo_procedure("belt-drive-locking-tools")
    order = "first the one at the front, then the one at the rear, and then both of them once more"
    long = [
        one.model_copy(
            update={"tightening": tuple(stage.model_copy(update={"order": order}) for stage in one.tightening)}
        )
        for one in procedure.fasteners
    ]
    table = open_job(procedure.model_copy(update={"fasteners": tuple(long)}))
    table.work_until("mount-tight")
    assert "two five newton metres" in table.do(c.RepeatStep()).spoken
    assert "six zero newton metres" in table.do(c.MarkDone()).spoken


def test_what_comes_after_names_its_side_where_that_changes() -> None:
    told = [told for _, told in heard_through("brake-discs-epb")]
    assert any("After this, right: Tighten the five wheel bolts crosswise." in one for one in told)
    assert not any("After this, left" in one for one in told)


def test_what_is_loose_is_counted_in_pieces_and_named_as_several() -> None:
    table = open_job(demo_procedure("belt-drive-locking-tools"))
    table.work_until("mount-off")
    assert table.do(c.WhatIsLoose()).spoken == "Six loose. Six cover bolts out."
    assert table.do(c.LeftOnThisSide()).spoken.startswith("Thirty five steps to do.")
    table.work_until("mount-tight")
    table.do(c.MarkDone(), c.Hold("parts"))
    assert pieces_of(table.state.loose) == 9
    refused = open_job(demo_procedure("brake-discs-epb"))
    refused.work_until("lower")
    assert "five wheel bolts at stage one of two" in refused.do(c.Close()).spoken


def test_a_wait_is_named_once() -> None:
    told = [said.answer.spoken for said in whole_jobs() if said.topic == "timer" and "meanwhile?" in said.answer.spoken]
    assert told
    assert [one for one in told if one.count("Timer") != one.count(" left.")] == []


def test_the_second_side_says_that_it_is_the_same_and_reads_its_warnings_whole() -> None:
    procedure = demo_procedure("brake-discs-epb")
    same = [said for said in whole_jobs() if said.procedure == "brake-discs-epb" and "the same;" in said.answer.spoken]
    assert len(same) >= 1
    warned = {
        warning.text for phase in procedure.phases if phase.sided for step in phase.steps for warning in step.warnings
    }
    spoken = [said.answer.spoken for said in whole_jobs() if said.procedure == "brake-discs-epb"]
    assert all(sum(warning in text for text in spoken) >= len(procedure.sides) for warning in warned)


@pytest.mark.parametrize("command", [c.WhatIsLoose(), c.TorqueOf("wheel-bolts"), c.Hold("parts"), c.Snag("seized")])
def test_a_question_is_asked_again_after_what_was_said_under_it(command: c.Command) -> None:
    table = open_job(demo_procedure("brake-discs-epb"))
    table.do(c.Close())
    asked = table.state.progress.question
    assert asked is not None
    told = table.do(command)
    assert told.tone != "refused"
    assert table.state.progress.question == asked
    assert told.spoken.endswith("Yes confirm, or no cancel.")


@pytest.mark.parametrize("procedure", ["brake-discs-epb", "belt-drive-locking-tools"])
def test_leaving_a_vehicle_says_all_that_is_loose_and_that_it_is_not_safe_to_drive(procedure: str) -> None:
    table = open_job(demo_procedure(procedure))
    table.work_until(table.state.plan.steps[len(table.state.plan.steps) // 2].step)
    told = table.do(c.Park()).spoken
    assert "Not safe to drive." in told
    assert "more" not in told


def test_an_interrupted_angle_is_never_cut_short() -> None:
    cut = [said for said in whole_jobs() if "was interrupted" in said.answer.shown]
    assert all("Begin at stage one." in said.answer.spoken for said in cut if "was interrupted" in said.answer.spoken)
    assert [said.topic for said in cut if said.topic == "step" and "was interrupted" not in said.answer.spoken] == []
