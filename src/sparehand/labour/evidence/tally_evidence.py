"""From the tallies that a log keeps to the evidence that the estimates read: the same as from all its times."""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Callable, Iterable
from dataclasses import replace

from sparehand.labour.evidence.shop_evidence import Evidence, LogSums, PhaseOn, Shape, SnagOf, both, sums_of
from sparehand.labour.evidence.slips import gate_slips, usual_times
from sparehand.procedures.plan import PhaseKey
from sparehand.times.pattern_sums import OWN_LEARNING, PERSON, Pattern, PatternSums
from sparehand.times.sample import Plans, SampleJob
from sparehand.times.tally import LogTally, Tally


def tallied_evidence(tallies: Iterable[Tally], plans: Plans, name_of: Callable[[str], str] = str) -> Evidence:
    """What the jobs counted in the tallies say; `name_of` gives the name of a technician as a tally calls them."""
    evidence = Evidence()
    for tally in tallies:
        evidence += _evidence(tally, plans, name_of)
    return evidence


def _evidence(tally: Tally, plans: Plans, name_of: Callable[[str], str]) -> Evidence:
    procedure = tally.procedure
    usual = usual_times({(procedure, phase): bins for phase, bins in tally.bins.items()}, plans)
    mended, slips = gate_slips([_named(job, tally, name_of) for job in tally.rows], usual)
    whole = [job for job in mended if job.plain and job.copies == 1.0]
    jobs: Counter[tuple[str, str]] = Counter()
    for technician, count in tally.jobs.items():
        jobs[procedure, name_of(technician)] += count
    return Evidence(
        sums=both(
            sums_of(whole),
            {_pattern(tally, key): (_with_names(each, name_of),) for key, each in tally.sums.items()},
        ),
        rows=tuple(job for job in mended if job not in whole),
        shapes={_shape(procedure, key): count for key, count in tally.shapes.items()},
        jobs=jobs,
        supports=tally.supports,
        worked={PhaseOn(procedure, *json.loads(key)): count for key, count in tally.worked.items()},
        snags={_snag(procedure, key): count for key, count in tally.snags.items()},
        snag_logs={kind: _log_sums(logs) for kind, logs in tally.snag_logs.items()},
        held_logs={procedure: _log_sums(tally.held)} if tally.held.count else {},
        slips=slips,
    )


def _named(job: SampleJob, tally: Tally, name_of: Callable[[str], str]) -> SampleJob:
    cells = tuple(replace(cell, technician=name_of(cell.technician)) for cell in job.cells)
    each = tally.unsummed / len(tally.rows)
    return replace(job, technician=name_of(job.technician), cells=cells, copies=each)


def _pattern(tally: Tally, key: str) -> tuple[str, Pattern]:
    return tally.procedure, tuple((phase, second) for phase, second in json.loads(key))


def _with_names(sums: PatternSums, name_of: Callable[[str], str]) -> PatternSums:
    names = list(sums.names)
    for kind in (PERSON, OWN_LEARNING):
        names = [kind + name_of(name.removeprefix(kind)) if name.startswith(kind) else name for name in names]
    return replace(sums, names=names)


def _shape(procedure: str, key: str) -> Shape:
    operations, phases = json.loads(key)
    return Shape(
        procedure, tuple(operations), tuple((PhaseKey(phase, side), complete) for phase, side, complete in phases)
    )


def _snag(procedure: str, key: str) -> SnagOf:
    phase, corrosion, kind = json.loads(key)
    return SnagOf(PhaseOn(procedure, phase, corrosion), kind)


def _log_sums(logs: LogTally) -> LogSums:
    return LogSums(logs.count, logs.total, logs.squares)
