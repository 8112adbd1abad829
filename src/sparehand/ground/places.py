"""Where things lie on this machine: the data folder, and the files that come with Sparehand."""

from __future__ import annotations

import os
import sys
from contextlib import suppress
from pathlib import Path
from typing import Literal

import platformdirs

from sparehand.ground.errors import FailureError

Bundle = Literal["procedures", "models"]

LOG_FILE = "log.sqlite"
MODELS_FOLDER = "models"
"""What the log and the models are called within the data folder."""
GRAMMARS_FOLDER = ".grammars"
"""What is made of the models for the phrases and the talkers of a bench is called so, beside them."""

_OTHERS = 0o077
_OWN = (
    "log.*",
    "memos",
    "procedures",
    "shared",
    "settings.toml",
    "renamed-phases.json",
    "pseudonyms.key",
    "talkers.json",
)
_PACKAGE = Path(__file__).resolve().parents[1]


def data_folder(option: Path | None = None) -> Path:
    """The folder for log, models and settings, made if need be.

    `option` comes first, then the environment's SPAREHAND_DATA, then the platform's user data folder. It is for its
    owner alone; one that was open to others is closed to them. Raises FailureError where it cannot be made.
    """
    folder = option or _from_environment() or platformdirs.user_data_path("sparehand", appauthor=False)
    folder = folder.expanduser().absolute()
    try:
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        if _close_to_others(folder):
            print(f"sparehand: {folder} could be read by others on this machine; it is closed now.", file=sys.stderr)
    except OSError as error:
        raise FailureError(
            f"the data folder {folder} cannot be made ({error.strerror}); name another with --data or SPAREHAND_DATA"
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


def _close_to_others(folder: Path) -> bool:
    """Take the rights of others away from a data folder of this user and what it holds; whether there were any.

    The models are published files and stay as they are, and so does what another program keeps in the folder.
    """
    log = folder / LOG_FILE
    if os.name == "nt" or not log.exists() or not (folder.stat().st_mode | log.stat().st_mode) & _OTHERS:
        return False
    ours = [path for name in _OWN for path in folder.glob(name)]
    closed = False
    for path in (folder, *ours, *(path for each in ours for path in each.rglob("*"))):
        # A folder that cannot be written, and one of another user, is read as it is.
        with suppress(OSError):
            mode = path.stat().st_mode
            if mode & _OTHERS and not path.is_symlink():
                path.chmod(mode & ~_OTHERS & 0o7777)
                closed = True
    return closed


def _from_environment() -> Path | None:
    named = os.environ.get("SPAREHAND_DATA", "").strip()
    return Path(named) if named else None
