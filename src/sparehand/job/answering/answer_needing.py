"""What this job needs at hand, in the words of a list: sizes, wrenches, tools, parts and consumables."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from sparehand.job.answer import Line, plain, quantity, together
from sparehand.job.state import JobState
from sparehand.procedures import wording
from sparehand.procedures.kit import KitItem, KitSize, KitWrench, kit
from sparehand.procedures.plan import RunPlan, plan_run
from sparehand.procedures.wording import number_spoken


def needed(state: JobState) -> tuple[Line, ...]:
    """Everything to have at hand for the job as it is planned now."""
    needs = kit(state.plan if state.progress.ways else _with_every_way(state))
    lines = (
        _sizes("Sockets: ", needs.drive_sizes),
        _sizes("To hold: ", needs.counter_hold_sizes),
        *(_wrench(wrench) for wrench in needs.wrenches),
        _listed("Tools: ", (tool.name for tool in needs.tools)),
        _items("Parts: ", needs.parts),
        _items("And: ", needs.consumables),
    )
    listed = tuple(line.of_entries(1) for line in lines if line is not None)
    return listed or (plain("Nothing is listed for this job."),)


def _with_every_way(state: JobState) -> RunPlan:
    """The run with all the ways that may still be chosen."""
    return plan_run(state.plan.procedure, state.plan.operations, state.plan.sides, state.progress.keeps, ways=None)


def _sizes(head: str, sizes: tuple[KitSize, ...]) -> Line | None:
    """Sizes with numbers digit by digit and their unit once, after them those in words."""
    if not sizes:
        return None
    numbers = [size.size.removesuffix(" mm") for size in sizes if size.size.endswith(" mm")]
    named = [Line(wording.label_spoken(size.size), size.size) for size in sizes if not size.size.endswith(" mm")]
    spoken, shown = ", ".join(map(wording.digits_spoken, numbers)), ", ".join(numbers)
    measured = [Line(f"{spoken} millimetres", f"{shown} mm")] if numbers else []
    return together((*measured, *named), ", ").framed(head, ".")


def _wrench(wrench: KitWrench) -> Line:
    unit = "" if wrench.least.unit == wrench.greatest.unit else wrench.least.unit
    least, most = quantity(wrench.least.value, unit), quantity(wrench.greatest.value, wrench.greatest.unit)
    span = most if wrench.least == wrench.greatest else together((least, most), " to ")
    return span.framed(f"{wrench.tool.name}, for ", ".").shortened(f"{wrench.tool.name}.")


def _listed(head: str, names: Iterable[str]) -> Line | None:
    found = tuple(names)
    return plain(f"{head}{wording.listed(found)}.") if found else None


def _items(head: str, items: tuple[KitItem, ...]) -> Line | None:
    return together(_counted(items), ", ").framed(head, ".") if items else None


def _counted(items: tuple[KitItem, ...]) -> Iterator[Line]:
    for item in items:
        shown = item.label
        name = shown.removeprefix(f"{item.quantity} ")
        once = ", use-once" if item.item.use_once else ""
        yield Line(f"{number_spoken(item.quantity)} {name}{once}", f"{shown}{once}")
