"""The normal equations of the model, without the spreads: built once, solved for any spreads.

Jobs of the same phases weigh alike whatever the spreads are, so all plain jobs of a procedure collapse into a few small
matrices for each set of phases. Other jobs (unfinished phases, doubtful ones) keep a row each.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from sparehand.labour.evidence.shop_evidence import Evidence
from sparehand.labour.fitting.arrays import Floats, Ints
from sparehand.labour.fitting.effect_layout import Layout
from sparehand.labour.fitting.priors import SHOP
from sparehand.times.pattern_sums import PatternSums, regressors_of
from sparehand.times.sample import SampleJob


@dataclass(frozen=True)
class Patterns:
    """Sums over plain jobs, one element for each procedure and set of phases, padded to the longest.

    Of shared regressors r and logs y relative to the plan: `regressors` (g, e, e) sums r r', `crossed` (g, e, n) r y',
    `logs` (g, n, n) y y'. `rows` (g, n, effects) are the phases' own effects, `place` (g, n) their places among the
    procedure's phases, `present` (g, n) is 0 for padding.
    """

    owner: Ints
    present: Floats
    place: Ints
    rows: Floats
    regressors: Floats
    crossed: Floats
    logs: Floats

    @property
    def jobs(self) -> Floats:
        """The number of jobs of each element."""
        return self.regressors[:, SHOP, SHOP]


@dataclass(frozen=True)
class Rows:
    """Jobs one by one in the order of their procedures, padded to the longest.

    An entry's precision is `weight` / (variance of its phase) + `site`; padding has neither. `bound` marks unfinished
    phases, whose sites stand for "longer than this". A row counts for `copies` such jobs.
    """

    owner: Ints
    copies: Floats
    place: Ints
    x: Floats
    y: Floats
    weight: Floats
    site: Floats
    bound: Floats

    @property
    def censored(self) -> bool:
        """Whether any phase in it is unfinished."""
        return bool(np.isfinite(self.bound).any())

    def with_sites(self, site: Floats, y: Floats) -> Rows:
        """The same rows with other sites for the unfinished phases."""
        return replace(self, site=site, y=y)


@dataclass(frozen=True)
class Equations:
    """All that the solver needs: what was seen, and what was believed before."""

    shared_prior: tuple[Floats, Floats, Ints]
    own_prior: tuple[Floats, Floats, Ints]
    patterns: Patterns
    rows: Rows

    @property
    def shared(self) -> int:
        """The number of shared effects."""
        return len(self.shared_prior[0])

    @property
    def own(self) -> int:
        """The number of a procedure's own effects."""
        return int(self.own_prior[0].shape[1])

    @property
    def no_differences(self) -> Floats:
        """Equal residual spreads of all phases: log ratios (procedures, phases) of nothing."""
        return np.zeros((len(self.own_prior[0]), self.own - 1))


def equations(layout: Layout, evidence: Evidence) -> Equations:
    """Build the equations from all that is added up and the jobs kept one by one."""
    return Equations(
        layout.shared_prior(), layout.own_prior(), _patterns(layout, evidence), _rows(layout, evidence.rows)
    )


def _patterns(layout: Layout, evidence: Evidence) -> Patterns:
    place = {name: number for number, name in enumerate(layout.procedures)}
    keys = sorted(evidence.sums, key=lambda key: (place[key[0]], key[1]))
    count, longest = len(keys), max((len(pattern) for _, pattern in keys), default=0)
    width = layout.shared + layout.own
    found = Patterns(
        owner=np.array([place[procedure] for procedure, _ in keys], dtype=np.int64),
        present=np.zeros((count, longest)),
        place=np.zeros((count, longest), dtype=np.int64),
        rows=np.zeros((count, longest, width)),
        regressors=np.zeros((count, layout.shared, layout.shared)),
        crossed=np.zeros((count, layout.shared, longest)),
        logs=np.zeros((count, longest, longest)),
    )
    for number, (procedure, pattern) in enumerate(keys):
        size = len(pattern)
        found.present[number, :size] = 1.0
        found.place[number, :size] = layout.places(procedure, pattern)
        found.rows[number, :size] = layout.phase_rows(procedure, pattern)
        for sums in evidence.sums[procedure, pattern]:
            regressors, crossed, logs = _relative(layout, sums, layout.references(procedure, pattern))
            found.regressors[number] += regressors
            found.crossed[number, :, :size] += crossed
            found.logs[number, :size, :size] += logs
    return found


def _relative(layout: Layout, sums: PatternSums, planned: Floats) -> tuple[Floats, Floats, Floats]:
    """The sums over shared effects, their logs taken relative to the plan."""
    names = layout.regressors(sums.names)
    regressors = names.T @ _symmetric(sums.regressors) @ names
    crossed = names.T @ np.array(sums.crossed)
    toward = np.outer(crossed[SHOP], planned)
    logs = _symmetric(sums.logs) - toward - toward.T + regressors[SHOP, SHOP] * np.outer(planned, planned)
    return regressors, crossed - np.outer(regressors[SHOP], planned), logs


def _symmetric(triangle: Sequence[Sequence[float]]) -> Floats:
    whole = np.zeros((len(triangle), len(triangle)))
    for row, values in enumerate(triangle):
        whole[row, : row + 1] = whole[: row + 1, row] = values
    return whole


def _rows(layout: Layout, jobs: Sequence[SampleJob]) -> Rows:
    jobs = sorted(jobs, key=lambda job: layout.procedures.index(job.procedure))
    longest = max((len(job.cells) for job in jobs), default=0)
    shape = (len(jobs), longest)
    x, place = np.zeros((*shape, layout.shared + layout.own)), np.zeros(shape, dtype=np.int64)
    y, weight, site = np.zeros(shape), np.zeros(shape), np.zeros(shape)
    bound = np.full(shape, np.nan)
    for row, job in enumerate(jobs):
        pattern = tuple((cell.phase, cell.second) for cell in job.cells)
        some = slice(0, len(pattern))
        x[row, some] = job_rows(layout, job, layout.phase_rows(job.procedure, pattern))
        place[row, some] = layout.places(job.procedure, pattern)
        logs = np.log([cell.seconds for cell in job.cells]) - layout.references(job.procedure, pattern)
        complete = np.array([cell.complete for cell in job.cells])
        y[row, some] = np.where(complete, logs, 0.0)
        weight[row, some] = np.where(complete, [cell.weight for cell in job.cells], 0.0)
        bound[row, some] = np.where(complete, np.nan, logs)
    owner = np.array([layout.procedures.index(job.procedure) for job in jobs], dtype=np.int64)
    copies = np.array([job.copies for job in jobs], dtype=np.float64)
    return Rows(owner, copies, place, x, y, weight, site, bound)


def job_rows(layout: Layout, job: SampleJob, rows: Floats) -> Floats:
    """The coefficients of a job's phases, (phases, effects), from those that the phases have by themselves."""
    names, values = zip(*regressors_of(job, layout.blocks.latest), strict=True)
    rows[:, : layout.shared] += np.array(values) @ layout.regressors(names)
    return rows
