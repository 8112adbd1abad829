"""What all the shop's times say that every procedure shares: people, conditions, how plans miss, and the spreads.

It is the costly part of an estimate and the same for every question, so that it can be kept while the times stay.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from scipy.optimize import minimize

from sparehand.labour.evidence.shop_evidence import Evidence, gather_evidence
from sparehand.labour.fitting.arrays import Floats
from sparehand.labour.fitting.censoring import refine_sites
from sparehand.labour.fitting.effect_layout import PADDING, ConditionShares, Layout
from sparehand.labour.fitting.equations import Equations, equations
from sparehand.labour.fitting.holds import Delay, delay_of
from sparehand.labour.fitting.importance import effective_number, even_t_steps, log_t_density, steady_weights
from sparehand.labour.fitting.priors import Priors
from sparehand.labour.fitting.snags import ShopSnags, believe_shop_snags, condition_shares
from sparehand.labour.fitting.solver import Shared, gradient, phase_scatter, solve, solve_shared
from sparehand.labour.fitting.time_blocks import TimeBlocks, time_blocks
from sparehand.procedures.model import Procedure
from sparehand.times.job_times import JobTimes
from sparehand.times.sample import Plans, clean_jobs

POINTS, FEWER_POINTS, MANY_JOBS = 40, 16, 2000
"""With many jobs the spreads are known so well that fewer points integrate them."""
DEGREES = 6.0
PASSES = 3
WIDEST = 4.0
"""A log spread further than so many sds from its prior median is out of the question."""


@dataclass(frozen=True)
class Belief:
    """What one procedure's estimate needs of the shop's `jobs`, besides its own times.

    The posterior of the shared effects, at the most likely spreads and at points around them whose `weights` add up
    to 1; `effective` is the effective number of those points.
    """

    jobs: int
    jobs_by: Counter[str]
    technicians: tuple[str, ...]
    blocks: TimeBlocks
    shares: ConditionShares
    differences: Mapping[str, Mapping[str, float]]
    """By procedure and phase: how far the log of its residual spread is from the shop's."""
    mode: Shared
    points: Shared
    weights: Floats
    effective: float
    snags: ShopSnags
    delay: Delay

    def covers(self, own: Evidence) -> bool:
        """Whether it knows every technician and kind of snag of a procedure's evidence."""
        return own.people <= set(self.technicians) and {snag.kind for snag in own.snags} <= set(self.snags.kinds)


@dataclass(frozen=True)
class QuoteInputs:
    """How the shop's times stand to one procedure: what is believed of the shop, its `own` evidence, and its plan."""

    belief: Belief
    own: Evidence
    plans: Plans


def inputs_of(
    name: str, jobs: Sequence[JobTimes], files: Sequence[Procedure] = (), priors: Priors | None = None
) -> QuoteInputs:
    """How all the shop's `jobs` stand to the procedure `name`; the plans of `files` tell how this shop's plans miss."""
    plans = Plans.of(files)
    evidence = gather_evidence(clean_jobs(jobs, files), plans)
    return QuoteInputs(believe_shop(evidence, plans, priors or Priors()), evidence.of(name), plans)


def believe_shop(evidence: Evidence, plans: Plans, priors: Priors) -> Belief:
    """Fit all the shop's times jointly."""
    layout = layout_of(evidence, plans, priors, time_blocks(evidence), condition_shares(evidence))
    mode, problem = _settle(equations(layout, evidence), priors)
    count = FEWER_POINTS if evidence.all_jobs >= MANY_JOBS else POINTS
    points, logs = _points(problem, priors, mode, count)
    return Belief(
        jobs=evidence.all_jobs,
        jobs_by=evidence.jobs_by(),
        technicians=layout.technicians,
        blocks=layout.blocks,
        shares=layout.shares,
        differences={
            name: dict(zip(phases, row.tolist(), strict=False))
            for (name, phases), row in zip(layout.phases.items(), mode.differences, strict=True)
        },
        mode=solve_shared(problem, mode.log_sds[None], mode.differences)[1],
        points=points,
        weights=steady_weights(logs),
        effective=effective_number(np.exp(logs - logs.max())),
        snags=believe_shop_snags(evidence),
        delay=delay_of(evidence.all_jobs, evidence.held_logs.values()),
    )


