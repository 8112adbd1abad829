"""Invented shops whose truth is known: a procedure, jobs to learn from, and jobs to be forecast.

Times are multiples of a plan: shop, phase, technician, job and residual effects on the log scale, snags on top. The
worlds differ in how the truth departs from what the model believes.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime, timedelta
from typing import Literal

import numpy as np
from numpy.random import Generator

from sparehand.labour.fitting.priors import Priors
from sparehand.labour.forecasting.quoted_phases import Need
from sparehand.procedures.plan import PhaseKey
from sparehand.times.job_times import JobTimes, PhaseTime, SnagTime
from sparehand.times.sample import Plans

PROCEDURE = "invented-job"
START = datetime(2024, 1, 8, 8, tzinfo=UTC)
WEEK_JOBS = 5
MOST_SHARED = 5
"""With fewer phases every operation needs them all."""
OPERATIONS = ("first", "second", "third")
Corrosion = Literal["none", "light", "heavy"]
Support = Literal["lift", "stands"]


@dataclass(frozen=True)
class World:
    """How shops of one kind are drawn."""

    name: str
    own_priors: bool = False
    gamma_times: bool = False
    heavy_tails: bool = False
    learning: bool = False
    two_kinds: bool = False
    slips: bool = False
    censoring: bool = False
    missing_plans: bool = False
    short_plans: bool = False
    operation_sets: bool = False
    phases: tuple[tuple[float, float], ...] = ()
    """Typical minutes and residual sd of each phase, where they are not drawn."""
    drift: float = 0.0
    """What each job changes on the log scale."""
    drifting: Literal["all", "one technician", "one phase"] = "all"
    bad_weeks: bool = False
    clicked_through: bool = False
    late_rust: bool = False


def beside(wide: float, narrow: float) -> tuple[tuple[float, float], ...]:
    """One phase of an hour with that sd, beside three of a quarter of an hour with another."""
    return ((60.0, wide), *[(15.0, narrow)] * 3)


SPREAD_WORLDS = (
    World("60 min of sd .45 beside 15 min of .15", phases=beside(0.45, 0.15)),
    World("60 min of sd .6 beside 15 min of .2", phases=beside(0.6, 0.2)),
    World("60 min of sd 1.1 beside 15 min of .2", phases=beside(1.1, 0.2)),
    World("60 min of sd .08 beside 15 min of .45", phases=beside(0.08, 0.45)),
    World("one phase of sd .5", phases=((60.0, 0.5),)),
    World("one phase of sd .8", phases=((60.0, 0.8),)),
    World("one phase of sd 1.1", phases=((60.0, 1.1),)),
)
CHANGE_WORLDS = (
    World("1 % faster a job", drift=-0.01),
    World("one technician 1 % faster a job", drift=-0.01, drifting="one technician"),
    World("one phase 1 % faster a job", drift=-0.01, drifting="one phase"),
    World("bad weeks", bad_weeks=True),
)
SPOILT_WORLDS = (World("jobs clicked through", clicked_through=True), World("late rust", late_rust=True))

WORLDS = (
    World("own priors", own_priors=True),
    World("plausible ranges"),
    World("gamma times", gamma_times=True),
    World("heavy tails", heavy_tails=True),
    World("learning", learning=True),
    World("two vehicle kinds", two_kinds=True),
    World("slips", slips=True),
    World("censoring", censoring=True),
    World("missing plans", missing_plans=True),
    World("plans 40 % short", short_plans=True),
    World("differing operations", operation_sets=True),
    World(
        "all at once",
        gamma_times=True,
        heavy_tails=True,
        learning=True,
        two_kinds=True,
        slips=True,
        censoring=True,
        missing_plans=True,
        short_plans=True,
        operation_sets=True,
    ),
    *SPREAD_WORLDS,
    *CHANGE_WORLDS,
    *SPOILT_WORLDS,
)


@dataclass(frozen=True)
class TestJob:
    """A job to forecast: what is asked, and the hours it will take."""

    __test__ = False

    technician: str | None
    corrosion: Corrosion
    support: Support
    needs: tuple[Need, ...]
    planned_hours: float
    hours: float


@dataclass
class Shop:
    """One invented shop. Its true effects stay inside; `job` and `test_job` draw from it.

    `others` are the same shop at other procedures: the same people, ways and plans that miss alike.
    """

    world: World
    rng: Generator
    procedure: str = PROCEDURE
    others: tuple[Shop, ...] = ()
    level: float = 0.0
    sd_phase: float = 0.0
    technicians: tuple[str, ...] = ()
    planned: dict[str, float] = field(default_factory=dict)
    typical: dict[str, float] = field(default_factory=dict)
    operations: dict[str, tuple[str, ...]] = field(default_factory=dict)
    phase: dict[str, float] = field(default_factory=dict)
    kind_shift: dict[str, float] = field(default_factory=dict)
    person: dict[str, float] = field(default_factory=dict)
    learns: dict[str, float] = field(default_factory=dict)
    light: float = 0.0
    heavy: float = 0.0
    stands: float = 0.0
    sd_person: float = 0.0
    sd_job: float = 0.0
    sd_rest: float = 0.0
    spread: dict[str, float] = field(default_factory=dict)
    """By how much the residual spread of a phase differs from the shop's, as a factor."""
    snag_rate: dict[str, float] = field(default_factory=dict)
    snag_heavy: float = 2.5
    snag_centre: float = math.log(600)
    snag_sd: float = 0.7
    done: dict[str, int] = field(default_factory=dict)
    weeks: dict[int, float] = field(default_factory=dict)
    """What each week adds on the log scale."""

    @property
    def plans(self) -> Plans:
        """The plans that the shop knows."""
        own = {(self.procedure, phase): seconds for phase, seconds in self.planned.items()}
        for other in self.others:
            own |= other.plans.seconds
        return Plans(own)

    def job(self, number: int) -> JobTimes:
        """One more job as it is logged."""
        rng = self.rng
        technician = str(rng.choice(self.technicians))
        corrosion, support, operations = self._circumstances()
        phases = self._phases(operations)
        self.done[technician] = self.done.get(technician, 0) + 1
        person = self.person[technician] + self.learns[technician] * math.log2(self.done[technician])
        person += self._at(number, technician)
        work, snags = self._times(phases, person, corrosion, support, number)
        parts = [
            PhaseTime(
                phase=phase,
                technician=technician,
                work_seconds=work[place] + sum(snag.seconds for snag in snags[place]),
                held_seconds=0.0,
                snags=snags[place],
                complete=True,
            )
            for place, phase in enumerate(phases)
        ]
        if self.world.slips:
            parts = self._slip(parts)
        if self.world.censoring:
            parts = self._censor(parts)
        if self.world.clicked_through and self.rng.random() < 0.03:
            parts = [part.model_copy(update={"work_seconds": 3.0, "snags": ()}) for part in parts]
        opened = START + timedelta(days=number)
        return JobTimes(
            job=f"{self.procedure}-{number}",
            opened_at=opened,
            procedure=self.procedure,
            operations=operations,
            corrosion="unknown" if self.world.late_rust and self.rng.random() < 0.5 else corrosion,
            support=support,
            phases=tuple(parts),
        )

    def test_job(self, number: int = 0) -> TestJob:
        """A job to forecast, the `number`th of the shop.

        Three in five are by a known technician, one in five by a new one, one in five by anyone.
        """
        rng = self.rng
        corrosion, support, operations = self._circumstances()
        phases = self._phases(operations)
        draw = rng.random()
        if draw < 0.8:
            worker = str(rng.choice(self.technicians))
            repetition = self.done.get(worker, 0) + 1
            person = self.person[worker] + self.learns[worker] * math.log2(repetition)
            technician = worker if draw < 0.6 else None
        else:
            technician = worker = "a new one"
            person = self.sd_person * rng.standard_normal()
        person += self._at(number, worker)
        work, snags = self._times(phases, person, corrosion, support, number)
        seconds = math.fsum(work) + math.fsum(snag.seconds for some in snags for snag in some)
        plans = self.plans
        return TestJob(
            technician,
            corrosion,
            support,
            tuple(Need(PhaseKey(phase), False, 1) for phase in phases),
            math.fsum(plans.reference(self.procedure, phase) for phase in phases) / 3600,
            seconds / 3600,
        )

    def _at(self, number: int, worker: str) -> float:
        """What the time of a job adds on the log scale: drift, and one week in six that is 40 % slower."""
        week = number // WEEK_JOBS
        if self.world.bad_weeks and week not in self.weeks:
            self.weeks[week] = 0.35 * float(self.rng.random() < 1 / 6)
        drifts = {"all": True, "one technician": worker == self.technicians[0], "one phase": False}
        return self.world.drift * number * drifts[self.world.drifting] + self.weeks.get(week, 0.0)

    def finished(self, job: JobTimes) -> bool:
        """Whether the job was done to its end, with every phase of its operations."""
        return all(part.complete for part in job.phases) and len(job.phases) == len(self._phases(job.operations))

    def _circumstances(self) -> tuple[Corrosion, Support, tuple[str, ...]]:
        rng = self.rng
        corrosion: Corrosion = (["none"] * 5 + ["light"] * 3 + ["heavy"] * 2)[rng.integers(10)]  # type: ignore[assignment]
        support: Support = "lift" if rng.random() < 0.8 else "stands"
        if not self.world.operation_sets:
            return corrosion, support, OPERATIONS
        chosen = [operation for operation in OPERATIONS if rng.random() < 0.5]
        return corrosion, support, tuple(chosen) or (str(rng.choice(OPERATIONS)),)

    def _phases(self, operations: tuple[str, ...]) -> list[str]:
        wanted = {phase for operation in operations for phase in self.operations[operation]}
        return [phase for phase in self.typical if phase in wanted]

    def _times(
        self, phases: list[str], person: float, corrosion: str, support: str, number: int
    ) -> tuple[list[float], list[tuple[SnagTime, ...]]]:
        rng = self.rng
        common = person + self.light * (corrosion == "light") + self.heavy * (corrosion == "heavy")
        common += self.stands * (support == "stands")
        other_kind = self.world.two_kinds and rng.random() < 0.4
        day = self._noise(self.sd_job, 1)[0]
        rest = self._noise(self.sd_rest, len(phases)) * [self.spread.get(phase, 1.0) for phase in phases]
        if self.world.phases:
            of_phase = dict(zip(self.typical, self.world.phases, strict=True))
            rest = rest / self.sd_rest * [of_phase[phase][1] for phase in phases]
        factor = {"none": 1.0, "light": math.sqrt(self.snag_heavy), "heavy": self.snag_heavy}[corrosion]
        work, snags = [], []
        for place, phase in enumerate(phases):
            shift = self.kind_shift[phase] if other_kind else 0.0
            if self.world.drifting == "one phase" and phase == next(iter(self.typical)):
                shift += self.world.drift * number
            work.append(self.typical[phase] * math.exp(common + self.phase[phase] + shift + day + rest[place]))
            count = rng.poisson(min(self.snag_rate[phase] * factor, 5.0))
            lasting = np.exp(self.snag_centre + self.snag_sd * rng.standard_normal(count)).clip(1, 36_000)
            snags.append(tuple(SnagTime(kind=str(rng.choice(["seized", "broken"])), seconds=float(s)) for s in lasting))
        return work, snags

    def _noise(self, sd: float, count: int) -> np.ndarray:
        """Log-scale noise of that spread: normal, of gamma-distributed factors, or heavy-tailed."""
        rng = self.rng
        if self.world.gamma_times and not (self.world.heavy_tails and rng.random() < 0.5):
            shape = 1 / max(math.expm1(sd**2), 1e-6)
            return np.log(np.maximum(rng.gamma(shape, 1 / shape, count), 1e-3))
        if self.world.heavy_tails:
            return np.asarray(sd / math.sqrt(3) * rng.standard_t(3, count)).clip(-4, 4)
        return sd * rng.standard_normal(count)

    def _slip(self, parts: list[PhaseTime]) -> list[PhaseTime]:
        """In 4 % of changes "next" is forgotten: the phase goes on over the next, which is left a few seconds."""
        for place in range(len(parts) - 1):
            if self.rng.random() < 0.04:
                late = parts[place + 1]
                kept = min(late.work_seconds, float(self.rng.uniform(2, 12)))
                merged = parts[place].work_seconds + late.work_seconds - kept
                snags = parts[place].snags + late.snags
                parts[place] = parts[place].model_copy(update={"work_seconds": merged, "snags": snags})
                parts[place + 1] = late.model_copy(update={"work_seconds": kept, "snags": ()})
        return parts

    def _censor(self, parts: list[PhaseTime]) -> list[PhaseTime]:
        """One job in four is left at a time that knows nothing of how far it is."""
        if self.rng.random() > 0.25:
            return parts
        left = float(self.rng.uniform(0.05, 1.5)) * sum(self.typical[part.phase] for part in parts)
        kept: list[PhaseTime] = []
        for part in parts:
            if part.work_seconds > left:
                snags = part.snags if left > sum(snag.seconds for snag in part.snags) + 1 else ()
                kept.append(part.model_copy(update={"work_seconds": max(left, 1.0), "complete": False, "snags": snags}))
                break
            kept.append(part)
            left -= part.work_seconds
        return kept


