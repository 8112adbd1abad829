"""The command line's group about lessons: listed where nothing else is asked. One short function a command."""

from __future__ import annotations

from typing import Annotated, Any

import typer
from typer.core import TyperGroup

from sparehand.cli.options import Data, Technician


class ListsByDefault(TyperGroup):
    """Takes `lessons PROCEDURE` for `lessons list PROCEDURE`, and so for any group whose list is its main use."""

    def parse_args(self, ctx: Any, args: list[str]) -> list[str]:
        """Put `list` before the arguments where they name no command of the group."""
        if not args or (args[0] not in self.commands and args[0] not in ctx.help_option_names):
            args = ["list", *args]
        return super().parse_args(ctx, args)


lessons = typer.Typer(cls=ListsByDefault, help="Lessons kept by voice: list, review, retire.")

Id = Annotated[str, typer.Argument(metavar="ID", help="A lesson's id, as the list shows it.")]


@lessons.command("list")
def lessons_list(
    procedure: Annotated[str | None, typer.Argument(metavar="[PROCEDURE]", help="One procedure's only.")] = None,
    data: Data = None,
) -> None:
    """Every lesson, or those of a procedure; what `sparehand lessons [PROCEDURE]` does."""
    from sparehand.desk import lesson_review

    lesson_review.print_lessons(procedure, data)


@lessons.command("review")
def lessons_review(id: Id, technician: Technician = None, data: Data = None) -> None:
    """Let a lesson stand that was flagged."""
    from sparehand.desk import lesson_review

    lesson_review.review(id, technician, data)


@lessons.command("retire")
def lessons_retire(id: Id, technician: Technician = None, data: Data = None) -> None:
    """Let a lesson be heard no more."""
    from sparehand.desk import lesson_review

    lesson_review.retire(id, technician, data)
