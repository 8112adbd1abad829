"""What the job comes to contain after it was opened: extra work and who allowed it, and what was dropped."""

from __future__ import annotations

from typing import Literal
from uuid import UUID

from pydantic import Field

from sparehand.job.events.words_events import ApprovalWay, Approver, Fact
from sparehand.procedures.model import Procedure, Side
from sparehand.procedures.plan import StepKey


class ExtraWorkProposed(Fact):
    """An operation was found to be needed; it waits for somebody's word.

    One of another procedure is named `PROCEDURE.OPERATION` and has its `title` with it; `side` is where it is needed.
    """

    kind: Literal["extra work proposed"] = "extra work proposed"
    operation: str
    title: str = ""
    side: Side | None = None


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


class ProcedureJoined(Fact):
    """Another procedure is a second plan of the job from now on, done on `sides`; all its ids have its own before them.

    The procedure is part of the event, as that of the opening is.
    """

    kind: Literal["procedure joined"] = "procedure joined"
    procedure: Procedure
    procedure_sha256: str
    sides: tuple[Side, ...] = ()
    pictures: dict[str, UUID] = Field(default_factory=dict)


class ThingsAreOne(Fact):
    """What is called alike in the procedure that joined last and in those before is one on the vehicle."""

    kind: Literal["things are one"] = "things are one"
    procedure: str


ExtraEvent = (
    ProcedureJoined
    | ThingsAreOne
    | ExtraWorkProposed
    | ExtraWorkApproved
    | ApprovalLimited
    | ExtraWorkDeclined
    | OperationDropped
)
