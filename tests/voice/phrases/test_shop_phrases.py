"""A shop's own wordings: they mean what they stand for, and what would be misheard is refused with the pair."""

from __future__ import annotations

from pathlib import Path

import pytest

from sparehand.ground.errors import InputError
from sparehand.job import commands as c
from sparehand.job.situation import SITUATIONS
from sparehand.settings import Settings
from sparehand.setup.hearing_trials import phrase_table
from sparehand.voice.phrases.phrase_file import load_phrases
from sparehand.voice.phrases.phrase_table import PhraseTable
from sparehand.voice.phrases.shop_phrases import with_own_phrases

BUNDLED = load_phrases()


def reworded(folder: Path, text: str) -> PhraseTable:
    file = folder / "own.toml"
    file.write_text(text, encoding="utf-8")
    return with_own_phrases(BUNDLED, file)


def test_another_wording_stands_beside_the_first(tmp_path: Path) -> None:
    table = reworded(tmp_path, '[also]\n"next" = ["Carry on  now"]\n')
    assert table.command_for("carry on now", SITUATIONS) == c.Next()
    assert table.command_for("next", SITUATIONS) == c.Next()


def test_a_wording_may_take_the_place_of_another(tmp_path: Path) -> None:
    table = reworded(tmp_path, '[instead]\n"what is loose" = ["name the open bolts"]\n')
    assert table.command_for("name the open bolts", SITUATIONS) == c.WhatIsLoose()
    assert table.command_for("what is loose", SITUATIONS) is None
    (main,) = [pattern for pattern in table.patterns if pattern.command == "WhatIsLoose" and pattern.main]
    assert main.phrase == "name the open bolts"


def test_an_open_place_stays_open(tmp_path: Path) -> None:
    table = reworded(tmp_path, '[also]\n"mark done {count}" = ["all done {count}"]\n')
    assert table.command_for("all done three", SITUATIONS) == c.MarkDone(3)


@pytest.mark.parametrize(
    ("text", "complaint"),
    [
        ('[also]\n"dance" = ["waltz now"]\n', "there is no phrase 'dance'"),
        ('[also]\n"next" = ["undo that"]\n', "'undo that' means two things"),
        ('[also]\n"next" = ["go {count}"]\n', "wants the same open places: none"),
        ('[also]\n"mark done {count}" = ["all done"]\n', "the same open places: {count}"),
        ('[also]\n"next" = ["zwybrixo now"]\n', "the recogniser does not know 'zwybrixo'"),
        ('[also]\n"next" = ["park done"]\n', "these sound alike: .*'park done'"),
        ('[also]\n"next" = "carry on"\n', "each wording in a list"),
        ('[also]\n"next" = [""]\n', "open places"),
        ("[colours]\n", "each wording in a list"),
        ("[also", "is a TOML file"),
    ],
)
def test_what_would_be_misheard_or_means_nothing_is_refused_in_one_line(
    tmp_path: Path, text: str, complaint: str
) -> None:
    with pytest.raises(InputError, match=complaint) as refusal:
        reworded(tmp_path, text)
    assert "\n" not in str(refusal.value)


def test_both_of_a_pair_that_sounds_alike_are_named(tmp_path: Path) -> None:
    with pytest.raises(InputError, match=r"'mark done' and 'park done'|'park done' and 'mark done'"):
        reworded(tmp_path, '[also]\n"next" = ["park done"]\n')


def test_a_word_with_its_own_pronunciation_is_known(tmp_path: Path) -> None:
    table = reworded(
        tmp_path, '[also]\n"next" = ["zwybrixo now"]\n[pronunciations]\nzwybrixo = "Z W AY B R IH K S OW"\n'
    )
    assert table.command_for("zwybrixo now", SITUATIONS) == c.Next()


def test_the_file_of_the_settings_is_told_from_the_data_folder(tmp_path: Path) -> None:
    (tmp_path / "own.toml").write_text('[also]\n"next" = ["carry on now"]\n', encoding="utf-8")
    settings = Settings(phrase_file="own.toml", call_word="bench mate")
    table = phrase_table(settings, tmp_path)
    assert table.command_for("carry on now", SITUATIONS) == c.Next()
    assert table.call_word == "bench mate"


def test_a_missing_file_is_one_line(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="cannot be read"):
        phrase_table(Settings(), tmp_path, tmp_path / "none.toml")
