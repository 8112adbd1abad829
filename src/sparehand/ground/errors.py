"""What can go wrong that a user can mend: one clear line each, and the exit code it brings."""

from __future__ import annotations

from sparehand.ground.terminal import printable


class SparehandError(Exception):
    """One line for the user: what is wrong, where, what to do."""

    exit_code = 1

    def __str__(self) -> str:
        """The line; what was given and is named in it neither breaks it nor steers the terminal."""
        return printable(super().__str__())


class InputError(SparehandError):
    """Something given to Sparehand is wrong: a file, an option, a name."""

    exit_code = 2


class FailureError(SparehandError):
    """Sparehand could not do what was rightly asked of it: no disk space, no device, a damaged log."""
