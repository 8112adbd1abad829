"""What a test needs of the machine: skipped with a visible reason, or failed where everything must be there."""

from __future__ import annotations

import os

import pytest


def skip_unless(present: bool, reason: str) -> None:
    """Skip the running test unless `present`; with SPAREHAND_REQUIRE_ALL=1 fail it instead."""
    if present:
        return
    if os.environ.get("SPAREHAND_REQUIRE_ALL") == "1":
        pytest.fail(f"required here, but missing: {reason}")
    pytest.skip(reason)
