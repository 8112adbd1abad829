"""What is typed about a day: its plan and its promises. One short function a command, no logic."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from sparehand.cli.options import Data, Json

days = typer.Typer()


@days.command()
def today(json: Json = False, data: Data = None) -> None:
    """Each bench's open jobs: who works on what, what waits for what, when each is likely ready."""
    from sparehand.desk.today_board import print_today

    print_today(as_json=json, data=data)


@days.command()
def day(
    plan: Annotated[Path, typer.Argument(metavar="PLAN.toml", help="Jobs, technicians, bays, hours and promises.")],
    promise: Annotated[bool, typer.Option("--promise", help="Write the promised times into the log.")] = False,
    json: Json = False,
    data: Data = None,
) -> None:
    """When each job of a day is likely ready, which promise is at risk, and the order that keeps most promises."""
    from sparehand.desk.day_planning import print_day

    print_day(plan, promise=promise, as_json=json, data=data)


@days.command()
def promises(json: Json = False, data: Data = None) -> None:
    """What became of the promises, and the stated chances against what happened."""
    from sparehand.desk.promise_list import print_promises

    print_promises(as_json=json, data=data)


@days.command()
def desk(
    page: Annotated[str, typer.Option(metavar="[ADDRESS:]PORT", help="Where it is served.")] = "8761",
    data: Data = None,
) -> None:
    """The desk's pages in a browser: today, the day, what is due, estimates, labour; without a job."""
    from sparehand.at_work.desk_server import serve_desk

    serve_desk(page, data)