def open_shop(world: World, seed: int, priors: Priors | None = None, others: int = 0) -> Shop:
    """A shop of that world; the same seed gives the same shop, whose first procedure does not depend on `others`."""
    rng = np.random.default_rng([seed, *world.name.encode()])
    count = len(world.phases) or int(rng.integers(5, 10))
    names = [f"phase-{number}" for number in range(count)]
    shop = Shop(world, rng)
    shop.typical = _typical(names, rng)
    if world.phases:
        shop.typical = {name: 60 * minutes for name, (minutes, _) in zip(names, world.phases, strict=True)}
    shop.technicians = tuple(f"technician-{number}" for number in range(int(rng.integers(2, 7))))
    shop.operations = _operations(names)
    if world.own_priors:
        _from_priors(shop, priors or Priors())
    else:
        _from_ranges(shop)
    shop.learns = {
        name: float(rng.uniform(-0.15, -0.03)) if world.learning else shop.learns.get(name, 0.0)
        for name in shop.technicians
    }
    shop.kind_shift = {name: float(rng.normal(0.15, 0.25)) for name in names}
    shop.planned = _planned(world, shop.typical, rng)
    shop.others = tuple(_at_another(shop, seed, number) for number in range(others))
    return shop


def _typical(names: Iterable[str], rng: Generator) -> dict[str, float]:
    return {name: float(np.exp(rng.normal(math.log(1200), 0.6))) for name in names}


