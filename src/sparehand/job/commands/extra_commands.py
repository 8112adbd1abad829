"""Work that is added to a job or dropped from it after the opening."""

from __future__ import annotations

from dataclasses import dataclass

from sparehand.job.events import ApprovalWay, Approver


@dataclass(frozen=True)
class AddOperation:
    """Propose one more operation of the procedure, by its id."""

    operation: str


@dataclass(frozen=True)
class Approve:
    """The proposed operation was approved."""

    by: Approver
    way: ApprovalWay


@dataclass(frozen=True)
class LimitApproval:
    """The approval just given holds up to an amount, as its digits were heard."""

    digits: str


@dataclass(frozen=True)
class Decline:
    """The proposed operation is not wanted."""

    by: Approver


@dataclass(frozen=True)
class DropOperation:
    """Do an operation of the job no longer, by its id."""

    operation: str


ExtraCommand = AddOperation | Approve | LimitApproval | Decline | DropOperation
