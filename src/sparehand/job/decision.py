"""What comes of a command: events to record, or a refusal, and what the answer is to be about."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

from sparehand.ground.clock import Moment
from sparehand.job.events import Event
from sparehand.job.experience import Experience
from sparehand.procedures.quantities import TorqueUnit

Topic = Literal[
    "arrived",
    "step",
    "confirmed",
    "done",
    "torque",
    "size",
    "what next",
    "loose",
    "where",
    "skipped",
    "parts",
    "time",
    "warning",
    "explained",
    "understood",
    "timers",
    "undone",
    "question",
    "answered no",
    "finding",
    "found",
    "findings",
    "measured",
    "out of limits",
    "renewed",
    "mark",
    "condition",
    "condition over",
    "lifted",
    "counted",
    "told",
    "part answered",
    "other side",
    "way chosen",
    "angle begun",
    "angle not begun",
    "gate",
    "departure",
    "restarted",
    "hold",
    "back to work",
    "snag",
    "snag over",
    "timer",
    "timer stopped",
    "rang",
    "lapsed",
    "unit",
    "gap",
    "again",
    "quiet",
    "not listening",
    "voice off",
    "voice on",
    "help",
    "more",
    "torque by name",
    "size by name",
    "held by",
    "part",
    "tightened here",
    "left on side",
    "after that",
    "tools",
    "phase time",
    "parked",
    "closed",
    "nothing",
    "crew",
    "put right",
    "which job",
    "left",
    "handed over",
    "tightened otherwise",
    "noted",
    "wrench",
    "extension",
    "extension off",
    "right angle",
    "second check",
    "old part kept",
    "kit",
    "past a gate",
    "redone",
    "extra work",
    "extra work approved",
    "approval limited",
    "extra work declined",
    "operation dropped",
    "recording",
    "note kept",
    "picture asked",
    "phase opened",
    "step opened",
    "fastener named",
    "fastener told",
    "name kept",
    "phase named",
    "name asked",
    "line",
    "line over",
    "distance noted",
    "conditions",
    "practice",
    "payer",
    "follow-ups",
    "follow-up done",
    "follow-ups due",
]


@dataclass(frozen=True)
class Tell:
    """Answer with this topic. `about` names what it concerns, `unit` the unit asked for once."""

    topic: Topic
    about: str = ""
    unit: TorqueUnit | None = None


@dataclass(frozen=True)
class Refusal:
    """Nothing was recorded: why, and what to say instead."""

    why: str
    instead: str


@dataclass(frozen=True)
class Decision:
    """The events to record, in order, and the reply. A refusal never carries events."""

    reply: Tell | Refusal
    events: tuple[Event, ...] = field(default=())


@dataclass(frozen=True)
class Context:
    """What decide may know beside the state: the time, and the experience made before the job."""

    now: Moment
    experience: Experience = field(default_factory=Experience)


def refuse(why: str, instead: str) -> Decision:
    """A decision that only says why not."""
    return Decision(Refusal(why, instead))


def tell(topic: Topic, *events: Event, about: str = "", unit: TorqueUnit | None = None) -> Decision:
    """A decision that records `events` and answers with `topic`."""
    return Decision(Tell(topic, about, unit), events)
