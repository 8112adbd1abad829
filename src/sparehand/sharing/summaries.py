"""Summaries as the shared database gives them: a row each, with the phase times of it in one text."""

from __future__ import annotations

import json
from collections.abc import Sequence
from functools import lru_cache
from typing import Any

from sparehand.log.packed_jobs import PackedJob, PhaseCells, phases_text
from sparehand.sharing.parcel import SentSummary

BENCH_MARK = "@"
"""What stands between the name of a job and that of its bench, in the shop."""
SUMMARIES = """
SELECT s.job, s.month, s.revision, s.name, s.bench, s.opened_at, s.procedure, s.operations, s.corrosion, s.support,
    s.rework, s.imported, s.closed, coalesce(p.phases, '[]') AS phases, coalesce(p.seconds, '') AS seconds
FROM sparehand.summaries s, LATERAL (
    SELECT json_agg(json_build_array(phase, side, technician, snags, CASE WHEN complete THEN 'yes' ELSE 'no' END)
            ORDER BY phase, side, technician)::text AS phases,
        string_agg(work_seconds || ',' || held_seconds, ';' ORDER BY phase, side, technician) AS seconds
    FROM sparehand.phase_times t
    WHERE t.shop = s.shop AND t.month = s.month AND t.job = s.job AND t.revision = s.revision) p
WHERE s.shop = (SELECT sparehand.my_shop()) AND
"""
"""What `summary_in` reads, up to the conditions and the order."""


def summary_in(row: Sequence[Any]) -> SentSummary:
    """The summary of a row."""
    job, month, revision, name, bench, *head, rework, imported, closed, phases, seconds = row
    times = PackedJob._make((name_in_shop(name, bench, imported=imported), *head, _phases(phases), seconds))
    return SentSummary(job, month, revision, times, rework, imported, closed)


@lru_cache(maxsize=4096)
def _phases(told: str) -> str:
    """The phases of a job as a log has them; of lists of cells as the query gives them."""
    return phases_text(tuple(PhaseCells(*cells) for cells in json.loads(told)))


def name_in_shop(name: str, bench: str, *, imported: bool) -> str:
    """The job's name in the shop: `JOB@BENCH`; an imported job has one name wherever it was imported."""
    return name if imported else f"{name}{BENCH_MARK}{bench}"
