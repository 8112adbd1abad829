"""Learning curves, kept apart by name: Crawford's for each unit, Wright's for the average of all so far."""

from __future__ import annotations

import math


def exponent(rate: float) -> float:
    """The exponent b of n^b where a doubling leaves `rate` (0.8: four fifths) of the time."""
    return math.log2(rate)


def rate_of(effect: float) -> float:
    """What a doubling of repetitions leaves of the time, for an effect on its natural log."""
    return math.exp(effect)


def crawford_unit(first: float, rate: float, repetition: int) -> float:
    """Time of one repetition; each unit follows the curve (Crawford 1944)."""
    return first * math.pow(repetition, exponent(rate))


def crawford_total(first: float, rate: float, repetitions: int) -> float:
    """Time of all repetitions so far, each unit on the curve."""
    return math.fsum(crawford_unit(first, rate, number) for number in range(1, repetitions + 1))


def wright_average(first: float, rate: float, repetitions: int) -> float:
    """Cumulative average time; the average follows the curve (Wright 1936, J. Aeronaut. Sci. 3:122)."""
    return first * math.pow(repetitions, exponent(rate))


def wright_total(first: float, rate: float, repetitions: int) -> float:
    """Time of all repetitions so far, their average on the curve."""
    return repetitions * wright_average(first, rate, repetitions)