def _phase_effects(shop: Shop, rng: Generator) -> dict[str, float]:
    return {name: float(shop.level + rng.normal(0, shop.sd_phase)) for name in shop.typical}


def _planned(world: World, typical: dict[str, float], rng: Generator) -> dict[str, float]:
    lost = rng.random(len(typical)) < 0.4
    share = 0.6 if world.short_plans else 1.0
    some = (name for place, name in enumerate(typical) if not (world.missing_plans and lost[place]))
    return {name: share * typical[name] for name in some}


def _at_another(shop: Shop, seed: int, number: int) -> Shop:
    """The shop at another procedure, with draws of its own."""
    rng = np.random.default_rng([seed, number, *shop.world.name.encode()])
    typical = _typical(shop.typical, rng)
    return replace(
        shop,
        rng=rng,
        procedure=f"{PROCEDURE}-{number}",
        typical=typical,
        planned=_planned(shop.world, typical, rng),
        phase=_phase_effects(shop, rng),
        done={},
    )


def _operations(names: list[str]) -> dict[str, tuple[str, ...]]:
    """The first and last phase are access, which every operation needs; the rest is dealt out."""
    inner = names[1:-1]
    if len(names) < MOST_SHARED:
        return dict.fromkeys(OPERATIONS, tuple(names))
    return {
        operation: tuple(dict.fromkeys([names[0], *inner[place::3], names[-1]]))
        for place, operation in enumerate(OPERATIONS)
    }


