"""The ways past phases in a quote that is made before anybody chose: how often the shop takes each."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from sparehand.labour.evidence.shop_evidence import Evidence
from sparehand.labour.fitting.arrays import Floats
from sparehand.labour.forecasting.quoted_phases import Need
from sparehand.procedures.model import Procedure
from sparehand.procedures.ways import Way

SEED = 20_240_301
PRIOR_JOBS = 1.0
"""Before any job, all ways are alike; that counts as one job shared between them."""


@dataclass(frozen=True)
class Choice:
    """A phase that offers `ways`, and the chance of each."""

    phase: str
    ways: tuple[Way, ...]
    chances: tuple[float, ...]


def choices_of(procedure: Procedure | None, evidence: Evidence) -> tuple[Choice, ...]:
    """The choices of a procedure in the order of the file.

    The chance of a way is the share of the jobs that finished its first phase: the mean of a Dirichlet distribution
    whose prior weighs one job (Gelman and others, Bayesian Data Analysis, 3rd edition, 3.4).
    """
    if procedure is None:
        return ()
    found = []
    for phase in (phase for phase in procedure.phases if phase.ways):
        counts = [evidence.finished(procedure.id, way.phases[0]) for way in phase.ways]
        total = sum(counts) + PRIOR_JOBS
        chances = tuple((count + PRIOR_JOBS / len(counts)) / total for count in counts)
        found.append(Choice(phase.id, phase.ways, chances))
    return tuple(found)


def phases_taken(
    choices: Sequence[Choice], needs: Sequence[Need], draws: int, fixed: Mapping[int, int] | None = None
) -> Floats:
    """Which phases each draw goes through: 1 or 0, shape (draws, needs).

    `fixed` says which way is taken at a choice, by their places; the others are chosen by their chances, to within one
    draw. A job takes the same way on every side.
    """
    rng = np.random.default_rng(SEED)
    taken: dict[str, Floats] = {}
    for number, choice in enumerate(choices):
        even = (rng.permutation(draws) + 0.5) / draws
        drawn = np.searchsorted(np.cumsum(choice.chances[:-1]), even)
        chosen = np.full(draws, fixed[number]) if fixed and number in fixed else drawn
        reached = taken.get(choice.phase, np.ones(draws))
        for place, way in enumerate(choice.ways):
            taken.update(dict.fromkeys(way.phases, reached * (chosen == place)))
    always = np.ones(draws)
    return np.stack([taken.get(need.key.phase, always) for need in needs], axis=1)
