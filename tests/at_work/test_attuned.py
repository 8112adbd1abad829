"""Who works alone is heard by what was learned of their voice, and works on where that is damaged."""

from __future__ import annotations

from pathlib import Path

import pytest

from sparehand.at_work.surroundings import attune
from sparehand.shop.talker_file import TALKERS_FILE, write_talker
from sparehand.voice.recognising.talker_profile import TalkerProfile
from voice.sounds import ScriptedRecogniser

LEARNED = TalkerProfile(heard_as={"done": ("dawn",)}, vowels=())


class Attuned(ScriptedRecogniser):
    talker: TalkerProfile | None = None

    def attune(self, talker: TalkerProfile | None) -> None:
        self.talker = talker


@pytest.mark.parametrize(
    ("crew", "heard_by"), [(("Ada Brook",), LEARNED), (("Ben Field",), None), (("Ada Brook", "Ben Field"), None)]
)
def test_it_counts_for_its_owner_alone(tmp_path: Path, crew: tuple[str, ...], heard_by: TalkerProfile | None) -> None:
    write_talker(tmp_path, "Ada Brook", LEARNED.model_dump())
    recogniser = Attuned()
    assert attune(recogniser, crew, tmp_path) == ""
    assert recogniser.talker == heard_by


@pytest.mark.parametrize("written", ["[", "[]", '{"Ada Brook": {"heard_as": 3}}'])
def test_damage_to_it_is_told_and_stops_no_work(tmp_path: Path, written: str) -> None:
    (tmp_path / TALKERS_FILE).write_text(written, "utf-8")
    recogniser = Attuned()
    assert attune(recogniser, ("Ada Brook",), tmp_path).startswith("You are heard as anybody is: ")
    assert recogniser.talker is None
