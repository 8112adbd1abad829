"""What every test shares: no deadline, for a busy machine is no failure, and the same examples every time."""

from __future__ import annotations

from hypothesis import settings

settings.register_profile("sparehand", deadline=None, derandomize=True)
settings.load_profile("sparehand")
