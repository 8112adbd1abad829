"""The glance screen on a terminal: painted where it changed, and given back as it was."""

from __future__ import annotations

import io

import pytest
from rich.console import Console

from job.table import demo_procedure, open_job
from screens.bay import Bay, cam_bolt_waiting, joint_bolts_in
from screens.terminal import Terminal
from screens.test_dialogue import Said
from sparehand.job import commands as c
from sparehand.job.answer import Answer, plain
from sparehand.job.experience import ExpectedPhase, Experience
from sparehand.procedures.plan import PhaseKey
from sparehand.screens.exchange import ANSWER_STAYS_MS
from sparehand.screens.glance_screen import GlanceScreen, can_glance


def screen(terminal: Terminal) -> GlanceScreen:
    view = GlanceScreen(terminal.console)
    view.listens("listening")
    return view


def shows(terminal: Terminal, words: str) -> bool:
    return words in "\n".join(terminal.shown())


@pytest.mark.parametrize("size", [(60, 18), (80, 24), (120, 40)])
def test_it_shows_the_job(size: tuple[int, int]) -> None:
    terminal, bay = Terminal(*size), cam_bolt_waiting()
    screen(terminal).state(bay.state, bay.now)
    assert shows(terminal, "not yet: only at ride height")
    assert shows(terminal, "█")
    assert terminal.alternate


def test_it_clears_once_and_afterwards_sends_only_rows_that_changed() -> None:
    terminal, bay = Terminal(60, 18), cam_bolt_waiting()
    view = screen(terminal)
    view.state(bay.state, bay.now)
    first = terminal.sent()
    bay.clock.advance(1_000)
    view.state(bay.state, bay.now)
    second = terminal.sent()
    assert first.count("\x1b[2J") == 1
    assert "\x1b[2J" not in second
    assert second.count("H") == 1
    assert "phase 1 s" in second
    view.state(bay.state, bay.now)
    assert terminal.sent() == ""


def test_a_step_further_shows_the_same_as_a_fresh_screen() -> None:
    moved, fresh = Terminal(80, 24), Terminal(80, 24)
    view, before, after = screen(moved), joint_bolts_in(), cam_bolt_waiting()
    view.state(before.state, before.now)
    view.state(after.state, after.now)
    screen(fresh).state(after.state, after.now)
    assert moved.shown() == fresh.shown()


def test_a_resized_terminal_is_painted_anew_without_a_clear() -> None:
    terminal, bay = Terminal(60, 18), cam_bolt_waiting()
    view = screen(terminal)
    view.state(bay.state, bay.now)
    terminal.shown()
    terminal.resize(100, 30)
    view.state(bay.state, bay.now)
    fresh = Terminal(100, 30)
    screen(fresh).state(bay.state, bay.now)
    assert terminal.shown() == fresh.shown()
    assert terminal.clears == 1


def test_words_being_typed_are_left_alone_until_they_are_heard() -> None:
    terminal, bay = Terminal(60, 18), cam_bolt_waiting()
    view = screen(terminal)
    view.state(bay.state, bay.now)
    terminal.shown()
    assert (terminal.row, terminal.column) == (16, 3)
    terminal.file.write("mark do")
    bay.clock.advance(1_000)
    view.state(bay.state, bay.now)
    assert terminal.shown()[16] == " › mark do"
    assert (terminal.row, terminal.column) == (16, 10)
    view.heard(Said("mark done"))
    assert terminal.shown()[16] == " ›"
    assert (terminal.row, terminal.column) == (16, 3)


def test_what_was_heard_is_shown_with_how_sure_but_not_the_words_of_talk() -> None:
    terminal, bay = Terminal(60, 18), Bay()
    view = screen(terminal)
    view.state(bay.state, bay.now)
    view.heard(Said("mark done", confidence=0.71))
    assert shows(terminal, "heard “mark done”, fairly sure 71 %")
    view.heard(Said("the customer owes us", accepted=False))
    assert shows(terminal, "heard talk or noise, left alone")
    assert not shows(terminal, "customer")


def test_an_answer_is_shown_for_a_while() -> None:
    terminal, bay = Terminal(80, 24), Bay()
    view = screen(terminal)
    view.state(bay.state, bay.now)
    view.answered(Answer((plain("Nothing is loose."),), "refused"))
    view.state(bay.state, bay.now)
    assert shows(terminal, "refused: Nothing is loose.")
    bay.clock.advance(ANSWER_STAYS_MS + 1)
    view.state(bay.state, bay.now)
    assert not shows(terminal, "Nothing is loose.")


