"""The lesson by which a talker is learned: twenty phrases, and a graph in which each word may be heard as others."""

from __future__ import annotations

import json
from collections.abc import Mapping
from functools import cached_property
from pathlib import Path

from sparehand.voice.phrases.phrase_table import PhraseTable
from sparehand.voice.recognising.decoys import all_sounds
from sparehand.voice.recognising.near_words import Pronunciations
from sparehand.voice.recognising.ngram import WordCosts
from sparehand.voice.recognising.openfst import WeightedArc, WordTables, read_tables, write_machine
from sparehand.voice.recognising.strict_model import GRAMMAR, strict_model
from sparehand.voice.recognising.talker_profile import Reading
from sparehand.voice.recognising.vosk_engine import loaded
from sparehand.voice.sound.samples import Samples, pcm_of

LESSON = (
    "next step", "mark done", "next phase", "go back", "skip this step", "undo that", "say again", "repeat torque",
    "what size", "what is loose", "which parts", "time check", "be quiet now", "hold for parts", "back to work",
    "start the timer", "warning understood", "condition worn", "new part fitted", "yes confirm",
)  # fmt: skip
"""Their words hold every vowel but that of "boy", most of them twice, and most words of the commonest commands."""
_WORDS = frozenset(word for phrase in LESSON for word in phrase.split())
MOST_READINGS = 60
_ANOTHER_WORD = 1.0
"""What another word costs in place of the phrase's own, so that it is heard only where it explains the sound better."""


class TalkerLesson:
    """What the model at `model_folder` hears in a phrase of LESSON. Raises InputError for a model that is not whole."""

    def __init__(self, model_folder: Path, cache_folder: Path, table: PhraseTable) -> None:
        """`cache_folder` keeps the lesson's graph."""
        self._model_folder = model_folder
        self._tables: WordTables = read_tables(model_folder / GRAMMAR)
        folder = strict_model(model_folder, cache_folder, table, repr((LESSON, _ANOTHER_WORD)), self._write)
        self._recogniser = loaded(folder, MOST_READINGS)

    @cached_property
    def sounds(self) -> Pronunciations:
        """How the words of the model sound."""
        return all_sounds(_WORDS, WordCosts(self._model_folder / GRAMMAR, self._tables))

    @cached_property
    def _heard_as(self) -> Mapping[str, tuple[str, ...]]:
        return {
            word: (word, *(other for other in self.sounds.misheard(word) if other in self._tables.labels))
            for word in _WORDS
        }

    def readings(self, phrase: str, samples: Samples) -> tuple[Reading, ...]:
        """The ways to hear `phrase` in samples at SAMPLE_RATE, the likeliest first; none where it was not said."""
        self._recogniser.AcceptWaveform(pcm_of(samples))
        rows = json.loads(self._recogniser.FinalResult()).get("alternatives", ())
        said = ((float(row["confidence"]), tuple(row["text"].split())) for row in rows)
        own = phrase.split()
        return tuple(
            Reading(score, words)
            for score, words in said
            if len(words) == len(own)
            and all(heard in self._heard_as[word] for word, heard in zip(own, words, strict=True))
        )

    def _write(self, path: Path) -> None:
        arcs: list[list[WeightedArc]] = [[]]
        finals: dict[int, float] = {}
        for phrase in LESSON:
            state = 0
            for word in phrase.split():
                arcs.append([])
                target = len(arcs) - 1
                for heard in self._heard_as[word]:
                    cost = 0.0 if heard == word else _ANOTHER_WORD
                    arcs[state].append(WeightedArc(self._tables.labels[heard], cost, target))
                state = target
            finals[state] = 0.0
        write_machine(path, self._tables, arcs, finals)
