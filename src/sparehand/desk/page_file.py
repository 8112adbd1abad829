"""Writing a page to a file."""

from __future__ import annotations

from pathlib import Path

from sparehand.ground.errors import FailureError


def write_page(path: Path, page: str) -> None:
    """Write a page. Raises FailureError where that is not possible."""
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(page, encoding="utf-8")
    except OSError as error:
        raise FailureError(f"{path} cannot be written ({error.strerror}); choose another place") from error