def _from_priors(shop: Shop, priors: Priors) -> None:
    rng = shop.rng
    medians, log_sds = np.array(priors.spread_medians), np.array(priors.spread_log_sds)
    spreads = medians * np.exp(log_sds * rng.standard_normal(len(medians)))
    of_procedure, of_phase, of_person, shop.sd_job, shop.sd_rest = spreads[:5]  # the last is of a level that drifts
    shop.spread = {name: float(np.exp(priors.phase_log_sd * rng.standard_normal())) for name in shop.typical}
    shop.sd_person = float(of_person)
    shop.level, shop.sd_phase = rng.normal(priors.shop.mean, priors.shop.sd) + rng.normal(0, of_procedure), of_phase
    shop.phase = _phase_effects(shop, rng)
    shop.person = {name: float(rng.normal(0, of_person)) for name in shop.technicians}
    shop.light, more, shop.stands = (
        float(rng.normal(belief.mean, belief.sd)) for belief in (priors.corroded, priors.heavy, priors.stands)
    )
    shop.light = max(shop.light, 0.0)
    shop.heavy = shop.light + max(more, 0.0)
    gamma = float(rng.normal(priors.learning.mean, priors.learning.sd))
    shop.learns = dict.fromkeys(shop.technicians, gamma)
    _snags(shop, 0.03 * math.exp(rng.normal()), float(np.exp(rng.normal(math.log(2.5), 0.6))))


def _from_ranges(shop: Shop) -> None:
    rng = shop.rng
    shop.level, shop.sd_phase = rng.uniform(-0.4, 0.4), rng.uniform(0.15, 0.55)
    shop.sd_person, shop.sd_job, shop.sd_rest = (
        rng.uniform(0.05, 0.25),
        rng.uniform(0.05, 0.25),
        rng.uniform(0.12, 0.45),
    )
    shop.phase = _phase_effects(shop, rng)
    shop.person = {name: float(rng.normal(0, shop.sd_person)) for name in shop.technicians}
    shop.light, shop.heavy, shop.stands = rng.uniform(0, 0.2), rng.uniform(0.1, 0.5), rng.uniform(-0.05, 0.15)
    _snags(shop, float(rng.uniform(0.005, 0.08)), float(rng.uniform(1, 4)))
    shop.snag_centre, shop.snag_sd = math.log(60 * rng.uniform(5, 20)), float(rng.uniform(0.4, 1.0))


def _snags(shop: Shop, rate: float, heavy: float) -> None:
    shop.snag_rate = {name: float(shop.rng.gamma(1.0) * min(rate, 0.3)) for name in shop.typical}
    shop.snag_heavy = min(heavy, 6.0)


__all__ = ["OPERATIONS", "PROCEDURE", "WORLDS", "Shop", "TestJob", "World", "open_shop"]
