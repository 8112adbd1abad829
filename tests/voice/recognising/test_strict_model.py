"""The model of a phrase table is the publisher's but for grammar and settings, and is made once."""

from __future__ import annotations

from pathlib import Path

import pytest

from sparehand.voice.phrases.phrase_file import load_phrases
from sparehand.voice.recognising.strict_model import KEPT_MODELS, strict_model
from sparehand.voice.recognising.vocabulary import near_words, sound_of


@pytest.fixture
def published(tmp_path: Path) -> Path:
    for name, content in {
        "am/final.mdl": "sound",
        "graph/Gr.fst": "theirs",
        "conf/model.conf": "--beam=10.0\n--acoustic-scale=1.0\n--endpoint.rule2.min-trailing-silence=0.5\n",
    }.items():
        path = tmp_path / "english" / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(content, "utf-8")
    return tmp_path / "english"


def ours(path: Path) -> None:
    path.write_text("ours", "utf-8")


def test_grammar_and_settings_are_ours_and_the_rest_is_the_publishers(published: Path, tmp_path: Path) -> None:
    made = strict_model(published, tmp_path / "cache", load_phrases(), "recipe", ours)
    assert (made / "am/final.mdl").read_text("utf-8") == "sound"
    assert (made / "graph/Gr.fst").read_text("utf-8") == "ours"
    assert (published / "graph/Gr.fst").read_text("utf-8") == "theirs"
    settings = (made / "conf/model.conf").read_text("utf-8").splitlines()
    assert "--acoustic-scale=1.0" in settings
    assert "--endpoint.rule2.min-trailing-silence=0.5" not in settings
    assert sum(line.startswith("--beam=") for line in settings) == 1


def test_it_is_made_once_for_a_recipe_and_anew_for_another(published: Path, tmp_path: Path) -> None:
    made: list[Path] = []

    def write(path: Path) -> None:
        made.append(path)
        ours(path)

    table = load_phrases()
    places = {strict_model(published, tmp_path / "cache", table, recipe, write) for recipe in ("one", "one", "two")}
    assert (len(made), len(places)) == (2, 2)


def test_a_grammar_that_cannot_be_made_leaves_nothing(published: Path, tmp_path: Path) -> None:
    def fail(path: Path) -> None:
        ours(path)
        raise ValueError("half way")

    with pytest.raises(ValueError, match="half way"):
        strict_model(published, tmp_path / "cache", load_phrases(), "recipe", fail)
    assert list((tmp_path / "cache").iterdir()) == []


def test_only_the_latest_are_kept(published: Path, tmp_path: Path) -> None:
    for recipe in range(KEPT_MODELS + 3):
        latest = strict_model(published, tmp_path / "cache", load_phrases(), str(recipe), ours)
    kept = list((tmp_path / "cache").iterdir())
    assert len(kept) == KEPT_MODELS
    assert latest in kept


def test_near_words_are_like_in_spelling_and_sound() -> None:
    costs = {"caliper": 13.0, "caliber": 11.0, "weather": 8.0, "kelp": 12.0, "clipper": 12.0}
    assert near_words("calliper", costs)[0] == "caliper"
    assert "weather" not in near_words("calliper", costs)


def test_letters_of_like_sound_are_one() -> None:
    assert sound_of("kwick") == sound_of("quick".replace("qu", "kw"))
    assert sound_of("phone")[0] == "f"


def test_two_benches_may_make_it_at_the_same_time(published: Path, tmp_path: Path) -> None:
    def write(path: Path) -> None:
        other = strict_model(published, tmp_path / "cache", load_phrases(), "recipe", ours)
        (other / "made").write_text("by the other bench", "utf-8")
        ours(path)

    made = strict_model(published, tmp_path / "cache", load_phrases(), "recipe", write)
    assert (made / "made").read_text("utf-8") == "by the other bench"
    assert [path.name for path in (tmp_path / "cache").iterdir()] == [made.name]