def layout_of(
    evidence: Evidence,
    plans: Plans,
    priors: Priors,
    blocks: TimeBlocks,
    shares: ConditionShares,
    procedure: str | None = None,
    phases: Sequence[str] = (),
    people: Iterable[str] = (),
) -> Layout:
    """The effects that the evidence speaks of, besides those of `people` and of the `phases` of `procedure`."""
    known: dict[str, dict[str, None]] = {} if procedure is None else {procedure: dict.fromkeys(phases)}
    technicians: dict[str, None] = dict.fromkeys(people)
    for (name, pattern), logs in evidence.sums.items():
        known.setdefault(name, {}).update(dict.fromkeys(phase for phase, _ in pattern))
        technicians.update(dict.fromkeys(person for sums in logs for person in sums.people))
    for job in evidence.rows:
        known.setdefault(job.procedure, {}).update(dict.fromkeys(cell.phase for cell in job.cells))
        technicians.update(dict.fromkeys(cell.technician for cell in job.cells))
    known = known or {"": {}}  # one that has nothing, so that arrays over procedures are never empty
    return Layout(
        tuple(technicians), {name: tuple(some) for name, some in known.items()}, plans, priors, blocks, shares
    )


@dataclass(frozen=True)
class Mode:
    """The most likely log spreads, and the differences (procedures, phases) of the phases' residual ones."""

    log_sds: Floats
    differences: Floats


def most_likely(problem: Equations, priors: Priors, start: Mode) -> Mode:
    """The mode of the posterior density of all spreads together."""
    centre, scale = _spread_prior(priors)
    count = len(centre)
    here = np.nonzero(problem.own_prior[2][:, 1:] != PADDING)

    def mode_of(place: Floats) -> Mode:
        differences = problem.no_differences
        differences[here] = place[count:]
        return Mode(place[:count], differences)

    def cost(place: Floats) -> tuple[float, Floats]:
        mode = mode_of(place)
        solution = solve(problem, mode.log_sds[None], mode.differences)
        off, own = (mode.log_sds - centre) / scale, place[count:] / priors.phase_log_sd
        times, scatter = phase_scatter(problem, solution)
        slope = [off / scale - gradient(problem, solution)[0], own / priors.phase_log_sd - (scatter - times)[here]]
        return 0.5 * float(off @ off + own @ own) - float(solution.evidence[0]), np.concatenate(slope)

    bounds = [*zip(centre - WIDEST * scale, centre + WIDEST * scale, strict=True), *[(-WIDEST, WIDEST)] * len(here[0])]
    first = np.concatenate([start.log_sds, start.differences[here]])
    found = minimize(cost, first, jac=True, method="L-BFGS-B", bounds=bounds, options={"maxiter": 60, "ftol": 1e-7})
    return mode_of(np.asarray(found.x, dtype=np.float64))


def _settle(problem: Equations, priors: Priors) -> tuple[Mode, Equations]:
    """The mode, with the sites of unfinished phases settled along the way."""
    mode = most_likely(problem, priors, Mode(_spread_prior(priors)[0], problem.no_differences))
    if problem.rows.censored:
        for _ in range(PASSES):
            problem = refine_sites(problem, solve(problem, mode.log_sds[None], mode.differences), mode.differences)
        mode = most_likely(problem, priors, mode)
        problem = refine_sites(problem, solve(problem, mode.log_sds[None], mode.differences), mode.differences)
    return mode, problem


def _spread_prior(priors: Priors) -> tuple[Floats, Floats]:
    return np.log(np.array(priors.spread_medians)), np.array(priors.spread_log_sds)


def _points(problem: Equations, priors: Priors, mode: Mode, count: int) -> tuple[Shared, Floats]:
    """The shared effects at importance points of a t proposal around the mode, and the logs of the points' weights."""
    centre, scale = _spread_prior(priors)
    root = _proposal_root(problem, scale, mode)
    steps = even_t_steps(count, len(centre), DEGREES)
    points = np.clip(mode.log_sds + steps @ root.T, centre - WIDEST * scale, centre + WIDEST * scale)
    evidence, shared = solve_shared(problem, points, mode.differences)
    density = evidence - 0.5 * (((points - centre) / scale) ** 2).sum(axis=1)
    return shared, density - log_t_density(steps, DEGREES)


def _proposal_root(problem: Equations, scale: Floats, mode: Mode) -> Floats:
    """The symmetric root of the inverse curvature of the log posterior at the mode, never wider than the prior."""
    step = 1e-3
    shifts = step * np.eye(len(mode.log_sds))
    slopes = [gradient(problem, solve(problem, mode.log_sds + sign * shifts, mode.differences)) for sign in (1, -1)]
    curvature = np.outer(scale, scale) * (slopes[1] - slopes[0]) / (2 * step)
    values, vectors = np.linalg.eigh(0.5 * (curvature + curvature.T) + np.eye(len(scale)))
    root: Floats = scale[:, None] * (vectors / np.sqrt(np.maximum(values, 0.7))) @ vectors.T
    return root
