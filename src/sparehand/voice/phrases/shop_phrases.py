"""A shop's own wordings: a small file that renames phrases or adds to them, checked before it is used."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from pathlib import Path

from pydantic import BaseModel, ConfigDict, Field

from sparehand.ground.errors import InputError
from sparehand.ground.toml_file import read_toml
from sparehand.voice.phrases.phrase_file import check_clashes
from sparehand.voice.phrases.phrase_table import Pattern, PhraseTable
from sparehand.voice.phrases.soundalike import sound_alikes, words_without_pronunciation

PAIRS_LISTED = 3
HOLDS = "it holds [instead], [also] and [pronunciations], each wording in a list"


class _OwnFile(BaseModel):
    model_config = ConfigDict(extra="forbid")

    instead: dict[str, tuple[str, ...]] = Field(default_factory=dict)
    also: dict[str, tuple[str, ...]] = Field(default_factory=dict)
    pronunciations: dict[str, str] = Field(default_factory=dict)


def with_own_phrases(table: PhraseTable, file: Path) -> PhraseTable:
    """`table` with the wordings of `file`: `[instead]` takes the place of a phrase, `[also]` is added to it.

    Raises InputError for a file that cannot be read, a phrase that there is not, a wording with other open places,
    two meanings of one text, a word that cannot be pronounced, and wordings that sound like another phrase.
    """
    own = read_toml(file, _OwnFile, "phrase file", lambda _: HOLDS)
    patterns = tuple(_reworded(table.patterns, own, file))
    pronunciations = {**table.pronunciations, **own.pronunciations}
    changed = replace(table, patterns=patterns, pronunciations=pronunciations)
    check_clashes(changed)
    _check_words(changed, file)
    _check_sounds(changed, frozenset(_wordings(own)), file)
    return changed


def _reworded(patterns: tuple[Pattern, ...], own: _OwnFile, file: Path) -> Iterator[Pattern]:
    """Each pattern as the file leaves it, new wordings where the one they are for stands."""
    there = {pattern.phrase for pattern in patterns}
    for phrase in (*own.instead, *own.also):
        if phrase not in there:
            raise InputError(f"the phrase file {file}: there is no phrase '{phrase}'; see `sparehand phrases`")
    for pattern in patterns:
        new = own.instead.get(pattern.phrase)
        if new is None:
            yield pattern
        for place, wording in enumerate(new or ()):
            yield _worded(pattern, wording, file, main=pattern.main and place == 0)
        for wording in own.also.get(pattern.phrase, ()):
            yield _worded(pattern, wording, file, main=False)


def _worded(pattern: Pattern, wording: str, file: Path, *, main: bool) -> Pattern:
    reworded = replace(pattern, phrase=" ".join(wording.lower().split()), main=main)
    if not reworded.parts or reworded.slots != pattern.slots:
        places = " ".join(f"{{{slot}}}" for slot in pattern.slots) or "none"
        message = f"'{wording}' stands for '{pattern.phrase}' and wants the same open places: {places}"
        raise InputError(f"the phrase file {file}: {message}; mend it there")
    return reworded


def _wordings(own: _OwnFile) -> Iterator[str]:
    kinds: tuple[Mapping[str, tuple[str, ...]], ...] = (own.instead, own.also)
    for kind in kinds:
        for wordings in kind.values():
            yield from (" ".join(wording.lower().split()) for wording in wordings)


def _check_words(table: PhraseTable, file: Path) -> None:
    if unknown := words_without_pronunciation(table.words(), table.pronunciations):
        words = ", ".join(f"'{word}'" for word in unknown)
        raise InputError(
            f"the phrase file {file}: the recogniser does not know {words}; say it in other words, or add it under "
            "[pronunciations]"
        )


def _check_sounds(table: PhraseTable, own: frozenset[str], file: Path) -> None:
    pairs = sound_alikes(table, among=own)
    if pairs:
        listed = "; ".join(f"'{pair.first}' and '{pair.second}'" for pair in pairs[:PAIRS_LISTED])
        more = f", and {len(pairs) - PAIRS_LISTED} more" if len(pairs) > PAIRS_LISTED else ""
        raise InputError(f"the phrase file {file}: these sound alike: {listed}{more}; choose other words")
