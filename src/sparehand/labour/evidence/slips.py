"""Times that cannot be right: far too short, or far too long.

A phase that took seconds beside one that took the time of both is a forgotten word: the two are shared out again and
trusted by half. Beside one that took only its own time it was clicked through and is left out. A phase far too long
counts as unfinished at what is usual, for leaving it out would quote too little. All are listed.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from statistics import median

from sparehand.times.sample import Cell, Plans, SampleJob
from sparehand.times.usual import Bins, binned, log_spread_of, median_of
from sparehand.times.what_counts import UNPLANNED_SECONDS

FAR = 12.5
FAR_SPREADS = 3.3
"""A time is doubted where it differs from the usual one by FAR-fold, and by so many log sds of the phase's times."""
TRUST = 0.5
ENOUGH_TIMES = 3


@dataclass(frozen=True)
class Usual:
    """What a phase usually takes; a time that differs from that by more than the `factor` is doubted."""

    seconds: float
    factor: float = FAR


@dataclass(frozen=True)
class Slip:
    """A phase time that cannot be right as it stands, and what was done about it."""

    job: str
    phase: str
    seconds: float
    expected_seconds: float
    done: str


def gate_slips(
    jobs: Sequence[SampleJob], usual: Mapping[tuple[str, str], Usual]
) -> tuple[tuple[SampleJob, ...], tuple[Slip, ...]]:
    """The jobs with gross slips mended and down-weighted, and the list of them.

    `usual` is what each (procedure, phase) usually takes.
    """
    mended: list[SampleJob] = []
    slips: list[Slip] = []
    for job in jobs:
        cells, found = _mend(job, usual)
        slips.extend(found)
        mended.append(job if not found else replace(job, cells=cells))
    return tuple(job for job in mended if job.cells), tuple(slips)


def phase_bins(jobs: Iterable[SampleJob]) -> dict[tuple[str, str], Bins]:
    """The counts of finished times by (procedure, phase); empty for a phase that nobody has finished."""
    seconds: dict[tuple[str, str], list[float]] = {}
    for job in jobs:
        for cell in job.cells:
            some = seconds.setdefault((job.procedure, cell.phase), [])
            if cell.complete:
                some.append(cell.seconds)
    return {key: binned(some) for key, some in seconds.items()}


def usual_times(bins: Mapping[tuple[str, str], Bins], plans: Plans) -> dict[tuple[str, str], Usual]:
    """What each phase usually takes: the median of its times where there are a few, otherwise its plan."""
    usual: dict[tuple[str, str], Usual] = {}
    for key, some in bins.items():
        count = sum(some.values())
        if count >= ENOUGH_TIMES or (count and not plans.has(*key)):
            factor = max(FAR, math.exp(FAR_SPREADS * log_spread_of(some)))
            least = 1.0 if count >= ENOUGH_TIMES else FAR * UNPLANNED_SECONDS  # so that a few seconds are doubted
            usual[key] = Usual(max(median_of(some), least), factor)
        else:
            usual[key] = Usual(plans.reference(*key))
    return usual


def _mend(job: SampleJob, expected: Mapping[tuple[str, str], Usual]) -> tuple[tuple[Cell, ...], list[Slip]]:
    known = [expected[job.procedure, cell.phase] for cell in job.cells]
    usual = [each.seconds for each in known]
    ratios = [cell.seconds / most for cell, most in zip(job.cells, usual, strict=True)]
    pace = math.exp(median(math.log(ratio) for ratio in ratios)) if len(ratios) > 2 else 1.0
    off = [ratio * each.factor / min(pace, 1) for ratio, each in zip(ratios, known, strict=True)]
    short = [place for place, cell in enumerate(job.cells) if cell.complete and off[place] < 1]
    long = [place for place, ratio in enumerate(ratios) if ratio > known[place].factor * max(pace, 1)]
    cells: dict[int, Cell] = dict(enumerate(job.cells))
    slips: list[Slip] = []
    for place in long:
        slips.append(Slip(job.job, job.cells[place].phase, job.cells[place].seconds, usual[place], "unfinished"))
        cells[place] = replace(job.cells[place], seconds=usual[place] * max(pace, 1.0), complete=False)
    for group in _groups(short, job.cells, long):
        whole = sum(job.cells[place].seconds for place in group)
        need = sum(usual[place] for place in group)
        host = sum(usual[place] for place in group if place not in short)
        if whole / (pace * need) < math.sqrt(host / need):
            for place in set(group) & set(short):
                slips.append(Slip(job.job, job.cells[place].phase, job.cells[place].seconds, usual[place], "left out"))
                del cells[place]
            continue
        for place in group:
            share = max(1.0, whole * usual[place] / need)
            cells[place] = replace(job.cells[place], seconds=share, weight=TRUST)
            if place in short:
                done = "shared out with its neighbour" if len(group) > 1 else "trusted by half"
                slips.append(Slip(job.job, job.cells[place].phase, job.cells[place].seconds, usual[place], done))
    return tuple(cells[place] for place in sorted(cells)), slips


def _groups(short: Sequence[int], cells: Sequence[Cell], gone: Sequence[int]) -> list[list[int]]:
    """Each run of short phases with the longer of the complete phases beside it."""
    runs: list[list[int]] = []
    for place in short:
        if runs and runs[-1][-1] == place - 1:
            runs[-1].append(place)
        else:
            runs.append([place])
    groups: dict[int, list[int]] = {}
    alone: list[list[int]] = []
    for run in runs:
        beside = [place for place in (run[0] - 1, run[-1] + 1) if 0 <= place < len(cells)]
        beside = [place for place in beside if place not in gone and cells[place].complete]
        if beside:
            host = max(beside, key=lambda place: cells[place].seconds)
            groups.setdefault(host, [host]).extend(run)
        else:
            alone.append(run)
    return [sorted(group) for group in groups.values()] + alone
