"""The models made for a phrase table are kept for next time, the newest of them."""

from __future__ import annotations

import os
from pathlib import Path

from sparehand.voice.phrase_file import load_phrases
from sparehand.voice.strict_model import GRAMMAR, KEPT_MODELS, SETTINGS, strict_model


def model(folder: Path) -> Path:
    """A folder like a publisher's model, unpacked long ago."""
    for name in (GRAMMAR, SETTINGS):
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_text("--beam=10\n")
    os.utime(folder, (1_000_000, 1_000_000))
    return folder


def test_a_model_just_made_stays_however_old_its_original_is(tmp_path):
    original, table = model(tmp_path / "english"), load_phrases()
    for number in range(KEPT_MODELS + 2):
        made = strict_model(
            original, tmp_path / "cache", table, f"recipe {number}", lambda path: path.write_text("grammar") and None
        )
        assert (made / GRAMMAR).read_text() == "grammar"
    assert len([path for path in (tmp_path / "cache").iterdir() if path.name[0] != "."]) == KEPT_MODELS


def test_a_model_made_before_is_used_again(tmp_path):
    original, table = model(tmp_path / "english"), load_phrases()
    made = [
        strict_model(original, tmp_path / "cache", table, "recipe", lambda path: path.write_text("grammar") and None)
        for _ in range(2)
    ]
    assert made[0] == made[1]
