"""The procedure format as a JSON Schema, so that an editor completes and checks a file while it is written."""

from __future__ import annotations

import json

from sparehand.procedures.model import Procedure

DIALECT = "https://json-schema.org/draft/2020-12/schema"


def json_schema() -> str:
    """The schema (draft 2020-12) of a procedure file as indented JSON text."""
    schema = {"$schema": DIALECT, **Procedure.model_json_schema(mode="validation")}
    return json.dumps(schema, indent=2, ensure_ascii=False) + "\n"
