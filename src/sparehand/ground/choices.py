"""Words given on the command line, made into what the rooms expect; each wrong one is one clear line."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, TypeVar, get_args

from sparehand.ground.errors import InputError

_MOST_DIGITS = 12
Word = TypeVar("Word", bound=str)


def listed(given: str) -> tuple[str, ...]:
    """The words between the commas of an option."""
    return tuple(word.strip() for word in given.split(",") if word.strip())


def number_in(typed: str, lowest: int, highest: int) -> int | None:
    """The whole number that was typed, if it lies in the limits; None for anything else, however long it is."""
    plain = typed.isascii() and typed.isdecimal() and len(typed) <= _MOST_DIGITS
    return int(typed) if plain and lowest <= int(typed) <= highest else None


def one_of(given: str, allowed: Any, what: str) -> Any:
    """`given`, if it is one of the literal type `allowed`. Raises InputError that names them."""
    words: Sequence[str] = get_args(allowed)
    if given not in words:
        raise InputError(f"{what} '{given}' is not known; say one of: {', '.join(words)}")
    return given
