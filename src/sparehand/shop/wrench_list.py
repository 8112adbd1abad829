"""The shop's list of torque wrenches: `wrenches.toml` in the data folder, written and kept by hand."""

from __future__ import annotations

import tomllib
from pathlib import Path

from pydantic import BaseModel, ConfigDict, ValidationError

from sparehand.ground.bounds import first_problem
from sparehand.ground.errors import InputError
from sparehand.procedures.shop_wrenches import ShopWrench

WRENCHES_FILE = "wrenches.toml"


class _File(BaseModel):
    model_config = ConfigDict(extra="forbid")

    wrench: tuple[ShopWrench, ...] = ()


def load_wrenches(folder: Path) -> tuple[ShopWrench, ...]:
    """The wrenches of the data folder; none where there is no list. Raises InputError for a list that is wrong."""
    path = folder / WRENCHES_FILE
    if not path.exists():
        return ()
    try:
        listed = _File.model_validate(tomllib.loads(path.read_text(encoding="utf-8"))).wrench
    except OSError as error:
        raise InputError(f"{path}: cannot be read ({error.strerror}); mend its permissions") from error
    except (tomllib.TOMLDecodeError, UnicodeDecodeError, RecursionError) as error:
        raise InputError(f"{path}: this is no TOML text: {error}; mend it there") from error
    except ValidationError as error:
        raise InputError(f"{path}: {first_problem(error)}; see the manual under Wrenches") from error
    names = [wrench.name for wrench in listed]
    twice = next((name for name in names if names.count(name) > 1), None)
    if twice:
        raise InputError(f"{path}: two wrenches are called '{twice}'; give each a name of its own")
    return listed
