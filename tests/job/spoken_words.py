"""Whole jobs played for what they say: each answer with its topic and the words that a budget counts."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cache

from job.table import EXPERIENCE, Table, demo_procedure, open_job
from sparehand.ground.places import bundled
from sparehand.job import commands as c
from sparehand.job.answer import Answer
from sparehand.job.answering.answer_context import AnswerContext
from sparehand.job.answers import answer, coming_back
from sparehand.job.decision import Decision, Refusal, Tell
from sparehand.procedures.model import Procedure

PROCEDURES = tuple(sorted(path.stem for path in bundled("procedures").glob("*.yaml")))
PHRASES = ("next", "mark done")
"""What the table names as sayable, too."""


@dataclass(frozen=True)
class Said:
    """An answer, in full and terse, with what it was about."""

    topic: str
    answer: Answer
    terse: Answer
    procedure: str

    @property
    def counted(self) -> int:
        """The words that a budget counts: those that are not said whole."""
        return sum(len(line.spoken.split()) for line in self.answer.lines if not line.whole)

    @property
    def words(self) -> int:
        """All words."""
        return len(self.answer.spoken.split())


@cache
def whole_jobs() -> tuple[Said, ...]:
    """Every answer of every demonstration job, worked through on all sides with every question asked at every step."""
    return tuple(said for name in PROCEDURES for said in _job(name))


def questions(procedure: Procedure) -> tuple[c.Command, ...]:
    """What can be asked without changing anything, each name of the file asked for once."""
    asked: list[c.Command] = [c.RepeatStep(), c.RepeatTorque(), c.WhatSize(), c.WhatNext(), c.WhatIsLoose()]
    asked += [c.WhereAmI(), c.WhatWasSkipped(), c.WhichParts(), c.WhatDoINeed(), c.SayMore(), c.TimeCheck()]
    asked += [c.TimerLeft(), c.ReadWarning(), c.Help(), c.WhoIsHere(), c.WhichJob(), c.TightenedHere()]
    asked += [c.LeftOnThisSide(), c.WhatAfterThat(), c.WhichTools(), c.PhaseTime(), c.SayAgain()]
    asked += [c.TorqueOf(one.id) for one in procedure.fasteners] + [c.SizeOf(one.id) for one in procedure.fasteners]
    asked += [c.HeldBy(one.id) for one in procedure.fasteners] + [c.PartOf(one.id) for one in procedure.parts]
    return tuple(asked)


def _job(name: str) -> Iterator[Said]:
    procedure = demo_procedure(name)
    table = open_job(procedure, sides=procedure.sides)
    for _ in range(400):
        here = table.state.progress.at
        for command in questions(procedure):
            yield _do(table, command, name)
        yield from (_do(table, command, name) for command in _beside())
        yield _back(table, name)
        yield from (_do(table, command, name) for command in _answers(table))
        yield _do(table, c.Next(), name)
        if table.state.progress.at == here:
            break
    yield from (_do(table, command, name) for command in (c.Park(), c.Close(), c.Confirm()))


def _beside() -> tuple[c.Command, ...]:
    """What changes clocks and comes back to the same place."""
    return (c.Hold("parts"), c.GoOn(), c.Snag("seized"), c.SnagOver(), c.StartTimer(10), c.StopTimer(), c.Close())


def _answers(table: Table) -> Iterator[c.Command]:
    """All that the present step asks for, one after the other, each tried before it is due as well."""
    yield c.Refuse()
    for _ in range(3):
        yield from (c.Next(), c.Understood(), c.MarkIsMade(), c.MarkIsFound(), c.Renewed(), c.Finding("worn"))
        measure = table.state.step.measure
        if measure:
            yield from (c.Reading(f"{measure.high or measure.low or 1}"), c.Confirm())
        yield from (c.MarkDone(), c.ConditionHolds(), c.CheckPassed())


def _do(table: Table, command: c.Command, name: str) -> Said:
    last, last_at = table.last, table.last_at
    given = table.do(command)
    assert table.decision is not None
    context = AnswerContext(table.clock.now(), EXPERIENCE, last, PHRASES, terse=True, last_at=last_at)
    return Said(_topic(table.decision), given, answer(table.state, table.decision, context), name)


def _back(table: Table, name: str) -> Said:
    context = AnswerContext(table.clock.now(), EXPERIENCE, table.last, PHRASES)
    return Said(
        "resume", coming_back(table.state, context), coming_back(table.state, replace(context, terse=True)), name
    )


def _topic(decision: Decision) -> str:
    return "refusal" if isinstance(decision.reply, Refusal) else _told(decision.reply)


def _told(reply: Tell) -> str:
    return reply.topic
