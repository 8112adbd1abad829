"""Who begins a job: a name that is nearly a known one is asked about before it becomes somebody new."""

from __future__ import annotations

from pathlib import Path

import pytest

from labour.examples import link_jobs
from sparehand.at_work import job_choice
from sparehand.at_work.job_choice import Choice, crew_of
from sparehand.log.sqlite import SqliteEventStore
from sparehand.settings import Settings


@pytest.mark.parametrize(("typed", "who"), [("y", "ana"), ("n", "anna"), ("", "anna")])
def test_a_misspelt_technician_is_asked_about(
    typed: str, who: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked: list[str] = []

    def answer(what: str) -> str:
        asked.append(what)
        return typed

    monkeypatch.setattr(job_choice, "asked_at_terminal", answer)
    store = SqliteEventStore(tmp_path / "log.sqlite")
    for times in link_jobs(2):
        store.times.keep(times)
    assert crew_of(Choice("x", technician="anna"), Settings(), store)[0].name == who
    assert asked == ["There are no jobs of anna. Is ana meant? y or n"]
    assert crew_of(Choice("x", technician="ben"), Settings(), store)[0].name == "ben"
    assert len(asked) == 1
    store.close()
