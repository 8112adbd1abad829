"""Alternatives within a procedure: another way past the same phase, with what it costs and what it brings."""

from __future__ import annotations

from pydantic import Field

from sparehand.procedures.record import Id, Record, Text


class Way(Record):
    """One of the ways that a phase offers.

    `consequence` is read when the choice is asked for, such as "quicker, but the wheels are aligned after it". `phases`
    come after the one that offers the way and are done where it is chosen; `follow_ups` are those that it adds.
    """

    id: Id
    title: Text
    spoken: tuple[Text, ...] = ()
    consequence: Text
    phases: tuple[Id, ...] = Field(min_length=1)
    follow_ups: tuple[Id, ...] = ()
