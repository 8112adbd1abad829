"""The kit of a run as plain lines, to read before starting."""

from __future__ import annotations

from collections.abc import Iterable

from sparehand.procedures.kit import Kit, KitItem, KitSize
from sparehand.procedures.wording import torque_shown


def kit_lines(kit: Kit, at_the_press: Iterable[str] = ()) -> tuple[str, ...]:
    """Each kind of thing under its heading; nothing for a kind that the run does not need.

    `at_the_press` are notes of which adapters fitted in earlier jobs.
    """
    return (
        *_under("Tools", (f"{tool.name}{f', {tool.size}' if tool.size else ''}" for tool in kit.tools)),
        *_under("Sizes to turn", map(_size, kit.drive_sizes)),
        *_under("Sizes to hold", map(_size, kit.counter_hold_sizes)),
        *_under(
            "Torque wrenches",
            (
                f"{each.tool.name}, for {torque_shown(each.least)} to {torque_shown(each.greatest)}"
                for each in kit.wrenches
            ),
        ),
        *_under("Parts", map(_item, kit.parts)),
        *_under("Consumables", map(_item, kit.consumables)),
        *_under("At the press in earlier jobs (notes, no specifications)", at_the_press),
    )


def _under(heading: str, lines: Iterable[str]) -> tuple[str, ...]:
    listed = tuple(f"  {line}" for line in lines)
    return (heading, *listed) if listed else ()


def _size(size: KitSize) -> str:
    return f"{size.size}: {', '.join(size.for_fasteners)}"


def _item(item: KitItem) -> str:
    number = f", {item.item.number}" if item.item.number else ""
    return f"{item.label}{number}{', use-once' if item.item.use_once else ''}"
