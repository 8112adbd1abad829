"""What to have at hand before starting: tools and sizes, parts, consumables and wrenches of one run."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from sparehand.procedures.labels import drive_label, plural_of
from sparehand.procedures.model import Fastener, Item, Step, Tool
from sparehand.procedures.plan import RunPlan
from sparehand.procedures.quantities import TorqueValue


@dataclass(frozen=True)
class KitSize:
    """A size of socket or key, and the fasteners that it drives or holds."""

    size: str
    for_fasteners: tuple[str, ...]


@dataclass(frozen=True)
class KitItem:
    """A part or a consumable with the count that this run needs."""

    item: Item
    quantity: int

    @property
    def label(self) -> str:
        """For a list: "6 joint bolts"."""
        return f"{self.quantity} {self.item.name if self.quantity == 1 else plural_of(self.item)}"


@dataclass(frozen=True)
class KitWrench:
    """A torque wrench, with the least and the greatest torque that this run asks of it."""

    tool: Tool
    least: TorqueValue
    greatest: TorqueValue


@dataclass(frozen=True)
class Kit:
    """Everything a run needs. What fitted last time is the shop's experience and is added by whoever shows the kit."""

    tools: tuple[Tool, ...]
    drive_sizes: tuple[KitSize, ...]
    counter_hold_sizes: tuple[KitSize, ...]
    wrenches: tuple[KitWrench, ...]
    parts: tuple[KitItem, ...]
    consumables: tuple[KitItem, ...]


def kit(plan: RunPlan) -> Kit:
    """The kit of a run, for its operations and sides.

    A part that names operations is needed for those; one that some step of the procedure uses is needed where such a
    step is in the run; any other is needed always.
    """
    steps = tuple(step for planned in plan.phases for step in planned.phase.steps)
    fasteners = _fasteners(plan, steps)
    wrenches = tuple(_wrenches(plan, fasteners))
    listed = {wrench.tool.id for wrench in wrenches}
    used = {id for step in steps for id in step.tools}
    return Kit(
        tools=tuple(tool for tool in plan.procedure.tools if tool.id in used - listed),
        drive_sizes=_sizes((drive_label(fastener), fastener) for fastener in fasteners),
        counter_hold_sizes=_sizes((_hold_size(fastener), fastener) for fastener in fasteners),
        wrenches=wrenches,
        parts=_needed(plan, plan.procedure.parts, steps, ("renews",)),
        consumables=_needed(plan, plan.procedure.consumables, steps, ("uses", "fills", "drains")),
    )


def _fasteners(plan: RunPlan, steps: tuple[Step, ...]) -> tuple[Fastener, ...]:
    touched = {id for step in steps for id in (*step.slackens, *step.removes, *step.fits, *step.tightens)}
    return tuple(fastener for fastener in plan.procedure.fasteners if fastener.id in touched)


def _sizes(sized: Iterator[tuple[str | None, Fastener]]) -> tuple[KitSize, ...]:
    by_size: dict[str, list[str]] = {}
    for size, fastener in sized:
        if size is not None:
            by_size.setdefault(size, []).append(fastener.name)
    return tuple(
        KitSize(size, tuple(names)) for size, names in sorted(by_size.items(), key=lambda entry: _order(entry[0]))
    )


def _order(size: str) -> tuple[float, str]:
    number = size.removesuffix(" mm")
    return (float(number), "") if number != size else (float("inf"), size)


def _hold_size(fastener: Fastener) -> str | None:
    return f"{fastener.counter_hold.size_mm:g} mm" if fastener.counter_hold is not None else None


def _wrenches(plan: RunPlan, fasteners: tuple[Fastener, ...]) -> Iterator[KitWrench]:
    for tool in plan.procedure.tools:
        torques = [
            stage.torque
            for fastener in fasteners
            if fastener.wrench == tool.id
            for stage in fastener.tightening
            if stage.torque is not None
        ]
        if torques:
            torques.sort(key=lambda torque: torque.newton_metres)
            yield KitWrench(tool, torques[0], torques[-1])


def _needed(
    plan: RunPlan, items: tuple[Item, ...], steps: tuple[Step, ...], fields: tuple[str, ...]
) -> tuple[KitItem, ...]:
    in_run = _named_by(steps, fields)
    anywhere = _named_by(tuple(step for phase in plan.procedure.phases for step in phase.steps), fields)
    needed = []
    for item in items:
        if item.operations:
            wanted = not set(item.operations).isdisjoint(plan.operations)
        else:
            wanted = item.id in in_run or item.id not in anywhere
        if wanted:
            sides = max(1, len(plan.sides)) if item.per_side else 1
            needed.append(KitItem(item, item.quantity * sides))
    return tuple(needed)


def _named_by(steps: tuple[Step, ...], fields: tuple[str, ...]) -> frozenset[str]:
    return frozenset(id for step in steps for field in fields for id in getattr(step, field))
