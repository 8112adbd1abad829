"""What is typed to try ears and mouth. One short function a command, no logic."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from sparehand.cli.options import Data, Engine, Json, Phrases

voice = typer.Typer()


@voice.command()
def hear(
    file: Annotated[Path, typer.Argument(metavar="FILE.wav", help="A recording of speech.")],
    engine: Engine = None,
    listen: Annotated[str, typer.Option(help="always, call or key.")] = "always",
    situation: Annotated[
        str, typer.Option(metavar="NAME|all", help="What goes on, such as working or question.")
    ] = "all",
    json: Json = False,
    why: Annotated[bool, typer.Option("--why", help="Say of each phrase why it counted or not.")] = False,
    phrases: Phrases = None,
    data: Data = None,
) -> None:
    """What the ears make of a sound file."""
    from sparehand.setup import hearing_trials

    hearing_trials.print_heard(file, engine, listen, situation, as_json=json, why=why, own=phrases, data=data)


@voice.command()
def phrases(
    situation: Annotated[
        str, typer.Option(metavar="NAME|all", help="What goes on, such as working or question.")
    ] = "all",
    json: Json = False,
    own: Phrases = None,
    data: Data = None,
) -> None:
    """Everything that can be said, with what it does."""
    from sparehand.setup import hearing_trials

    hearing_trials.print_phrases(situation, as_json=json, own=own, data=data)


@voice.command()
def speak(
    text: Annotated[str, typer.Argument(metavar="TEXT", help="What it says.")],
    to: Annotated[Path, typer.Option(metavar="FILE.wav", help="Where the sound goes.")],
    data: Data = None,
) -> None:
    """The assistant's voice, into a file."""
    from sparehand.ground.places import data_folder
    from sparehand.settings import load_settings
    from sparehand.voice.speaking.spoken_file import speak_to_file

    seconds = speak_to_file(text, to, load_settings(data_folder(data)))
    typer.echo(f"{to}: {seconds:.1f} s")
