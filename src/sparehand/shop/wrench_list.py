"""The shop's list of torque wrenches: `wrenches.toml` in the data folder, written and kept by hand."""

from __future__ import annotations

from pathlib import Path

from pydantic import BaseModel, ConfigDict

from sparehand.ground.errors import InputError
from sparehand.ground.toml_file import read_toml
from sparehand.procedures.shop_wrenches import ShopWrench

WRENCHES_FILE = "wrenches.toml"


class _File(BaseModel):
    model_config = ConfigDict(extra="forbid")

    wrench: tuple[ShopWrench, ...] = ()


def load_wrenches(folder: Path) -> tuple[ShopWrench, ...]:
    """The wrenches of the data folder; none where there is no list. Raises InputError for a list that is wrong."""
    path = folder / WRENCHES_FILE
    listed = read_toml(path, _File, "list of wrenches", absent="").wrench
    names = [wrench.name for wrench in listed]
    twice = next((name for name in names if names.count(name) > 1), None)
    if twice:
        raise InputError(f"{path}: two wrenches are called '{twice}'; give each a name of its own")
    return listed
