"""The command line: one short function a command, no logic."""

from __future__ import annotations

import sys
from typing import Annotated, Any

import typer

from sparehand import __version__
from sparehand.cli import (
    bench_commands,
    desk_commands,
    group_commands,
    lesson_commands,
    log_commands,
    share_commands,
    voice_commands,
)
from sparehand.ground.errors import SparehandError

app = typer.Typer(
    name="sparehand",
    help="Offline, hands-free voice-and-timer bench assistant with a job-time log. The maker's data prevail.",
    no_args_is_help=True,
    pretty_exceptions_enable=False,
    context_settings={"help_option_names": ["-h", "--help"]},
)

app.add_typer(bench_commands.bench)
app.add_typer(desk_commands.desk)
app.add_typer(voice_commands.voice)
app.add_typer(share_commands.between_benches)
app.add_typer(group_commands.models, name="models")
app.add_typer(group_commands.times, name="times")
app.add_typer(group_commands.settings, name="settings")
app.add_typer(lesson_commands.lessons, name="lessons")
app.add_typer(log_commands.log, name="log")
app.add_typer(log_commands.person, name="person")


def _version(asked: bool) -> None:
    if asked:
        typer.echo(f"sparehand {__version__}")
        raise typer.Exit


@app.callback()
def _options(
    _version_asked: Annotated[
        bool, typer.Option("--version", callback=_version, is_eager=True, help="Print the version.")
    ] = False,
) -> None:
    """Options that stand before a command."""


def main(arguments: list[str] | None = None) -> Any:
    """Run the command line; a user's error is one line, without a traceback unless `--debug` is given."""
    given = list(sys.argv[1:] if arguments is None else arguments)
    debug = "--debug" in given
    try:
        app([word for word in given if word != "--debug"])
    except SparehandError as error:
        if debug:
            raise
        sys.stderr.write(f"sparehand: {error}\n")
        raise SystemExit(error.exit_code) from error
    except KeyboardInterrupt:
        raise SystemExit(130) from None


if __name__ == "__main__":
    main()
