"""Whether free words hold a value: a number with a unit, which nobody may take for a specification."""

from __future__ import annotations

import re

_NUMBER = (
    r"\d+(?:[.,]\d+)?|zero|oh|one|two|three|four|five|six|seven|eight|nine|ten|eleven|twelve|\w{2,6}teen|twenty|thirty"
    r"|forty|fifty|sixty|seventy|eighty|ninety|hundred|thousand|half|quarter"
)
_UNIT = (
    r"n\s?[·*]?\s?m|newton|foot|feet|ft|lbf?|pounds?|inch|inches|in\.?[·\s-]?lbf?|kgf|kilos?|kilogram\w*|kg|grams?|g"
    r"|mm|cm|m|millimet\w+|centimet\w+|met(?:re|er)s?|thou|microns?|degrees?|°c?|bar|psi|k?pa|kilopascals?|volts?|v"
    r"|amps?|amperes?|ohms?|litres?|liters?|ml|millilit\w+|turns?|minutes?|seconds?|percent|%"
)
_VALUE = re.compile(rf"(?<!\w)(?:{_NUMBER})(?:[\s-]+(?:and|a|of))*[\s-]*(?:{_UNIT})(?!\w)", re.IGNORECASE)


def holds_value(text: str) -> bool:
    """Whether a number stands before a unit somewhere in `text`, in figures or in words."""
    return _VALUE.search(text) is not None
