"""Names for what is made: events, jobs, runs and people. The only place where they are drawn."""

from __future__ import annotations

import secrets
from uuid import UUID

from uuid6 import uuid7

from sparehand.ground.clock import Moment

_SAYABLE = "bcdfghjkmnpqrstvwxz2345679"
"""No vowels, so that no word comes out; nothing that looks or sounds like another digit."""


def new_event_id() -> UUID:
    """A UUID of version 7 (RFC 9562): it sorts by the time at which it was made."""
    return UUID(int=uuid7().int)


def new_job_id(moment: Moment) -> str:
    """A short name for a job that sorts by day and can be said aloud, such as `261125-k7qm`.

    Two jobs of one day draw the same name once in some hundred thousand; the store refuses a name it already has.
    """
    return f"{moment.wall:%y%m%d}-{''.join(secrets.choice(_SAYABLE) for _ in range(4))}"


def new_run_id() -> str:
    """A name for one start of the bench; steady time compares only within it."""
    return secrets.token_hex(4)


def new_person_id() -> str:
    """What stands for a person in everything that is kept; the name is in one table only."""
    return f"person-{secrets.token_hex(6)}"
