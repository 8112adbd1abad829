"""The command line's part about sharing between benches. One short function a command, no logic."""

from __future__ import annotations

from typing import Annotated

import typer

from sparehand.cli.options import Data

between_benches = typer.Typer()


@between_benches.command()
def share(
    url: Annotated[
        str, typer.Argument(metavar="URL", help="The shared database, postgresql://LOGIN@HOST/DATABASE; no password.")
    ],
    watch: Annotated[bool, typer.Option("--watch", help="Go on round after round, beside `work`.")] = False,
    without: Annotated[
        list[str] | None,
        typer.Option(metavar="names|vehicles|nothing", help="What stays here, from now on; may be given twice."),
    ] = None,
    take_over: Annotated[
        bool, typer.Option("--take-over", help="This folder is the one of its bench's name from now on.")
    ] = False,
    set_up: Annotated[
        bool, typer.Option("--set-up", help="Make or update the tables; for the database's owner.")
    ] = False,
    admit: Annotated[
        str | None, typer.Option(metavar="LOGIN", help="Let a login share in --shop; for the database's owner.")
    ] = None,
    shop: Annotated[str | None, typer.Option(metavar="NAME", help="The shop of that login or row.")] = None,
    forgets: Annotated[
        bool, typer.Option("--forgets", help="The admitted login may blank names, and nothing else.")
    ] = False,
    set_aside: Annotated[
        bool, typer.Option("--set-aside", help="List what others sent that cannot be taken, and why.")
    ] = False,
    drop: Annotated[
        str | None, typer.Option(metavar="ROW", help="Delete a row of --set-aside; for the database's owner.")
    ] = None,
    data: Data = None,
) -> None:
    """Send this bench's log to the shop's PostgreSQL, and fetch the other benches' times."""
    from sparehand.desk import shop_sharing as sharing

    if set_up:
        sharing.set_up_database(url)
    elif set_aside:
        sharing.list_set_aside(data)
    elif drop:
        sharing.drop_shared(url, drop, shop)
    elif admit:
        sharing.admit_login(url, admit, shop, forgets=forgets)
    else:
        wish = sharing.Wish(url, tuple(without or ()), take_over)
        (sharing.keep_sharing if watch else sharing.share)(wish, data)
