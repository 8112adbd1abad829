"""Options that several commands share."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

Data = Annotated[
    Path | None, typer.Option("--data", metavar="DIR", help="Folder of log, models and settings (or SPAREHAND_DATA).")
]
ProcedureName = Annotated[str, typer.Argument(metavar="PROCEDURE", help="A file's path, or the id of a procedure.")]
Operations = Annotated[str, typer.Option(metavar="A,B", help="Operations of the procedure, separated by commas.")]
Sides = Annotated[str, typer.Option(metavar="A,B", help="left, right, front, rear; or both.")]
Technician = Annotated[str | None, typer.Option(metavar="NAME", help="Who does the job.")]
Corrosion = Annotated[str, typer.Option(help="none, light, heavy or unknown.")]
Support = Annotated[str, typer.Option(help="lift, stands or unknown.")]
Ears = Annotated[
    str | None,
    typer.Option(metavar="microphone|keyboard|FILE.wav", help="What to listen to; as the settings say by default."),
]
Engine = Annotated[str | None, typer.Option(help="vosk or pocketsphinx; the better one that is there by default.")]
Listen = Annotated[
    str | None, typer.Option(help="always, call or key; what the engine can be trusted with by default.")
]
Mute = Annotated[bool, typer.Option("--mute", help="Show answers only.")]
Page = Annotated[
    str | None,
    typer.Option(metavar="[ADDRESS:]PORT", help="Serve the screen as a page too; on this machine alone by default."),
]
Phrases = Annotated[
    Path | None, typer.Option("--phrases", metavar="FILE", help="Your own wordings, before those of the settings.")
]
Json = Annotated[bool, typer.Option("--json", help="Print JSON.")]
