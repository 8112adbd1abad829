"""Every class of event is written down and read back equal; old versions are lifted; foreign ones are refused."""

from __future__ import annotations

import json
from typing import Any
from uuid import UUID

import pytest
from hypothesis import given, settings, strategies as st

from log.demo import opening, recorded
from log.generated import EVENT_CLASSES, events, moments
from sparehand.job.events import ConditionsSeen, DistanceUnit, Fact, Recorded, Vehicle
from sparehand.log.store import DamagedLogError
from sparehand.log.wire import canonical, from_wire, to_wire


@pytest.mark.parametrize("kind", EVENT_CLASSES, ids=lambda kind: kind.__name__)
@given(data=st.data())
@settings(max_examples=8, deadline=None)
def test_every_class_of_event_reads_back_equal_and_writes_the_same_again(kind: type[Fact], data: st.DataObject) -> None:
    one = Recorded(
        id=UUID(int=1),
        job="261125-k7qm",
        sequence=3,
        batch=2,
        at=data.draw(moments()),
        bench="bench 1",
        technician="Ida Demo",
        event=data.draw(events(kind)),
    )
    body = to_wire(one, str)
    assert from_wire(body, str) == one
    assert to_wire(from_wire(body, str), str) == body


@pytest.mark.parametrize("unit", ["km", "mi", None])
def test_an_odometer_without_a_unit_is_written_as_it_was_before_there_were_units(unit: DistanceUnit | None) -> None:
    vehicle = Vehicle(odometer=84_210, odometer_unit=unit)
    seen = ConditionsSeen(odometer=84_215, odometer_unit=unit)
    for one in recorded("261125-k7qm", 0, opening().model_copy(update={"vehicle": vehicle}), seen):
        body = to_wire(one, str)
        assert ("odometer_unit" in body) == (unit is not None)
        assert from_wire(body, str) == one


def test_the_written_form_holds_ids_in_place_of_names() -> None:
    (one,) = recorded("261125-k7qm", 0, opening(technician="Ida Demo"))
    body = to_wire(one, lambda name: f"person-{len(name)}")
    assert "Ida" not in body
    assert from_wire(body, lambda id: {"person-8": "Ida Demo"}[id]) == one


def test_an_older_version_is_lifted_step_by_step_on_reading() -> None:
    def name_the_reason(written: dict[str, Any]) -> dict[str, Any]:
        return written | {"event": {"kind": "hold started", "reason": written["event"]["why"]}}

    def spell_it_out(written: dict[str, Any]) -> dict[str, Any]:
        return written | {"event": written["event"] | {"reason": "wrong part"}}

    (one,) = recorded("261125-k7qm", 0, opening())
    old = json.loads(to_wire(one, str)) | {"event": {"kind": "hold started", "why": "wp"}, "version": -1}
    lifts = {("hold started", -1): name_the_reason, ("hold started", 0): spell_it_out}
    lifted = from_wire(canonical(old), str, lifts)
    assert lifted.version == 1
    assert lifted.event.model_dump() == {"kind": "hold started", "reason": "wrong part"}


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"event": {"kind": "teleported"}}, "holds an event 'teleported', which a newer Sparehand wrote; update"),
        ({"mood": "fair"}, "holds a field 'mood', which a newer Sparehand wrote; update"),
        ({"sequence": -1}, "cannot be read .*sequence"),
    ],
)
def test_what_this_version_does_not_know_is_refused_in_one_line(change: dict[str, Any], says: str) -> None:
    (one,) = recorded("261125-k7qm", 0, opening())
    with pytest.raises(DamagedLogError, match=says) as caught:
        from_wire(canonical(json.loads(to_wire(one, str)) | change), str)
    assert "\n" not in str(caught.value)
    assert len(str(caught.value)) < 200
    with pytest.raises(DamagedLogError, match="cannot be read"):
        from_wire("{half", str)


def test_a_number_that_is_none_is_never_written() -> None:
    with pytest.raises(ValueError, match="JSON compliant"):
        canonical({"torque": float("nan")})
