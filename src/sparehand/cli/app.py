"""The commands, put together from those of each person who types them."""

from __future__ import annotations

import sys
from typing import Annotated, Any

import typer
from typer.core import TyperGroup

from sparehand import __version__
from sparehand.cli import (
    bench_group,
    day_commands,
    desk_commands,
    due_commands,
    estimate_commands,
    group_commands,
    lesson_commands,
    log_commands,
    share_commands,
    voice_commands,
)
from sparehand.ground.errors import FailureError, InputError, SparehandError
from sparehand.ground.terminal import print_safely

_DEBUG = "sparehand.debug"
_CONTEXT: dict[str, Any] = {"help_option_names": ["-h", "--help"]}


class _Commands(TyperGroup):
    """Makes a user's error one line, unless `--debug` asks for its traceback."""

    def invoke(self, ctx: Any) -> Any:
        """Run the command named. Raises SystemExit with the error's exit code."""
        try:
            return super().invoke(ctx)
        except (SparehandError, ValueError, OSError) as error:
            known = _known(error)
            if known is None or ctx.meta.get(_DEBUG):
                raise
            sys.stderr.write(f"sparehand: {known}\n")
            raise SystemExit(known.exit_code) from error


def _known(error: Exception) -> SparehandError | None:
    """The error as one for the user: a value out of bounds is wrong input; None for a mistake of the program."""
    if isinstance(error, SparehandError):
        return error
    if isinstance(error, OSError):
        what = f"{error.filename}: {error.strerror}; mend its permissions, or name another place"
        return FailureError(what) if error.filename else None
    from pydantic import ValidationError

    from sparehand.ground.bounds import first_problem

    return InputError(first_problem(error)) if isinstance(error, ValidationError) else None


app = typer.Typer(
    cls=_Commands,
    name="sparehand",
    help="Offline, hands-free voice-and-timer bench assistant with a job-time log. The maker's data prevail.",
    no_args_is_help=True,
    pretty_exceptions_enable=False,
    context_settings=_CONTEXT,
)

app.add_typer(bench_group.bench)
app.add_typer(desk_commands.desk)
app.add_typer(day_commands.days)
app.add_typer(estimate_commands.estimate)
app.add_typer(voice_commands.voice)
app.add_typer(share_commands.between_benches)
app.add_typer(group_commands.models, name="models")
app.add_typer(group_commands.times, name="times")
app.add_typer(group_commands.settings, name="settings")
app.add_typer(estimate_commands.estimates, name="estimates")
app.add_typer(due_commands.due, name="due")
app.add_typer(due_commands.line, name="line")
app.add_typer(lesson_commands.lessons, name="lessons")
app.add_typer(log_commands.log, name="log")
app.add_typer(log_commands.person, name="person")


def _version(asked: bool) -> None:
    if asked:
        typer.echo(f"sparehand {__version__}")
        raise typer.Exit


def _debug(context: typer.Context, asked: bool) -> None:
    context.meta[_DEBUG] = asked or context.meta.get(_DEBUG, False)


@app.callback()
def _options(
    _version_asked: Annotated[
        bool, typer.Option("--version", callback=_version, is_eager=True, help="Print the version.")
    ] = False,
    _debug_asked: Annotated[
        bool, typer.Option("--debug", callback=_debug, expose_value=False, hidden=True, help="Show tracebacks.")
    ] = False,
) -> None:
    """Options that stand before a command."""


def run_command(arguments: list[str]) -> None:
    """Run the command that `arguments` name."""
    print_safely()
    command = typer.main.get_command(app)
    debug = next(option for option in command.params if "--debug" in option.opts)
    _take(command, debug)
    try:
        command(arguments)
    except KeyboardInterrupt:
        raise SystemExit(130) from None


def _take(command: Any, option: object) -> None:
    """Let each command below `command` take `option`, so that it may stand anywhere."""
    _say_plainly(command)
    for inner in getattr(command, "commands", {}).values():
        inner.params.append(option)
        _take(inner, option)


def _say_plainly(command: Any) -> None:
    """Show no type behind a flag in the help: there is none to give."""
    for param in command.get_params(typer.Context(command, **_CONTEXT)):
        if getattr(param, "is_flag", False):
            param.metavar = ""
