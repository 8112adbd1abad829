"""Whatever is claimed in whatever order: what the program says of the vehicle is so, or somebody lied by name."""

from __future__ import annotations

import pytest

from job.presence import elapsed_of, presence
from simulation.technician import WORK, Technician
from sparehand.job.ledger import milliseconds
from sparehand.job.state import fold
from sparehand.job.visit_lines import is_line
from sparehand.log.timesheet import job_times, timesheet
from sparehand.screens.card_facts import card_facts

JOBS = 100


@pytest.mark.parametrize("name", WORK)
def test_no_wrong_claim_is_believed_but_a_lie_told_by_name(name: str) -> None:
    wrong = joined = 0
    for seed in range(JOBS):
        technician = Technician(*WORK[name], seed)
        outcome = technician.work(60)
        assert outcome.believed == [], f"seed {seed}"
        wrong += outcome.wrong
        state = technician.table.state
        joined += bool(state.progress.joined)
        if outcome.lies:
            facts = card_facts(state, technician.table.history)
            assert len(facts.told_without_step) >= outcome.lies
        _nothing_is_lost(technician)
    assert wrong > 0
    assert bool(joined) is ("with" in name)


def _nothing_is_lost(technician: Technician) -> None:
    """Time is conserved to the millisecond over sides, lines and procedures, and the log gives the state again."""
    state, history = technician.table.state, technician.table.history
    spans, sheet = state.ledger.all_spans(), timesheet(state)
    assert elapsed_of(spans) == presence(history)
    times = job_times(state, sheet)
    parts = [row for each in (times, *times.joined) for row in each.phases]
    parts += [row for row in sheet.phases if is_line(row.phase)]
    assert sum(round(1000 * row.work_seconds) for row in parts) == milliseconds(spans, "work")
    assert fold(history) == state
