"""The kit holds what this run needs: no more, and for every side."""

from __future__ import annotations

import pytest

from procedures.seeding import DEMOS, demo
from sparehand.procedures.kit import Kit, kit
from sparehand.procedures.labels import counted, drive_label, named, thread_label
from sparehand.procedures.model import Side
from sparehand.procedures.plan import plan_run


def _kit(id: str, operations: tuple[str, ...], sides: tuple[Side, ...] = ()) -> Kit:
    return kit(plan_run(demo(id).procedure, operations, sides))


def _labels(found: Kit) -> list[str]:
    return [part.label for part in found.parts]


def test_parts_are_counted_for_every_side_and_marked_use_once() -> None:
    found = _kit("arm-joint", ("lower-joint",))
    assert _labels(found) == ["2 lower joints", "6 joint bolts", "2 clamp nuts", "2 upper link nuts"]
    assert all(part.item.use_once for part in found.parts)


def test_an_operation_brings_only_its_own_parts_and_consumables() -> None:
    link = _kit("arm-joint", ("roll-link",), ("left",))
    assert _labels(link) == ["1 roll link", "1 upper link nut"]
    assert link.consumables == ()
    joint = _kit("arm-joint", ("lower-joint",), ("left",))
    assert [item.item.name for item in joint.consumables] == ["penetrating oil", "paint pen"]


def test_a_drained_fluid_is_among_the_consumables_only_where_it_is_drained() -> None:
    assert "coolant" in {item.item.id for item in _kit("belt-drive-locking-tools", ("water-pump",)).consumables}
    assert _kit("belt-drive-locking-tools", ("timing-belt",)).consumables == ()


def test_sizes_name_their_fasteners_smallest_first() -> None:
    found = _kit("arm-joint", ("roll-link",), ("left",))
    assert [(size.size, size.for_fasteners) for size in found.drive_sizes] == [
        ("15 mm", ("upper link nut",)),
        ("16 mm", ("lower link bolt",)),
        ("17 mm", ("wheel bolt",)),
    ]
    assert [size.size for size in found.counter_hold_sizes] == ["6 mm", "16 mm"]


def test_a_wrench_is_listed_with_the_range_it_is_asked_for() -> None:
    [small, large] = _kit("brake-discs-epb", ("brake-discs",)).wrenches
    assert (small.tool.id, small.least.value, small.greatest.unit) == ("small-wrench", 70, "lbf·in")
    assert (large.least.value, large.greatest.value) == (24, 115)


@pytest.mark.parametrize("id", DEMOS)
def test_every_tool_of_a_demo_procedure_is_needed_by_some_run(id: str) -> None:
    procedure = demo(id).procedure
    found = kit(plan_run(procedure, ways=None))
    listed = {tool.id for tool in found.tools} | {wrench.tool.id for wrench in found.wrenches}
    assert listed == {tool.id for tool in procedure.tools}


def test_labels_count_and_size_a_fastener() -> None:
    procedure = demo("arm-joint").procedure
    wheel, cam, nut = (procedure.fastener(id) for id in ("wheel-bolts", "cam-bolt", "link-nut"))
    assert (counted(wheel), counted(wheel, 1), counted(cam), named(wheel), named(cam)) == (
        "5 wheel bolts",
        "1 wheel bolt",
        "1 cam bolt",
        "wheel bolts",
        "cam bolt",
    )
    assert drive_label(nut) == "15 mm"
    assert thread_label(cam) == "M12x1.5, class 10.9"


def test_a_left_hand_thread_and_a_socket_head_are_said() -> None:
    idler = demo("belt-drive-locking-tools").procedure.fastener("idler-bolt")
    assert drive_label(idler) == "star 50"
    assert thread_label(idler) == "M10x1.25, class 8.8, left-hand"
