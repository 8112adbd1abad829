"""The work-study addition for personal needs and fatigue, in both published conventions.

It is meant for *rated normal* times. Logged times are unrated and already hold short pauses, so the default is none.
"""

from __future__ import annotations

from typing import Literal, TypeVar

import numpy as np
from numpy.typing import NDArray

from sparehand.ground.errors import InputError

AllowanceConvention = Literal["of the time", "of the day"]
Hours = TypeVar("Hours", float, NDArray[np.float64])


def with_allowance(hours: Hours, percent: float | None, convention: AllowanceConvention = "of the time") -> Hours:
    """The hours with an allowance.

    "of the time" adds the percentage to the time, x (1 + A) (ILO, Introduction to Work Study); "of the day" sets
    the percentage of the working day aside, / (1 - A) (textbook form). Raises InputError for a percentage below 0 or
    from 100 up.
    """
    if percent is None:
        return hours
    if not 0 <= percent < 100:
        raise InputError(f"an allowance of {percent:g} % makes no sense: give 0 or more and less than 100")
    share = percent / 100
    return hours * (1 + share) if convention == "of the time" else hours / (1 - share)
