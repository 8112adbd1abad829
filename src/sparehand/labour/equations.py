"""The normal equations of the model, without the spreads: built once, solved for any spreads.

Jobs with the same number of phases weigh alike whatever the spreads are, so all plain jobs of a procedure collapse into
one small matrix for each such number. Other jobs (unfinished phases, doubtful ones) keep a row each.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from sparehand.labour.layout import Floats, Ints, Layout, Setting
from sparehand.labour.sample import SampleJob
from sparehand.labour.statistics import Entry, Signature, Totals


@dataclass(frozen=True)
class Collapsed:
    """Sums over plain jobs, one element for each procedure and number of phases.

    With X a job's rows, y its logs, s = X'1 and t = 1'y: the sums over jobs of X'X, ss', X'y, s·t, y'y and t².
    """

    owner: Ints
    size: Floats
    jobs: Floats
    within: Floats
    between: Floats
    within_y: Floats
    between_y: Floats
    squares: Floats
    squared_totals: Floats


@dataclass(frozen=True)
class Rows:
    """Jobs kept one by one in the order of their procedures, padded to the longest.

    An entry's precision is `weight` / residual variance + `site`; padding has neither. `bound` marks unfinished phases,
    whose sites stand for "longer than this".
    """

    owner: Ints
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
    collapsed: Collapsed
    rows: Rows

    @property
    def shared(self) -> int:
        """The number of shared effects."""
        return len(self.shared_prior[0])

    @property
    def own(self) -> int:
        """The number of a procedure's own effects."""
        return int(self.own_prior[0].shape[1])


def equations(layout: Layout, totals: Mapping[Signature, Totals], kept: Sequence[SampleJob]) -> Equations:
    """Build the equations from the totals of plain jobs and the jobs kept one by one."""
    parts = [(signature.procedure, *_rows_of(layout, signature), total) for signature, total in totals.items()]
    return Equations(
        layout.shared_prior(),
        layout.own_prior(),
        collapse(layout.shared + layout.own, [(layout.procedures.index(p), x, t) for p, x, t in _relative(parts)]),
        _keep(layout, kept),
    )


def collapse(width: int, parts: Iterable[tuple[int, Floats, Totals]]) -> Collapsed:
    """Add up (procedure's place, rows of coefficients, totals) by procedure and number of phases."""
    cells: dict[tuple[int, int], list[Floats]] = {}
    for owner, x, total in parts:
        sums = cells.setdefault((owner, len(x)), _nothing(width))
        column = x.sum(axis=0)
        for place, value in enumerate(
            (
                np.float64(total.jobs),
                total.jobs * (x.T @ x),
                total.jobs * np.outer(column, column),
                x.T @ total.sums,
                column * total.sums.sum(),
                np.float64(total.squares),
                np.float64(total.squared_totals),
            )
        ):
            sums[place] = sums[place] + value
    keys = sorted(cells)
    empty = _nothing(width)
    stacked = [np.array([cells[key][place] for key in keys]).reshape(-1, *empty[place].shape) for place in range(7)]
    owners = np.array([key[0] for key in keys], dtype=np.int64)
    return Collapsed(owners, np.array([float(key[1]) for key in keys]), *stacked)


def _nothing(width: int) -> list[Floats]:
    shapes: tuple[tuple[int, ...], ...] = ((), (width, width), (width, width), (width,), (width,), (), ())
    return [np.zeros(shape) for shape in shapes]


def _rows_of(layout: Layout, signature: Signature) -> tuple[Floats, Floats]:
    setting = Setting(signature.corrosion, signature.support, signature.doublings)
    x = layout.rows(signature.procedure, signature.entries, setting)
    return x, layout.reference(signature.procedure, signature.entries)


def _relative(parts: Iterable[tuple[str, Floats, Floats, Totals]]) -> Iterable[tuple[str, Floats, Totals]]:
    return ((procedure, x, total.relative_to(reference)) for procedure, x, reference, total in parts)


def _keep(layout: Layout, jobs: Sequence[SampleJob]) -> Rows:
    jobs = sorted(jobs, key=lambda job: layout.procedures.index(job.procedure))
    longest = max((len(job.cells) for job in jobs), default=0)
    shape = (len(jobs), longest)
    x = np.zeros((*shape, layout.shared + layout.own))
    y, weight, site = np.zeros(shape), np.zeros(shape), np.zeros(shape)
    bound = np.full(shape, np.nan)
    for row, job in enumerate(jobs):
        entries = [Entry(cell.phase, cell.second, cell.technician) for cell in job.cells]
        some = slice(0, len(entries))
        x[row, some] = layout.rows(job.procedure, entries, Setting(job.corrosion, job.support, job.doublings))
        logs = np.log([cell.seconds for cell in job.cells]) - layout.reference(job.procedure, entries)
        complete = np.array([cell.complete for cell in job.cells])
        y[row, some] = np.where(complete, logs, 0.0)
        weight[row, some] = np.where(complete, [cell.weight for cell in job.cells], 0.0)
        bound[row, some] = np.where(complete, np.nan, logs)
    owner = np.array([layout.procedures.index(job.procedure) for job in jobs], dtype=np.int64)
    return Rows(owner, x, y, weight, site, bound)
