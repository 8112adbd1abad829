"""The demo procedures can be called by voice: every word of a spoken name is in the recogniser's dictionary."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pocketsphinx
import pytest

from procedures.seeding import DEMOS, demo
from sparehand.procedures.model import Operation, Phase


@cache
def _dictionary() -> frozenset[str]:
    text = Path(pocketsphinx.get_model_path("en-us/cmudict-en-us.dict")).read_text(encoding="utf-8")
    return frozenset(line.split(maxsplit=1)[0] for line in text.splitlines() if line)


@pytest.mark.parametrize("id", DEMOS)
def test_every_operation_and_phase_has_a_spoken_name_of_known_words(id: str) -> None:
    procedure = demo(id).procedure
    named: tuple[Operation | Phase, ...] = (*procedure.operations, *procedure.phases)
    for item in named:
        assert item.spoken, item.id
        assert {word for name in item.spoken for word in name.split()} <= _dictionary()
