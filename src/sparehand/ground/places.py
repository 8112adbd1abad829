"""Where things lie on this machine: the data folder, and the files that come with Sparehand."""

from __future__ import annotations

import os
import tempfile
from pathlib import Path
from typing import Literal

import platformdirs

from sparehand.ground.errors import FailureError

Bundle = Literal["procedures", "models"]

LOG_FILE = "log.sqlite"
MODELS_FOLDER = "models"
"""What the log and the models are called within the data folder."""

_PACKAGE = Path(__file__).resolve().parents[1]


def data_folder(option: Path | None = None) -> Path:
    """The folder for log, models and settings, made if need be.

    `option` comes first, then the environment's SPAREHAND_DATA, then the platform's user data folder.
    Raises FailureError where it cannot be made or written.
    """
    folder = option or _from_environment() or platformdirs.user_data_path("sparehand", appauthor=False)
    folder = folder.expanduser().absolute()
    try:
        folder.mkdir(parents=True, exist_ok=True)
        with tempfile.TemporaryFile(dir=folder):
            pass
    except OSError as error:
        raise FailureError(
            f"the data folder {folder} cannot be written ({error.strerror}); name another with --data or SPAREHAND_DATA"
        ) from error
    return folder


def bundled(kind: Bundle) -> Path:
    """The folder of the procedures or the model catalogue that come with Sparehand.

    In a wheel they are package data; in a source tree they lie at its top. Raises FailureError where they are missing.
    """
    for folder in (_PACKAGE / "data" / kind, _PACKAGE.parents[1] / kind):
        if folder.is_dir():
            return folder
    raise FailureError(f"the {kind} that come with Sparehand are missing beside {_PACKAGE}; install Sparehand again")


def _from_environment() -> Path | None:
    named = os.environ.get("SPAREHAND_DATA", "").strip()
    return Path(named) if named else None
