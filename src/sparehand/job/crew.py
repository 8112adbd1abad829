"""Who is on a job, who of them speaks, and who has stopped for what. One microphone does not tell voices apart."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

from sparehand.job.events import HoldReason

OWN_REASONS: frozenset[HoldReason] = frozenset({"phone", "break", "helping", "other job"})
"""What stops only the technician who says it. The other reasons lie in the job and stop everybody on it."""


@dataclass(frozen=True)
class Member:
    """A technician on the job, and what for that one has stopped."""

    name: str
    hold: HoldReason | None = None


@dataclass(frozen=True)
class Crew:
    """Everybody on the job, in the order of joining; `acting` is who speaks."""

    members: tuple[Member, ...]
    acting: str

    @classmethod
    def of(cls, technician: str) -> Crew:
        """One technician, who acts."""
        return cls((Member(technician),), technician)

    @property
    def names(self) -> tuple[str, ...]:
        """The names of everybody on the job."""
        return tuple(member.name for member in self.members)

    @property
    def hold(self) -> HoldReason | None:
        """What the acting technician has stopped for."""
        return next((member.hold for member in self.members if member.name == self.acting), None)

    def stopped(self, reason: HoldReason) -> Crew:
        """Everybody, or only the acting technician, has stopped for `reason`; who has stopped already keeps theirs."""
        return self._changed(
            lambda member: (
                replace(member, hold=reason)
                if member.name == self.acting or (reason not in OWN_REASONS and member.hold is None)
                else member
            )
        )

    def working(self) -> Crew:
        """The acting technician works again, and so does whoever had stopped for the same reason in the job."""
        shared = self.hold if self.hold not in OWN_REASONS else None
        return self._changed(
            lambda member: (
                replace(member, hold=None)
                if member.name == self.acting or (shared is not None and member.hold == shared)
                else member
            )
        )

    def joined(self, name: str) -> Crew:
        """One more, at work."""
        return self if name in self.names else replace(self, members=(*self.members, Member(name)))

    def left(self, name: str) -> Crew:
        """One fewer; where that one acted, the first of the others acts."""
        members = tuple(member for member in self.members if member.name != name)
        acting = members[0].name if members and self.acting == name else self.acting
        return Crew(members, acting)

    def led_by(self, name: str) -> Crew:
        """The same crew with another one acting."""
        return replace(self, acting=name)

    def _changed(self, change: Callable[[Member], Member]) -> Crew:
        return replace(self, members=tuple(change(member) for member in self.members))
