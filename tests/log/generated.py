"""Generated events: every class of event, discovered, with values drawn by the types of its fields."""

from __future__ import annotations

import dataclasses
from datetime import date, datetime, timedelta, timezone
from decimal import Decimal
from types import NoneType, UnionType
from typing import Annotated, Any, Literal, Union, cast, get_args, get_origin, get_type_hints
from uuid import UUID

from annotated_types import Ge, Gt, Le, MinLen
from hypothesis import strategies as st
from pydantic import AfterValidator, BaseModel, StringConstraints

from log.demo import PROCEDURE
from sparehand.ground.clock import Moment
from sparehand.ground.terminal import printable
from sparehand.job.events import Event, Fact, JobOpened, Recorded
from sparehand.procedures.model import Procedure

EVENT_CLASSES: tuple[type[Fact], ...] = get_args(get_args(Event)[0])
"""Every class of event there is."""

_TEXT = st.text(st.characters(codec="utf-8"), max_size=12)
_NAMES = st.text(max_size=12).map(printable)
_ZONES = st.integers(-14 * 60, 14 * 60).map(lambda minutes: timezone(timedelta(minutes=minutes)))
_WALLS = st.datetimes(min_value=datetime(2001, 1, 1), max_value=datetime(2100, 1, 1), timezones=_ZONES)


def moments() -> st.SearchStrategy[Moment]:
    """Any reading of the clocks."""
    return st.builds(Moment, wall=_WALLS, steady_ms=st.integers(0, 2**53), run=_NAMES)


def events(kind: type[Fact] | None = None) -> st.SearchStrategy[Any]:
    """Any event, or any of one class."""
    return st.one_of([_of_model(one) for one in EVENT_CLASSES]) if kind is None else _of_model(kind)


def later_events() -> st.SearchStrategy[Any]:
    """Any event but an opening."""
    return st.one_of([_of_model(one) for one in EVENT_CLASSES if one is not JobOpened])


@st.composite
def histories(draw: st.DrawFn, job: str = "261125-k7qm", at_most: int = 6) -> tuple[Recorded, ...]:
    """A job's events as a log may hold them: an opening, then anything, each with any envelope."""
    told = [draw(events(JobOpened)), *draw(st.lists(later_events(), max_size=at_most - 1))]
    ids = draw(st.lists(st.uuids(version=4), min_size=len(told), max_size=len(told), unique=True))
    return tuple(
        Recorded(
            id=ids[place],
            job=job,
            sequence=place,
            batch=draw(st.integers(0, place)),
            at=draw(moments()),
            bench=draw(_NAMES),
            technician=draw(_NAMES),
            event=event,
        )
        for place, event in enumerate(told)
    )


def _of_model(model: type[Any]) -> st.SearchStrategy[Any]:
    if model is Procedure:
        return st.just(PROCEDURE)
    fields = {name: _of(field.annotation, tuple(field.metadata)) for name, field in model.model_fields.items()}
    return st.builds(model, **fields)


def _of(kind: Any, limits: tuple[object, ...] = ()) -> st.SearchStrategy[Any]:
    origin, within = get_origin(kind), get_args(kind)
    if origin is Annotated:
        return _of(within[0], tuple(limit for one in within[1:] for limit in getattr(one, "metadata", (one,))))
    if origin is Literal:
        return st.sampled_from(within)
    if origin in (Union, UnionType):
        return st.one_of([_of(one, limits) for one in within])
    if origin is tuple:
        return st.lists(_of(within[0]), min_size=_least_length(limits), max_size=3).map(tuple)
    if origin is dict:
        return st.dictionaries(_of(within[0]), _of(within[1]), max_size=3)
    if isinstance(kind, type) and issubclass(kind, BaseModel):
        return moments() if kind is Moment else _of_model(kind)
    if dataclasses.is_dataclass(kind):
        return st.builds(cast(type[Any], kind), **{name: _of(one) for name, one in get_type_hints(kind).items()})
    return _of_plain(kind, limits)


def _of_plain(kind: Any, limits: tuple[object, ...]) -> st.SearchStrategy[Any]:
    low: Any = next((limit.ge for limit in limits if isinstance(limit, Ge)), None)
    above: Any = next((limit.gt for limit in limits if isinstance(limit, Gt)), None)
    high: Any = next((limit.le for limit in limits if isinstance(limit, Le)), None)
    lowest = low if low is not None else above
    if kind is str and any(isinstance(limit, AfterValidator) for limit in limits):
        return _NAMES
    if kind is str:
        return _TEXT.filter(lambda text: len(text.strip()) >= _least_length(limits))
    if kind is float:
        return st.floats(lowest, high, width=64, exclude_min=above is not None, allow_nan=False, allow_infinity=False)
    if kind is int:
        least = lowest if lowest is not None else -(2**53)
        return st.integers(least + 1 if above is not None else least, high)
    money = st.decimals(0, 10**6, allow_nan=False, allow_infinity=False, places=2)
    plain = {Decimal: money, bool: st.booleans(), NoneType: st.none(), datetime: _WALLS, UUID: st.uuids(version=4)}
    return st.dates() if kind is date else plain[kind]


def _least_length(limits: tuple[object, ...]) -> int:
    return max((limit.min_length or 0 for limit in limits if isinstance(limit, MinLen | StringConstraints)), default=0)