def test_an_answer_goes_with_the_next_phrase_and_stays_under_talk() -> None:
    terminal, bay = Terminal(80, 24), Bay()
    view = screen(terminal)
    view.state(bay.state, bay.now)
    view.heard(Said("what is loose"))
    view.answered(Answer((plain("Nothing is loose."),)))
    view.heard(Said("the customer owes us", accepted=False))
    assert shows(terminal, "heard “what is loose”")
    assert shows(terminal, "Nothing is loose.")
    view.heard(Said("nxt", accepted=False, near_miss=True))
    assert not shows(terminal, "Nothing is loose.")


def test_a_note_after_an_answer_does_not_take_it_away() -> None:
    terminal, bay = Terminal(60, 18), Bay()
    view = screen(terminal)
    view.state(bay.state, bay.now)
    view.answered(Answer((plain("Here is the note."),)))
    view.note("Its recording is gone.")
    assert shows(terminal, "Here is the note. Its recording is gone.")


def test_how_sure_the_ears_are_is_not_said_of_typed_words() -> None:
    terminal, bay = Terminal(60, 18), Bay()
    view = screen(terminal)
    view.state(bay.state, bay.now)
    view.heard(Said("mark done", confidence=1.0, source="typed"))
    assert shows(terminal, "typed “mark done”")
    assert not shows(terminal, "sure")


def test_before_a_job_it_shows_what_is_asked() -> None:
    terminal = Terminal(60, 18)
    screen(terminal).answered(Answer((plain("Say which operation: do arm."),)))
    assert shows(terminal, "Say which operation: do arm.")


def test_it_shows_whether_it_listens_as_soon_as_that_changes() -> None:
    terminal, bay = Terminal(60, 18), Bay()
    view = screen(terminal)
    view.state(bay.state, bay.now)
    assert terminal.shown()[0].endswith(" listening")
    view.listens("deaf while speaking")
    assert terminal.shown()[0].endswith(" deaf while speaking")


def test_it_holds_the_phase_clock_against_what_is_expected() -> None:
    terminal, bay = Terminal(60, 18), Bay()
    view = screen(terminal)
    view.expects(Experience((ExpectedPhase(PhaseKey("remove", "right"), 12, 18, 25),)))
    view.state(bay.state, bay.now)
    assert shows(terminal, "expected 12 to 25 min")


def test_closing_gives_the_terminal_back_and_leaves_what_was_told_last() -> None:
    terminal, bay = Terminal(60, 18), cam_bolt_waiting()
    view = screen(terminal)
    view.state(bay.state, bay.now)
    view.answered(Answer((plain("Confirmed."),)))
    view.heard(Said("park the job"))
    view.answered(Answer((plain("Parked."), plain("Not safe to drive."))))
    view.note("Job job-7 stays open.")
    terminal.sent()
    view.close()
    left = terminal.sent()
    assert left.startswith("\x1b[?1049l")
    assert "Not safe to drive." in left
    assert "Job job-7 stays open." in left
    assert "Confirmed." not in left
    view.close()
    assert terminal.sent() == ""


def test_a_lost_terminal_stops_the_painting_and_not_the_job() -> None:
    terminal, bay = Terminal(60, 18), cam_bolt_waiting()
    view = screen(terminal)
    terminal.file.close()
    view.state(bay.state, bay.now)
    view.heard(Said("next"))
    view.close()


def test_only_a_terminal_that_is_large_enough_shows_it() -> None:
    assert can_glance(Terminal(60, 18).console)
    assert not can_glance(Terminal(59, 18).console)
    assert not can_glance(Terminal(60, 17).console)
    assert not can_glance(Console(file=io.StringIO(), width=100, height=40))


def test_the_digits_are_in_the_unit_last_asked_for() -> None:
    terminal, table = Terminal(60, 18), open_job(demo_procedure("brake-discs-epb"))
    plan = table.state.plan
    torqued = {one.id for one in plan.procedure.fasteners if one.tightening and one.tightening[0].torque}
    table.work_until(next(key.step for key in plan.steps if set(plan.step(key).tightens) & torqued))
    table.do(c.Understood(), c.Renewed())
    screen = GlanceScreen(terminal.console)
    screen.state(table.state, table.clock.now())
    screen.answered(table.do(c.RepeatTorque("lbf·ft")))
    screen.state(table.state, table.clock.now())
    assert any("lbf·ft" in row for row in terminal.shown()[3:14])
    screen.answered(table.do(c.RepeatTorque()))
    screen.state(table.state, table.clock.now())
    assert not any("lbf·ft" in row for row in terminal.shown()[3:14])
