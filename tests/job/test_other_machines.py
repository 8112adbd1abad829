"""A machine off the road: conditions in its own words, hours on a meter, two sides, and no wheel anywhere."""

from __future__ import annotations

from job.table import Table, demo_procedure, open_job, procedure_file
from sparehand.job import commands as c
from sparehand.job.fasteners import is_final
from sparehand.job.open_items import open_items
from sparehand.job.situation import SITUATIONS
from sparehand.procedures.check import check_file
from sparehand.setup.hearing_trials import procedure_hearing, spoken_names
from sparehand.voice.phrases.phrase_file import load_phrases

MAST = "mast-rollers"
LOWERED = ("mast-lowered", None)


def at(step: str) -> Table:
    """A job on both sides of the mast, worked until a step."""
    table = open_job(demo_procedure(MAST), sides=("left", "right"))
    table.work_until(step)
    return table


def said(table: Table, words: str) -> str:
    """What is answered to words of the technician."""
    command = load_phrases(spoken_names(table.state.plan.procedure)).command_for(words, SITUATIONS)
    assert command is not None, f"nobody understands '{words}'"
    return table.do(command).shown


def test_nothing_is_found_in_it() -> None:
    assert check_file(procedure_file(MAST), procedure_hearing()) == ()


def test_the_hours_of_its_meter_are_a_reading() -> None:
    table = at("hours")
    assert "four two one seven hours" in table.do(c.Reading("4217")).spoken
    table.do(c.Confirm())
    assert not table.refused()


def test_the_last_torque_waits_for_the_mast_in_its_own_words() -> None:
    table = at("mast-down-again")
    table.do(c.GoTo("tighten-chain"), c.Confirm())
    assert "mast lowered, pressure released" in table.do(c.MarkDone()).shown
    assert table.refused()


def test_its_condition_is_claimed_and_ended_in_words_of_the_file() -> None:
    table = at("mast-down-again")
    table.do(c.Understood())
    said(table, "mast is down")
    assert LOWERED in table.state.progress.conditions
    said(table, "mast is up")
    assert LOWERED not in table.state.progress.conditions


def test_raising_the_truck_does_not_end_what_is_true_of_its_mast() -> None:
    table = at("carriage-held")
    table.do(c.Lifted())
    assert LOWERED in table.state.progress.conditions


def test_the_carriage_is_told_to_hang_until_its_trestles_are_away() -> None:
    assert "carriage on trestles" in at("chain-off").do(c.Park()).shown
    assert "carriage on trestles" not in at("mast-run").do(c.Park()).shown


def test_it_is_worked_on_both_sides_and_closes_clean() -> None:
    table = at("chains-alike")
    table.do(c.CheckPassed(), c.Close(), c.Confirm())
    assert table.state.progress.closed is not None
    assert open_items(table.state) == ()
    procedure = table.state.plan.procedure
    final = {
        key: is_final(procedure.fastener(key.fastener), one) for key, one in table.state.progress.fastenings.items()
    }
    assert len(final) == 2 * len(procedure.fasteners)
    assert all(final.values())
