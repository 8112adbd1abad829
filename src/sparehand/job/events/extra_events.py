"""What the job comes to contain after it was opened: extra work and who allowed it, and what was dropped."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from sparehand.job.events.words_events import ApprovalWay, Approver, Fact
from sparehand.procedures.plan import StepKey


class ExtraWorkProposed(Fact):
    """An operation of the procedure was found to be needed; it waits for somebody's word."""

    kind: Literal["extra work proposed"] = "extra work proposed"
    operation: str


class ExtraWorkApproved(Fact):
    """The operation is part of the job from now on."""

    kind: Literal["extra work approved"] = "extra work approved"
    operation: str
    by: Approver
    way: ApprovalWay


class ApprovalLimited(Fact):
    """The approval holds up to an amount, in the money of the shop."""

    kind: Literal["approval limited"] = "approval limited"
    operation: str
    amount: float = Field(ge=0, le=1e9)


class ExtraWorkDeclined(Fact):
    """The operation was proposed and is not wanted."""

    kind: Literal["extra work declined"] = "extra work declined"
    operation: str
    by: Approver


class OperationDropped(Fact):
    """The operation is no longer done.

    `keeps` are those of its steps that stay: done already, or putting back what is apart.
    """

    kind: Literal["operation dropped"] = "operation dropped"
    operation: str
    keeps: tuple[StepKey, ...] = ()


ExtraEvent = ExtraWorkProposed | ExtraWorkApproved | ApprovalLimited | ExtraWorkDeclined | OperationDropped
