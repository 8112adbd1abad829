"""What can go wrong that a user can mend: one clear line each, and the exit code it brings."""

from __future__ import annotations


class SparehandError(Exception):
    """One line for the user: what is wrong, where, what to do."""

    exit_code = 1


class InputError(SparehandError):
    """Something given to Sparehand is wrong: a file, an option, a name."""

    exit_code = 2


class FailureError(SparehandError):
    """Sparehand could not do what was rightly asked of it: no disk space, no device, a damaged log."""
