"""A mixed model by the product's own solver: restricted maximum likelihood of published studies.

Fixed effects get a prior so wide that it says nothing; the evidence is then the restricted likelihood.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from scipy.optimize import minimize

from sparehand.labour.fitting.effect_layout import FIXED, PADDING, Floats
from sparehand.labour.fitting.equations import Block, Collapsed, Equations, Rows, collapse, summed
from sparehand.labour.fitting.priors import PHASE, TECHNICIAN
from sparehand.labour.fitting.solver import gradient, solve

FLAT = 1e7
NONE = -25.0


@dataclass(frozen=True)
class Study:
    """Values by unit; a unit is what shares the job effect. `people` and `phases` are crossed random effects."""

    units: tuple[tuple[Floats, Floats], ...]
    fixed: int
    people: int = 0
    phases: int = 0

    @property
    def equations(self) -> Equations:
        """The study as the estimates' equations."""
        shared, own = self.fixed + self.people, max(1, self.phases)
        groups = np.array([FIXED] * self.fixed + [TECHNICIAN] * self.people)
        own_groups = np.array([[PHASE] * self.phases or [PADDING]])
        return Equations(
            (np.zeros(shared), np.full(shared, FLAT), groups),
            (np.zeros((1, own)), np.ones((1, own)), own_groups),
            self._collapsed(shared + own),
            _no_rows(shared + own),
        )

    def _collapsed(self, width: int) -> Collapsed:
        parts = []
        for x, y in self.units:
            padded = np.pad(x, ((0, 0), (0, width - x.shape[1])))
            one = (np.array([some]) for some in (1.0, y, y @ y, y.sum() ** 2))
            parts.append(Block(0, padded[None], *one))
        return collapse(width, summed(parts))


def _no_rows(width: int) -> Rows:
    empty = np.zeros((0, 0))
    return Rows(np.zeros(0, dtype=np.int64), np.zeros(0), np.zeros((0, 0, width)), empty, empty, empty, empty)


@dataclass(frozen=True)
class Components:
    """The sds, the fixed effects with their variances, and -2 log restricted likelihood."""

    sds: dict[int, float]
    fixed: Floats
    fixed_variance: Floats
    criterion: float


def components(study: Study, spreads: tuple[int, ...]) -> Components:
    """Maximise the restricted likelihood over the named spreads."""
    problem, count = study.equations, sum(len(y) for _, y in study.units)
    scale = float(np.std(np.concatenate([y for _, y in study.units])))

    def whole(some: Floats) -> Floats:
        log_sds = np.full(5, NONE)
        log_sds[list(spreads)] = some
        return log_sds

    def cost(some: Floats) -> tuple[float, Floats]:
        solution = solve(problem, whole(some)[None])
        return -float(solution.evidence[0]), -gradient(problem, solution)[0, list(spreads)]

    start = np.full(len(spreads), math.log(scale / 2))
    bounds = [(math.log(scale) - 12, math.log(scale) + 3)] * len(spreads)
    options = {"ftol": 1e-15, "gtol": 1e-9, "maxiter": 500}
    found = minimize(cost, start, jac=True, method="L-BFGS-B", bounds=bounds, options=options)
    solution = solve(problem, whole(found.x)[None])
    flat = 2 * study.fixed * math.log(FLAT)
    criterion = -2 * float(solution.evidence[0]) - flat + (count - study.fixed) * math.log(2 * math.pi)
    some = slice(0, study.fixed)
    return Components(
        {spread: math.exp(value) for spread, value in zip(spreads, found.x, strict=True)},
        solution.mean[0, 0, some],
        np.diag(solution.covariance[0, 0])[some],
        criterion,
    )


def grouped(values: tuple[float, ...], size: int) -> Study:
    """One mean, and one effect for each run of `size` values: the shape of jobs in the model."""
    rows = np.array(values).reshape(-1, size)
    return Study(tuple((np.ones((size, 1)), row) for row in rows), fixed=1)
