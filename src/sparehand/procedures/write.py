"""A procedure as the text of a file: what `load` reads, with remarks beside the values they are about."""

from __future__ import annotations

import io
from collections.abc import Mapping
from typing import Any

from ruamel.yaml import YAML
from ruamel.yaml.comments import CommentedMap, CommentedSeq

from sparehand.procedures.model import Procedure
from sparehand.procedures.quantities import TorqueValue
from sparehand.procedures.wording import torque_shown
from sparehand.procedures.yaml_text import Keys

_WIDTH = 2_000


def procedure_text(procedure: Procedure, head: str = "", remarks: Mapping[Keys, str] | None = None) -> str:
    """The file of a procedure.

    `head` comes first, as comments. Each of `remarks` is written behind the value under its keys, which are those of
    `LoadedProcedure.position`.
    """
    data = _mapped(procedure.model_dump(exclude_defaults=True))
    for keys, remark in (remarks or {}).items():
        holder = data
        for key in keys[:-1]:
            holder = holder[key]
        holder.yaml_add_eol_comment(remark, keys[-1])
    written = io.StringIO()
    yaml = YAML()
    yaml.width = _WIDTH
    yaml.indent(mapping=2, sequence=4, offset=2)
    yaml.dump(data, written)
    comments = "".join(f"# {line}\n" for line in head.splitlines())
    return comments + written.getvalue()


def _mapped(value: Any) -> Any:
    """Plain data as it is best read in a file: torques in words, lists of names in one line."""
    if isinstance(value, dict):
        if set(value) == {"value", "unit"}:
            return torque_shown(TorqueValue.model_validate(value))
        return CommentedMap((key, _mapped(item)) for key, item in value.items())
    if isinstance(value, list | tuple):
        listed = CommentedSeq(_mapped(item) for item in value)
        if all(isinstance(item, str) for item in listed):
            listed.fa.set_flow_style()
        return listed
    return int(value) if isinstance(value, float) and value.is_integer() else value
