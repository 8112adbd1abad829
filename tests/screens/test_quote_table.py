"""A quote on the terminal says when the vehicle is ready, and what the figure leans on."""

from __future__ import annotations

import io

from rich.console import Console

from labour.examples import job, link_jobs, make_quote, procedure
from sparehand.labour.forecasting.quote_records import QuoteRequest
from sparehand.screens.quote_table import quote_table
from sparehand.times.job_times import JobTimes


def shown(jobs: list[JobTimes], technician: str | None = None) -> str:
    request = QuoteRequest(procedure="front-end", operations=("renew-link",), sides=("left",), technician=technician)
    console = Console(file=io.StringIO(), width=200)
    console.print(quote_table(make_quote(request, procedure(), jobs)))
    assert isinstance(console.file, io.StringIO)
    return console.file.getvalue()


def test_waiting_is_told_apart_from_the_hours() -> None:
    held = [job(50 + n, {"access": 20, "link/left": 30, "refit": 25}, held_access=60.0 + n) for n in range(5)]
    assert "For when it is ready: 50 of 100 jobs are held; a held job waits 1.0 h" in shown([*link_jobs(5), *held])
    assert "ready" not in shown(link_jobs(5))


def test_what_a_figure_leans_on_is_said() -> None:
    assert "somebody new has no times here: taken as someone new to the shop." in shown(link_jobs(5), "somebody new")
    only_access = [job(n, {"access": 20}) for n in range(5)]
    assert "Never timed to the end, so mostly the plan: link, refit." in shown(only_access)
