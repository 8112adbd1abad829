"""A small model of a physical vehicle, read from the raw file of a procedure: nothing of the code under test is used.

It knows what a hand can do and what is so, not what anybody said.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from copy import deepcopy
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from ruamel.yaml import YAML

Side = str | None
Thing = tuple[str, Side]

FACTORY = 99
"""The stage of a piece that nobody has touched: tight as the factory left it."""


def raw_procedure(file: Path) -> Mapping[str, Any]:
    """A procedure file as plain values."""
    loaded: Mapping[str, Any] = YAML(typ="safe").load(file.read_text(encoding="utf-8"))
    return loaded


def joined_raw(own: Mapping[str, Any], other: Mapping[str, Any], one: Collection[str]) -> Mapping[str, Any]:
    """Two files as one, the ids of the other with its own before them but for those in `one`, which both name."""
    lists = [key for key, value in other.items() if isinstance(value, list) and value and isinstance(value[0], dict)]
    ids = {entry["id"] for key in lists for entry in other[key]} - set(one)

    def moved(value: Any, of_step: bool = False) -> Any:
        if isinstance(value, dict):
            return {
                key: each if key == "id" and of_step else moved(each, key == "steps") for key, each in value.items()
            }
        if isinstance(value, list):
            return [moved(each, of_step) for each in value]
        return f"{other['id']}.{value}" if isinstance(value, str) and value in ids else value

    return {**own, **{key: [*own.get(key, ()), *moved(other[key])] for key in lists}}


@dataclass
class Vehicle:
    """Pieces of fasteners with how far each is tightened, what is off, what hangs, and how the vehicle stands."""

    file: Mapping[str, Any]
    pieces: dict[Thing, list[int | None]] = field(default_factory=dict)
    """For each piece: the stages that it has had, or None where it is out."""
    off: set[Thing] = field(default_factory=set)
    hanging: set[Thing] = field(default_factory=set)
    drained: set[str] = field(default_factory=set)
    made: set[Thing] = field(default_factory=set)
    conditions: set[str] = field(default_factory=set)
    raised: set[str] = field(default_factory=set)

    def fastener(self, id: str) -> Mapping[str, Any]:
        """The raw entry of a fastener."""
        return _named(self.file["fasteners"], id)

    def state_of(self, id: str, side: Side) -> list[int | None]:
        """The pieces of a fastener, tight from the factory until somebody touches them."""
        return self.pieces.setdefault((id, side), [FACTORY] * int(self.fastener(id).get("quantity", 1)))

    def stages(self, id: str) -> Sequence[Mapping[str, Any]]:
        """The stages that a fastener is tightened by."""
        found: Sequence[Mapping[str, Any]] = self.fastener(id).get("tightening", ())
        return found

    def is_final(self, thing: Thing) -> bool:
        """Whether every piece is in and has had all its stages."""
        wanted = len(self.stages(thing[0]))
        return all(piece is not None and piece >= wanted for piece in self.state_of(*thing))

    def can_do(self, step: Mapping[str, Any], side: Side) -> bool:
        """Whether hands can do all that a step says, as the vehicle is now."""
        return not any(self._hindrances(step, side))

    def can_tighten(self, id: str, side: Side, stage: int) -> bool:
        """Whether hands can bring the pieces of a fastener to a stage, as its file wants it done."""
        wanted = self.stages(id)[stage]
        stands = {"raised": bool(self.raised), "lowered": not self.raised}
        return (
            all(piece is not None for piece in self.state_of(id, side))
            and not self.lies_open(id, side)
            and (wanted.get("condition") is None or wanted["condition"] in self.conditions)
            and stands.get(wanted.get("vehicle", ""), True)
        )

    def do(self, step: Mapping[str, Any], side: Side) -> None:
        """Do with the hands what a step says, but for its tightening."""
        for id in step.get("slackens", ()):
            self.slacken(id, side)
        for id in step.get("removes", ()):
            self.pieces[id, side] = [None] * len(self.state_of(id, side))
        self.off.update((id, side) for id in step.get("takes_off", ()))
        self.off.difference_update((id, at) for id in step.get("puts_on", ()) for at in (side, None))
        for id in step.get("fits", ()):
            self.pieces[id, side] = [0 if piece is None else piece for piece in self.state_of(id, side)]
        self.hanging.update((words, side) for words in step.get("hangs", ()))
        self.release(step, side)
        self.drained |= set(step.get("drains", ()))
        self.drained -= set(step.get("fills", ()))
        self._stand(step)

    def release(self, step: Mapping[str, Any], side: Side) -> None:
        """What the step itself releases is released."""
        self.hanging.difference_update((words, at) for words in step.get("releases", ()) for at in (side, None))

    def after_its_own(self, step: Mapping[str, Any], side: Side) -> Vehicle:
        """The vehicle as a word said at the step takes it: what the step itself releases and lowers is so.

        Where no step of the file is said to lower, the step of a condition on the wheels is the one that does.
        """
        after = self.copy()
        after.release(step, side)
        silent = not any(one.get("lowers") for phase in self.file["phases"] for one in phase["steps"])
        after._stand({"lowers": "vehicle" if silent and step.get("establishes") else step.get("lowers")})
        return after

    def slacken(self, id: str, side: Side) -> None:
        """Undo the tightening of every piece that is in."""
        self.pieces[id, side] = [0 if piece is not None else None for piece in self.state_of(id, side)]

    def lies_open(self, id: str, side: Side, coming: Sequence[str] = ()) -> bool:
        """Whether a component that the fastener holds is off, and not `coming` on."""
        held = {one["id"] for one in self.file.get("components", ()) if id in one.get("held_by", ())}
        return any((component, side) in self.off for component in held - set(coming))

    def tighten(self, id: str, side: Side, stage: int, count: int) -> None:
        """Bring so many pieces of a fastener through a stage."""
        pieces = self.state_of(id, side)
        for place, piece in enumerate(pieces):
            if count and piece is not None and piece <= stage:
                pieces[place], count = stage + 1, count - 1

    def put_in(self, named: Iterable[tuple[str, str, Side]]) -> None:
        """Put on the components and run in by hand the fasteners that are named, as far as nothing is in the way."""
        for what, id, side in sorted(named, key=lambda one: one[0] != "component on"):
            if what == "component on":
                self.off.discard((id, side))
            elif what == "fastener in" and not self.lies_open(id, side):
                self.pieces[id, side] = [0 if piece is None else piece for piece in self.state_of(id, side)]

    def is_there(self, what: str, id: str, side: Side) -> bool:
        """Whether a fastener is in, a component on or a mark made."""
        if what == "fastener in":
            return all(piece is not None for piece in self.state_of(id, side))
        return (id, side) not in self.off if what == "component on" else (id, side) in self.made

    def copy(self) -> Vehicle:
        """The vehicle as it is now, to go back to."""
        return deepcopy(self, {id(self.file): self.file})

    def restore(self, before: Vehicle) -> None:
        """Go back to how it was."""
        vars(self).update(vars(before.copy()))

    def raise_again(self) -> None:
        """Lift it off its wheels: what holds on the wheels only is over."""
        self._stand({"raises": "vehicle"})

    def whole(self) -> Iterator[str]:
        """What keeps the vehicle from being driven: empty where nothing does."""
        yield from (f"{thing} is not final" for thing in self.pieces if not self.is_final(thing))
        yield from (f"{thing} is off" for thing in self.off)
        yield from (f"{thing} hangs" for thing in self.hanging)
        yield from (f"{id} is drained" for id in self.drained)
        yield from (f"{end} is raised" for end in self.raised)

    def gate(self, id: str) -> Iterator[str]:
        """What is not in order of the things that a gate is about."""
        about = _named(self.file.get("gates", ()), id).get("about", ())
        yield from (f"{thing} is not final" for thing in self.pieces if thing[0] in about and not self.is_final(thing))
        yield from (f"{thing} is off" for thing in self.off if thing[0] in about)
        yield from (f"{thing} hangs" for thing in self.hanging if thing[0] in about)

    def loose(self) -> Iterator[str]:
        """The fasteners that are not final."""
        return (f"{thing} is loose" for thing in self.pieces if not self.is_final(thing))

    def _hindrances(self, step: Mapping[str, Any], side: Side) -> Iterator[bool]:
        puts_on = step.get("puts_on", ())
        for id in step.get("slackens", ()):
            yield any(piece is None for piece in self.state_of(id, side))
        for component in step.get("takes_off", ()):
            held = _named(self.file["components"], component).get("held_by", ())
            going = set(step.get("removes", ()))
            yield any(id not in going and any(p is not None for p in self.state_of(id, side)) for id in held)
        for id in step.get("fits", ()):
            yield self.lies_open(id, side, puts_on)
        if step.get("lowers"):
            needed = {one["id"] for one in self.file.get("components", ()) if one.get("needed_to_lower")}
            yield any(id in needed for id, _ in self.off)

    def can_establish(self, condition: str) -> bool:
        """Whether a condition can be so now: on its wheels, with every wheel on."""
        entry = _named(self.file.get("conditions", ()), condition)
        needed = {one["id"] for one in self.file.get("components", ()) if one.get("needed_to_lower")}
        on_wheels = not self.raised and not any(id in needed for id, _ in self.off)
        return on_wheels or not entry.get("ends_when_raised", True)

    def _stand(self, step: Mapping[str, Any]) -> None:
        if step.get("raises"):
            self.raised.add(step["raises"])
            ends = [one["id"] for one in self.file.get("conditions", ()) if one.get("ends_when_raised", True)]
            self.conditions -= set(ends)
        if step.get("lowers"):
            self.raised = set() if step["lowers"] == "vehicle" else self.raised - {step["lowers"]}
        self.conditions.discard(step.get("ends", ""))


def _named(entries: Sequence[Mapping[str, Any]], id: str) -> Mapping[str, Any]:
    return next(entry for entry in entries if entry["id"] == id)
