"""The recogniser to recommend: Vosk with its small English model and a strict grammar of our own."""

from __future__ import annotations

import json
from collections.abc import Collection
from functools import cached_property
from pathlib import Path
from typing import Any

import vosk

from sparehand.ground.errors import InputError
from sparehand.ground.places import GRAMMARS_FOLDER
from sparehand.job.situation import SITUATIONS, Situation
from sparehand.voice.models.model_store import check_model
from sparehand.voice.phrases.phrase_table import PhraseTable
from sparehand.voice.recognising.decoys import DecoyCosts, decoys_for
from sparehand.voice.recognising.grammar_graph import write_grammar
from sparehand.voice.recognising.ngram import WordCosts
from sparehand.voice.recognising.openfst import WordTables, read_tables
from sparehand.voice.recognising.recogniser import EngineName, Recogniser, Recognition
from sparehand.voice.recognising.rescoring import Hypothesis, rescored
from sparehand.voice.recognising.strict_model import GRAMMAR, strict_model
from sparehand.voice.recognising.talker_profile import NO_VARIANTS, TalkerProfile
from sparehand.voice.recognising.vocabulary import unknown_of
from sparehand.voice.recognising.voice_print import VoicePrint, VoicePrints
from sparehand.voice.sound.level import signal_to_noise_db
from sparehand.voice.sound.samples import SAMPLE_RATE, Samples, Utterance, Word, pcm_of

HYPOTHESES = 20
"""How many hypotheses of an utterance are rescored against each other."""


class VoskRecogniser(Recogniser):
    """English, with the strict graph of a phrase table. Good enough for open listening."""

    engine: EngineName = "vosk"

    def __init__(self, model_folder: Path, cache_folder: Path | None = None) -> None:
        """`cache_folder` keeps what is made of the model for a phrase table; by default it lies beside the model.

        Raises InputError for a model that is not whole.
        """
        check_model(model_folder)
        self._model_folder = model_folder
        self._cache_folder = cache_folder or model_folder.parent / GRAMMARS_FOLDER
        self._table: PhraseTable | None = None
        self._talker: TalkerProfile | None = None
        self._recogniser: Any = None
        self._heard_samples = 0

    def prepare(self, table: PhraseTable) -> None:
        """Load the model with the grammar of `table`, made if it is not kept yet.

        Raises InputError for a word that the model's fixed vocabulary lacks.
        """
        if self._table is not None and self._table.sha256 == table.sha256:
            return
        costs = DecoyCosts()
        recipe = f"{costs!r}{self._talker!r}" if self._talker else repr(costs)
        folder = strict_model(
            self._model_folder, self._cache_folder, table, recipe, lambda path: self._write(path, table, costs)
        )
        self._recogniser = None
        self._recogniser = loaded(folder)
        self._heard_samples = 0
        self._table = table

    def attune(self, talker: TalkerProfile | None) -> None:
        """Hear as is known of this talker, from the next `prepare` on."""
        self._talker, self._table = talker, None

    def recognise(self, utterance: Utterance, situations: Collection[Situation], *, call_word: bool) -> Recognition:
        """What was said, among the phrases of `situations`. With `call_word` only what follows it counts."""
        if self._table is None:
            raise RuntimeError("prepare a phrase table first")
        self._recogniser.AcceptWaveform(pcm_of(utterance.samples))
        answer = json.loads(self._recogniser.FinalResult())
        # Vosk counts time from the recogniser's birth.
        start = utterance.start - self._heard_samples / SAMPLE_RATE
        self._heard_samples += len(utterance.samples)
        hypotheses = [
            self._hypothesis(row, self._table, start, situations)
            for row in answer.get("alternatives", ())
            if row["text"]
        ]
        return rescored(hypotheses, signal_to_noise_db(utterance.samples), utterance.recent_speech, call_word=call_word)

    def voice_of(self, samples: Samples) -> VoicePrint | None:
        """Whose voice it is, by the vector that the model adapts with."""
        return self._voice_prints.of(samples) if self._voice_prints else None

    def unknown_words(self, words: Collection[str]) -> dict[str, tuple[str, ...]]:
        """The words that the model's vocabulary lacks, each with near ones that it has."""
        return unknown_of(words, self._tables.labels, self._word_costs.alone)

    @cached_property
    def _voice_prints(self) -> VoicePrints | None:
        return VoicePrints(self._model_folder) if (self._model_folder / "ivector").is_dir() else None

    @cached_property
    def _tables(self) -> WordTables:
        return read_tables(self._model_folder / GRAMMAR)

    @cached_property
    def _word_costs(self) -> WordCosts:
        return WordCosts(self._model_folder / GRAMMAR, self._tables)

    def _write(self, path: Path, table: PhraseTable, costs: DecoyCosts) -> None:
        if unknown := self.unknown_words(table.words()):
            word, near = next(iter(unknown.items()))
            hint = f"; near words that it knows: {', '.join(near)}" if near else ""
            raise InputError(f"the speech model does not know the word '{word}'; say it in other words{hint}")
        graph = table.graph(SITUATIONS)
        decoys = decoys_for(graph, self._word_costs)
        heard = self._talker.variants(graph.words, decoys.sounds) if self._talker and decoys.sounds else NO_VARIANTS
        write_grammar(path, self._tables, table, decoys, costs, heard)

    def _hypothesis(
        self, row: dict[str, Any], table: PhraseTable, start: float, situations: Collection[Situation]
    ) -> Hypothesis:
        words = tuple(Word(w["word"], start + w["start"], start + w["end"], 1.0) for w in row.get("result", ()))
        call = tuple(table.call_word.split())
        called = tuple(word.text for word in words[: len(call)]) == call
        words = words[len(call) :] if called else words
        text = " ".join(word.text for word in words)
        now = table.match(text, situations)
        known = now is not None or (called and not words) or table.match(text, SITUATIONS) is not None
        meaning, number = (now[1], now[0].holds_number) if now else (None, False)
        return Hypothesis(float(row["confidence"]), words, called, meaning, known, number)


def loaded(folder: Path, hypotheses: int = HYPOTHESES) -> Any:
    """Vosk with the model in `folder`, which gives so many hypotheses of an utterance.

    Raises InputError for a model that it cannot load.
    """
    vosk.SetLogLevel(-1)
    try:
        recogniser = vosk.KaldiRecognizer(vosk.Model(str(folder)), SAMPLE_RATE)
    except Exception as error:  # Vosk raises nothing more exact
        raise InputError(f"{folder}: Vosk cannot load it; remove the folder and start again") from error
    recogniser.SetMaxAlternatives(hypotheses)
    recogniser.SetWords(True)
    return recogniser
