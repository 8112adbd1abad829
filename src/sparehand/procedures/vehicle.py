"""What a procedure says of the vehicle as a whole: conditions, what comes off, and the checks before it moves."""

from __future__ import annotations

from typing import Literal

from sparehand.procedures.record import Id, Record, Text

VehicleEnd = Literal["vehicle", "front", "rear"]
"""What is raised or lowered: the whole vehicle or one end of it."""

Stance = Literal["raised", "lowered"]
"""Whether the vehicle is off its wheels or on them."""

ConditionWay = Literal["on its wheels", "loaded on ramps", "held at hub-to-arch distance"]
"""How a vehicle comes to stand at ride height."""


class Condition(Record):
    """A state of the vehicle that a tightening waits for, such as ride height.

    `said` are the words that claim it and `said_when_over` those that end it; where `said` is empty, its name does it.
    `ends_when_raised` says that it holds on the wheels only. `also` says what else counts as it beside standing on its
    wheels; `distance` names the measurement, taken before dismantling, that gives the distance from hub to arch.
    """

    id: Id
    name: Text
    asks: Text
    said: tuple[Text, ...] = ()
    said_when_over: tuple[Text, ...] = ()
    ends_when_raised: bool = True
    also: tuple[ConditionWay, ...] = ()
    distance: Id | None = None

    @property
    def sayings(self) -> tuple[str, ...]:
        """What claims that it holds, the wording to teach first."""
        at = f"at {self.name}"
        return self.said or (at, f"it is {at}", f"vehicle is {at}", self.name)

    @property
    def when(self) -> str:
        """When a tightening that waits for it is done: "at" its name where that is said, else "with" it."""
        at = f"at {self.name}"
        return at if at in self.sayings else f"with {self.name}"


class Component(Record):
    """Something that steps take off and put on, such as a wheel or a cover; `held_by` are its fasteners.

    `needed_to_lower` says that it is on before the vehicle comes down on its wheels.
    """

    id: Id
    name: Text
    held_by: tuple[Id, ...] = ()
    needed_to_lower: bool = False


class Gate(Record):
    """Something that must be true before the vehicle moves under its own power.

    `about` names what must be in order for it: fasteners final, components on, conditions holding, by their ids; and
    what must not hang or be supported any more, in the words of `hangs`.
    """

    id: Id
    asks: Text
    about: tuple[Text, ...] = ()
