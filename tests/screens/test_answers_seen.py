"""The screen is the record: whatever is answered is seen at every size, and looks as it was agreed."""

from __future__ import annotations

import os
import re
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import given, settings, strategies as st

from job.table import Table, demo_procedure, open_job
from screens.bay import PROCEDURE
from screens.terminal import Terminal
from screens.test_dialogue import Said
from sparehand.job import commands as c
from sparehand.job.answer import Answer
from sparehand.job.answering.answer_context import AnswerContext
from sparehand.job.answers import coming_back
from sparehand.job.commands import Command
from sparehand.job.experience import Experience
from sparehand.screens.exchange import PAGE_MS
from sparehand.screens.glance_screen import GlanceScreen
from sparehand.voice.recognising.heard import Source

SIZES = [(60, 18), (80, 24), (120, 40)]
SNAPSHOTS = Path(__file__).parent / "snapshots"
WRITE = "SPAREHAND_WRITE_SNAPSHOTS"


def at_the_cam_bolt() -> Table:
    table = open_job(PROCEDURE)
    table.work_until("cam-tight")
    return table


def at_the_warning() -> Table:
    table = open_job(PROCEDURE)
    table.do(c.Finding("worn"), c.Next(), c.MarkIsMade(), c.Next())
    assert table.state.progress.at.step == "cam-out"
    return table


def back_at_the_bench(table: Table) -> Answer:
    return coming_back(table.state, AnswerContext(table.clock.now(), Experience(), Answer()))


def doing(*commands: Command) -> Callable[[Table], Answer]:
    return lambda table: table.do(*commands)


KINDS: dict[str, tuple[Callable[[], Table], str, Source, Callable[[Table], Answer]]] = {
    "acknowledgement": (at_the_cam_bolt, "back to work", "heard", doing(c.Hold("phone"), c.GoOn())),
    "hold": (at_the_cam_bolt, "hold for the phone", "page", doing(c.Hold("phone"))),
    "step": (lambda: open_job(PROCEDURE), "next", "heard", doing(c.Finding("good"), c.Next())),
    "refusal": (at_the_warning, "next", "heard", doing(c.Next())),
    "question": (at_the_cam_bolt, "close the job", "heard", doing(c.Close())),
    "list": (at_the_cam_bolt, "what is loose", "heard", doing(c.WhatIsLoose())),
    "torque": (at_the_cam_bolt, "repeat torque in foot pounds", "heard", doing(c.RepeatTorque("lbf·ft"))),
    "overview": (at_the_cam_bolt, "where are we", "typed", doing(c.WhereAmI())),
    "help": (at_the_cam_bolt, "what can I say", "heard", doing(c.Help())),
    "resuming": (at_the_cam_bolt, "", "heard", back_at_the_bench),
    "parting": (at_the_cam_bolt, "park the job", "heard", doing(c.Park())),
}


def painted(kind: str, size: tuple[int, int]) -> str:
    begin, words, source, answers = KINDS[kind]
    terminal, table = Terminal(*size), begin()
    screen = GlanceScreen(terminal.console)
    screen.listens("listening")
    screen.state(table.state, table.clock.now())
    if words:
        screen.heard(Said(words, source=source))
    screen.answered(answers(table))
    screen.state(table.state, table.clock.now())
    return "\n".join(terminal.shown())


@pytest.mark.parametrize("kind", KINDS)
def test_each_kind_of_answer_looks_as_it_was_agreed(kind: str) -> None:
    """The pictures lie beside this file; `SPAREHAND_WRITE_SNAPSHOTS=1` writes them anew, to be looked at."""
    file = SNAPSHOTS / f"{kind}.txt"
    drawn = "\n".join(f"--- {size[0]} x {size[1]}\n{painted(kind, size)}" for size in SIZES) + "\n"
    if os.environ.get(WRITE):
        file.parent.mkdir(exist_ok=True)
        file.write_text(drawn, encoding="utf-8")
    assert drawn == file.read_text(encoding="utf-8")


ASKED: list[Command] = [
    c.WhatIsLoose(), c.WhereAmI(), c.WhatSize(), c.RepeatTorque("lbf·ft"), c.WhatNext(), c.Help(), c.MarkDone(),
    c.Next(), c.GoBack(), c.Undo(), c.Hold("phone"), c.GoOn(), c.Close(), c.Confirm(), c.Refuse(), c.Understood(),
    c.WhichParts(), c.Renewed(), c.Finding("worn"), c.MarkIsMade(), c.MarkIsFound(), c.Reading("118"), c.Park(),
    c.ReadWarning(), c.TimeCheck(), c.NextPhase(), c.SkipStep(),
]  # fmt: skip


def seen_in_turn(screen: GlanceScreen, terminal: Terminal, table: Table) -> str:
    """All pages of what is shown, one after the other, as one line; and the numbers stay on each of them."""
    pages: list[list[str]] = []
    for _ in range(5):
        screen.state(table.state, table.clock.now())
        pages.append([re.sub(r"\b\d+ of \d+$", "", row) if at else row for at, row in enumerate(terminal.shown())])
        table.clock.advance(PAGE_MS)
    assert len({sum("█" in row for row in rows) for rows in pages}) == 1, "the numbers went away under an answer"
    stays = set.intersection(*map(set, pages))
    turned = [row for rows in pages for row in rows if row not in stays]
    return " ".join(" ".join([*(row for row in pages[0] if row in stays), *turned]).split())


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("procedure", [PROCEDURE, demo_procedure()], ids=lambda one: one.id)
@settings(deadline=None, max_examples=15)
@given(data=st.data())
def test_every_sentence_of_every_answer_is_seen(procedure: object, size: tuple[int, int], data: st.DataObject) -> None:
    table = open_job(procedure, sides=("left", "right"))  # type: ignore[arg-type]
    for command in data.draw(st.lists(st.sampled_from(ASKED), max_size=12)):
        table.do(command)
    terminal = Terminal(*size)
    screen = GlanceScreen(terminal.console)
    given = table.do(data.draw(st.sampled_from(ASKED)))
    screen.state(table.state, table.clock.now())
    screen.answered(given)
    text = seen_in_turn(screen, terminal, table).casefold()
    for line in given.lines:
        in_numbers = "█" in text and re.search(r"\d (N·m|lbf·ft)|\d°", line.shown)
        assert in_numbers or " ".join(line.shown.split()).casefold() in text, line.shown
