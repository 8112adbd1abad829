"""What a validator complains of, in our own words: the field by its place, and what it must be."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

_Words = Callable[[Mapping[str, Any]], str]

_WHOLE, _NUMBER, _TRUTH = "must be a whole number", "must be a number", "must be true or false"
_TIME = "must be a date and time with its offset from UTC"

_IN_WORDS: Mapping[str, _Words] = {
    "missing": lambda _: "is missing",
    "extra_forbidden": lambda _: "is not known here",
    "string_type": lambda _: "must be text",
    "string_pattern_mismatch": lambda _: "is not written as it must be",
    "string_too_short": lambda at: _at_least(at["min_length"], "character"),
    "string_too_long": lambda at: _at_most(at["max_length"], "character"),
    "too_short": lambda at: _at_least(at["min_length"], "entry", "entries"),
    "too_long": lambda at: _at_most(at["max_length"], "entry", "entries"),
    "greater_than": lambda at: f"must be more than {_plain(at['gt'])}",
    "greater_than_equal": lambda at: f"must be {_plain(at['ge'])} or more",
    "less_than": lambda at: f"must be less than {_plain(at['lt'])}",
    "less_than_equal": lambda at: f"must be {_plain(at['le'])} or less",
    "finite_number": lambda _: _NUMBER,
    "literal_error": lambda at: f"must be one of: {str(at['expected']).replace(' or ', ', ')}",
    "enum": lambda at: f"must be one of: {str(at['expected']).replace(' or ', ', ')}",
    "tuple_type": lambda _: "must be a list",
    "list_type": lambda _: "must be a list",
    "model_type": lambda _: "must be a group of fields",
    "model_attributes_type": lambda _: "must be a group of fields",
    "dict_type": lambda _: "must be a group of fields",
    "timezone_aware": lambda _: _TIME,
    "union_tag_invalid": lambda at: f"is of no known kind: '{at['tag']}'",
    "union_tag_not_found": lambda _: "does not say its kind",
    "value_error": lambda at: str(at["error"]),
}
_BY_FAMILY: Mapping[str, str] = {
    "int": _WHOLE,
    "float": _NUMBER,
    "decimal": _NUMBER,
    "bool": _TRUTH,
    "datetime": _TIME,
    "date": "must be a date, such as 2026-03-31",
    "uuid": "is no id",
}


def complaint(problem: Mapping[str, Any]) -> str:
    """What is wrong with a value, to stand after its name; `problem` is one of `ValidationError.errors()`."""
    kind: str = problem["type"]
    words = _IN_WORDS.get(kind)
    if words is not None:
        return words(problem.get("ctx", {}))
    return _BY_FAMILY.get(kind.partition("_")[0], "is not what belongs here")


def place_in_words(place: tuple[int | str, ...]) -> str:
    """Where a value stands: ("phases", 0, "steps", 1, "say") is "'say' of step 2 of phase 1"; empty for the whole."""
    names: list[str] = []
    for at, key in enumerate(place, start=1):
        if isinstance(key, int) and names and at < len(place):
            names[-1] = f"{names[-1].strip(_QUOTE).removesuffix('s')} {key + 1}"
        else:
            names.append(f"entry {key + 1}" if isinstance(key, int) else f"{_QUOTE}{key}{_QUOTE}")
    return " of ".join(reversed(names))


def sentence(problem: Mapping[str, Any]) -> str:
    """A complaint with its place in front; one of our own stands behind a colon."""
    where = place_in_words(tuple(problem["loc"]))
    between = ": " if problem["type"] == "value_error" else " "
    return f"{where}{between}{complaint(problem)}" if where else complaint(problem)


_QUOTE = "'"


def _at_least(count: int, thing: str, things: str = "") -> str:
    if count == 1:
        return "must not be empty"
    return f"must have {count} {things or f'{thing}s'} or more"


def _at_most(count: int, thing: str, things: str = "") -> str:
    return f"must have {count} {thing if count == 1 else things or f'{thing}s'} or fewer"


def _plain(number: Any) -> str:
    return f"{number:g}" if isinstance(number, float) else str(number)
