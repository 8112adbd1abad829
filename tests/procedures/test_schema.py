"""The printed schema is one that an editor can use, and says the same as the reader."""

from __future__ import annotations

import json

import jsonschema
import pytest
from hypothesis import given, strategies as st

from procedures.seeding import DEMOS, Seed, demo_text, seeds
from sparehand.procedures.json_schema import DIALECT, json_schema
from sparehand.procedures.yaml_text import read_yaml

SCHEMA = json.loads(json_schema())
VALIDATOR = jsonschema.Draft202012Validator(SCHEMA)


def test_it_is_a_schema_of_draft_2020_12() -> None:
    assert SCHEMA["$schema"] == DIALECT
    jsonschema.Draft202012Validator.check_schema(SCHEMA)


@pytest.mark.parametrize("id", DEMOS)
def test_a_demo_procedure_follows_it(id: str) -> None:
    assert list(VALIDATOR.iter_errors(read_yaml(demo_text(id)).data)) == []


@pytest.mark.parametrize(
    "seed",
    [seed for seed in seeds() if seed.finding in ("wrong-value", "format-unknown")],
    ids=lambda seed: seed.line,
)
def test_what_the_reader_refuses_the_schema_refuses(seed: Seed) -> None:
    assert not VALIDATOR.is_valid(read_yaml(seed.text()).data)


@given(st.sampled_from(["N·m", "Nm", "N m", "lbf·ft", "lbf ft", "lbf·in", "kgf·m"]), st.integers(1, 400))
def test_a_torque_may_be_text_or_a_number_with_its_unit(unit: str, value: int) -> None:
    stage = jsonschema.Draft202012Validator({"$ref": "#/$defs/Stage", "$defs": SCHEMA["$defs"]})
    assert stage.is_valid({"torque": f"{value} {unit}"})
    assert stage.is_valid({"torque": {"value": value, "unit": "N·m"}})
    assert not stage.is_valid({"torque": str(value)})
