"""Whatever is claimed in whatever order: what the program says of the vehicle is so, or somebody lied by name."""

from __future__ import annotations

from pathlib import Path

import pytest

from simulation.technician import Technician
from simulation.vehicle import raw_procedure
from sparehand.ground.places import bundled
from sparehand.procedures.load import load_procedure
from sparehand.screens.card_facts import card_facts

AXLE = Path(__file__).parents[1] / "job" / "axle_job.yaml"
FILES = (AXLE, *sorted(bundled("procedures").glob("*.yaml")))
JOBS = 200


@pytest.mark.parametrize("file", FILES, ids=lambda file: file.stem)
def test_no_wrong_claim_is_believed_but_a_lie_told_by_name(file: Path) -> None:
    procedure, raw = load_procedure(file).procedure, raw_procedure(file)
    wrong = 0
    for seed in range(JOBS):
        technician = Technician(procedure, raw, seed)
        outcome = technician.work(60)
        assert outcome.believed == [], f"seed {seed}"
        wrong += outcome.wrong
        if outcome.lies:
            facts = card_facts(technician.table.state, technician.table.history)
            assert len(facts.told_without_step) >= outcome.lies
    assert wrong > 0
