"""A mixed model by the product's own solver: restricted maximum likelihood of published studies.

Fixed effects get a prior so wide that it says nothing; the evidence is then the restricted likelihood.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from scipy.optimize import minimize

from sparehand.labour.fitting.arrays import Floats
from sparehand.labour.fitting.effect_layout import FIXED, PADDING
from sparehand.labour.fitting.equations import Equations, Patterns, Rows
from sparehand.labour.fitting.priors import GROUPS, PHASE, TECHNICIAN
from sparehand.labour.fitting.solver import gradient, solve

FLAT = 1e7
NONE = -25.0
NOTHING = 1e-7


@dataclass(frozen=True)
class Study:
    """Values by unit; a unit is what shares the job effect. `people` and `phases` are crossed random effects."""

    units: tuple[tuple[Floats, Floats], ...]
    fixed: int
    people: int = 0
    phases: int = 0

    @property
    def equations(self) -> Equations:
        """The study as the estimates' equations; the first effect, which all values share, is fixed at nothing."""
        shared, own = 1 + self.fixed + self.people, max(1, self.phases)
        means, sds = np.zeros(shared), np.array([NOTHING] + [FLAT] * (self.fixed + self.people))
        groups = np.array([FIXED] * (1 + self.fixed) + [TECHNICIAN] * self.people)
        own_groups = np.array([[PHASE] * self.phases or [PADDING]])
        patterns = self._patterns(shared, shared + own)
        return Equations(
            (means, sds, groups), (np.zeros((1, own)), np.ones((1, own)), own_groups), patterns, _no_rows()
        )

    def _patterns(self, shared: int, width: int) -> Patterns:
        count, longest = len(self.units), max(len(y) for _, y in self.units)
        rows, crossed = np.zeros((count, longest, width)), np.zeros((count, shared, longest))
        present, logs = np.zeros((count, longest)), np.zeros((count, longest, longest))
        regressors = np.zeros((count, shared, shared))
        regressors[:, 0, 0] = 1.0
        for number, (x, y) in enumerate(self.units):
            some = slice(0, len(y))
            rows[number, some, 1 : 1 + x.shape[1]] = x
            crossed[number, 0, some], present[number, some] = y, 1.0
            logs[number, some, some] = np.outer(y, y)
        nowhere = np.zeros((count, longest), dtype=np.int64)
        return Patterns(np.zeros(count, dtype=np.int64), present, nowhere, rows, regressors, crossed, logs)


def _no_rows() -> Rows:
    empty, nobody = np.zeros((0, 0)), np.zeros(0, dtype=np.int64)
    return Rows(nobody, np.zeros(0), np.zeros((0, 0), dtype=np.int64), np.zeros((0, 0, 1)), empty, empty, empty, empty)


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
        log_sds = np.full(len(GROUPS), NONE)
        log_sds[list(spreads)] = some
        return log_sds

    def cost(some: Floats) -> tuple[float, Floats]:
        solution = solve(problem, whole(some)[None], np.zeros((1, max(1, study.phases))))
        return -float(solution.evidence[0]), -gradient(problem, solution)[0, list(spreads)]

    start = np.full(len(spreads), math.log(scale / 2))
    bounds = [(math.log(scale) - 12, math.log(scale) + 3)] * len(spreads)
    options = {"ftol": 1e-15, "gtol": 1e-9, "maxiter": 500}
    found = minimize(cost, start, jac=True, method="L-BFGS-B", bounds=bounds, options=options)
    solution = solve(problem, whole(found.x)[None], np.zeros((1, max(1, study.phases))))
    flat = 2 * study.fixed * math.log(FLAT)
    criterion = -2 * float(solution.evidence[0]) - flat + (count - study.fixed) * math.log(2 * math.pi)
    some = slice(1, 1 + study.fixed)
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
