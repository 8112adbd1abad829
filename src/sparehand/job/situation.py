"""What is going on in a conversation, which decides what counts as said."""

from __future__ import annotations

from typing import Literal, get_args

Situation = Literal[
    "opening",
    "working",
    "hold",
    "question",
    "reading",
    "warned",
    "marking",
    "inspecting",
    "renewing",
    "tightening",
    "lowering",
    "apart",
    "unanswered",
    "lowered",
    "checking",
    "waiting",
    "timing",
    "snagged",
    "skipped",
    "gap",
    "proposed",
    "approved",
    "turning",
    "departed",
    "finished",
    "explained",
    "choosing",
    "pressing",
    "counting",
    "found",
    "sided",
    "memo",
    "drafting",
    "naming",
    "lines",
]
"""What is going on, which decides what counts as said. Several hold at once: the first four say what kind of talk it
is, the others what the present step, or something that runs, makes sayable."""

SITUATIONS: tuple[Situation, ...] = get_args(Situation)
