"""Whether a word was forgotten: a phase that took no time, or one that runs on past all likelihood. Pure.

What to say about it, and when to be quiet, is for the job; here is only what the times say.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from sparehand.procedures.plan import PhaseKey
from sparehand.times.time_left import Outlook

ONE_IN_A_THOUSAND = 3.090232306167813
"""Standard deviations beyond which one in a thousand phases lasts, if all its words were said."""


@dataclass(frozen=True)
class ForgottenWord:
    """A phase whose time cannot be right, beside what it usually takes.

    `took no time`: it was over at once, so the word that ended `neighbour`, the phase before it, came late.
    `runs long`: it goes on and on, so the word for `neighbour`, the phase after it, was probably not said.
    """

    key: PhaseKey
    sign: Literal["took no time", "runs long"]
    seconds: float
    usual_seconds: float
    neighbour: PhaseKey | None


def forgotten_word(
    outlook: Outlook,
    done: Sequence[tuple[PhaseKey, float]],
    current: PhaseKey | None,
    elapsed: float,
    following: PhaseKey | None = None,
) -> ForgottenWord | None:
    """What the times so far say, or None where they are plausible or nothing was foreseen.

    `done` are the finished phases with their worked seconds, in order, of which the last is looked at; `current` has
    run for `elapsed` worked seconds (holds and snags taken out) and `following` would come after it.
    """
    if done:
        last, seconds = done[-1]
        phase = outlook.of(last)
        if phase is not None and outlook.too_short(last, seconds):
            before = done[-2][0] if len(done) > 1 else None
            return ForgottenWord(last, "took no time", seconds, math.exp(phase.log_mean), before)
    phase = outlook.of(current) if current else None
    if phase is not None and elapsed > longest_plausible_seconds(outlook, phase.key):
        return ForgottenWord(phase.key, "runs long", elapsed, math.exp(phase.log_mean), following)
    return None


def longest_plausible_seconds(outlook: Outlook, key: PhaseKey) -> float:
    """The worked seconds that one in a thousand such phases exceeds; infinite for one that was not foreseen."""
    phase = outlook.of(key)
    if phase is None:
        return math.inf
    sd = math.sqrt(phase.own_variance + outlook.shared_variance)
    return math.exp(min(phase.log_mean + ONE_IN_A_THOUSAND * sd, 700.0))
