"""The normal equations of the model, without the spreads: built once, solved for any spreads.

Jobs with the same number of phases weigh alike whatever the spreads are, so all plain jobs of a procedure collapse into
one small matrix for each such number. Other jobs (unfinished phases, doubtful ones) keep a row each.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from sparehand.labour.evidence.additive_statistics import Totals
from sparehand.labour.evidence.shop_evidence import Evidence
from sparehand.labour.fitting.effect_layout import Floats, Ints, Layout, Setting
from sparehand.times.named_sums import NamedSums
from sparehand.times.sample import SampleJob
from sparehand.times.signature import Entry, Signature


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
    whose sites stand for "longer than this". A row counts for `copies` such jobs.
    """

    owner: Ints
    copies: Floats
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


@dataclass(frozen=True)
class Block:
    """Totals of some signatures of one procedure with equally many phases; logs relative to their reference.

    Shapes: x (signatures, phases, effects), sums (signatures, phases), the rest (signatures).
    """

    owner: int
    x: Floats
    jobs: Floats
    sums: Floats
    squares: Floats
    squared_totals: Floats


def equations(layout: Layout, evidence: Evidence) -> Equations:
    """Build the equations from all that is added up and the jobs kept one by one."""
    added = (*summed(_blocks(layout, evidence.totals)), *_named(layout, evidence.sums))
    return Equations(
        layout.shared_prior(),
        layout.own_prior(),
        collapse(layout.shared + layout.own, added),
        _keep(layout, evidence.rows),
    )


Part = tuple[tuple[int, int], tuple[Floats, ...]]
"""Of a procedure's place and a number of phases: jobs, X'X, ss', X'y, s·t, y'y, t², as in `Collapsed`."""


def summed(blocks: Iterable[Block]) -> Iterator[Part]:
    """The sums over each block."""
    for block in blocks:
        width = block.x.shape[2]
        column, total = block.x.sum(axis=1), block.sums.sum(axis=1)
        flat = (block.x * block.jobs[:, None, None]).reshape(-1, width)
        yield (
            (block.owner, block.x.shape[1]),
            (
                block.jobs.sum(),
                flat.T @ block.x.reshape(-1, width),
                (column * block.jobs[:, None]).T @ column,
                block.x.reshape(-1, width).T @ block.sums.ravel(),
                column.T @ total,
                block.squares.sum(),
                block.squared_totals.sum(),
            ),
        )


def collapse(width: int, parts: Iterable[Part]) -> Collapsed:
    """Add up the parts by procedure and number of phases."""
    cells: dict[tuple[int, int], list[Floats]] = {}
    for key, added in parts:
        sums = cells.setdefault(key, _nothing(width))
        for place, value in enumerate(added):
            sums[place] = sums[place] + value
    keys = sorted(cells)
    empty = _nothing(width)
    stacked = [np.array([cells[key][place] for key in keys]).reshape(-1, *empty[place].shape) for place in range(7)]
    owners = np.array([key[0] for key in keys], dtype=np.int64)
    return Collapsed(owners, np.array([float(key[1]) for key in keys]), *stacked)


def _nothing(width: int) -> list[Floats]:
    shapes: tuple[tuple[int, ...], ...] = ((), (width, width), (width, width), (width,), (width,), (), ())
    return [np.zeros(shape) for shape in shapes]


def _blocks(layout: Layout, totals: Mapping[Signature, Totals]) -> Iterator[Block]:
    alike: dict[tuple[str, int], list[Signature]] = {}
    for signature in totals:
        alike.setdefault((signature.procedure, len(signature.entries)), []).append(signature)
    place = {name: number for number, name in enumerate(layout.procedures)}
    for (procedure, _), signatures in alike.items():
        references = layout.references(procedure, [signature.entries for signature in signatures])
        relative = [totals[each].relative_to(reference) for each, reference in zip(signatures, references, strict=True)]
        settings = [(each.entries, Setting(each.corrosion, each.support, each.doublings)) for each in signatures]
        yield Block(
            place[procedure],
            layout.rows(procedure, settings),
            np.array([float(total.jobs) for total in relative]),
            np.array([total.sums for total in relative]),
            np.array([total.squares for total in relative]),
            np.array([total.squared_totals for total in relative]),
        )


def _named(layout: Layout, sums: Mapping[tuple[str, int], tuple[NamedSums, ...]]) -> Iterator[Part]:
    """The sums that a log keeps, their logs taken relative to the plan: y - Xr, with r at the phases."""
    place = {name: number for number, name in enumerate(layout.procedures)}
    each = ((procedure, size, some) for (procedure, size), logs in sums.items() for some in logs)
    for procedure, size, some in each:
        columns = layout.columns(procedure, some.names)
        within, between = (columns.T @ _symmetric(triangle) @ columns for triangle in (some.within, some.between))
        toward, along = (columns.T @ np.array(each) for each in (some.within_y, some.between_y))
        planned = layout.references_by_effect(procedure)
        added = (
            np.array(float(some.jobs)),
            within,
            between,
            toward - within @ planned,
            along - between @ planned,
            np.array(some.squares - 2 * planned @ toward + planned @ within @ planned),
            np.array(some.squared_totals - 2 * planned @ along + planned @ between @ planned),
        )
        yield (place[procedure], size), added


def _symmetric(triangle: Sequence[Sequence[float]]) -> Floats:
    whole = np.zeros((len(triangle), len(triangle)))
    for row, values in enumerate(triangle):
        whole[row, : row + 1] = whole[: row + 1, row] = values
    return whole


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
        x[row, some] = layout.rows(job.procedure, [(entries, Setting(job.corrosion, job.support, job.doublings))])[0]
        logs = np.log([cell.seconds for cell in job.cells]) - layout.references(job.procedure, [entries])[0]
        complete = np.array([cell.complete for cell in job.cells])
        y[row, some] = np.where(complete, logs, 0.0)
        weight[row, some] = np.where(complete, [cell.weight for cell in job.cells], 0.0)
        bound[row, some] = np.where(complete, np.nan, logs)
    owner = np.array([layout.procedures.index(job.procedure) for job in jobs], dtype=np.int64)
    copies = np.array([job.copies for job in jobs], dtype=np.float64)
    return Rows(owner, copies, x, y, weight, site, bound)
