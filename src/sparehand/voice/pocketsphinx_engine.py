"""The recogniser whose model comes in its wheel: keyword search for the call word, then a strict word graph."""

from __future__ import annotations

import difflib
from collections.abc import Collection
from functools import cached_property
from pathlib import Path

import numpy as np
from pocketsphinx import Config, Decoder, get_model_path

from sparehand.errors import InputError
from sparehand.voice.phrases import SITUATIONS, PhraseTable, Situation
from sparehand.voice.recogniser import EngineName, Recogniser, Recognition
from sparehand.voice.sound import SAMPLE_RATE, Samples, Utterance, Word
from sparehand.voice.word_graph import WordGraph

FRAMES_A_SECOND = 100
CALL_WORD_THRESHOLD = 1e-38
"""How unlike the call word something may be; smaller finds more of them, and more that are none."""
_CALL_WORD = "call word"
_BEFORE_COMMAND_SECONDS = 0.05
_LEAST_COMMAND_SECONDS = 0.25
_FILLERS = "<[("


class PocketsphinxRecogniser(Recogniser):
    """English, closed grammar. Good with the call word or a key; not to be trusted with open listening."""

    engine: EngineName = "pocketsphinx"

    def __init__(self) -> None:
        self._decoder = Decoder(
            Config(
                hmm=str(_model_folder() / "en-us"),
                dict=str(_dictionary_file()),
                lm=None,
                cmn="batch",
                bestpath=False,
                kws_threshold=CALL_WORD_THRESHOLD,
                loglevel="FATAL",
            )
        )
        self._table: PhraseTable | None = None
        self._ready: dict[frozenset[Situation], str] = {}

    def prepare(self, table: PhraseTable) -> None:
        """Learn the words of `table`. Raises InputError for one that has no pronunciation."""
        for word, phones in table.pronunciations.items():
            if self._decoder.lookup_word(word) is None:
                self._decoder.add_word(word, phones, update=True)
        if unknown := self.unknown_words(table.words()):
            word, near = next(iter(unknown.items()))
            hint = f"; near words: {', '.join(near)}" if near else ""
            raise InputError(f"the phrase file has no pronunciation of '{word}'; add it under [pronunciations]{hint}")
        for name in self._ready.values():
            self._decoder.remove_search(name)
        self._ready.clear()
        self._table = table
        self._decoder.add_keyphrase(_CALL_WORD, table.call_word)
        self._grammar(frozenset(SITUATIONS))

    def recognise(self, utterance: Utterance, situations: Collection[Situation], *, call_word: bool) -> Recognition:
        """What was said, among the phrases of `situations`. With `call_word` only what follows it counts."""
        samples, offset = utterance.samples, 0
        if call_word:
            called_until = self._find_call_word(samples)
            if called_until is None:
                return Recognition("")
            offset = called_until
            samples = samples[offset:]
            if len(samples) < _LEAST_COMMAND_SECONDS * SAMPLE_RATE:
                return Recognition("", called=True)
        heard = self._search(self._grammar(frozenset(situations)), samples)
        words = tuple(
            Word(
                text=segment.word.split("(")[0],
                start=utterance.start + offset / SAMPLE_RATE + segment.start_frame / FRAMES_A_SECOND,
                end=utterance.start + offset / SAMPLE_RATE + (segment.end_frame + 1) / FRAMES_A_SECOND,
                confidence=1.0,
            )
            for segment in (self._decoder.seg() or () if heard else ())
            if segment.word and segment.word[0] not in _FILLERS
        )
        text = " ".join(word.text for word in words)
        complete = self._table is not None and self._table.match(text, situations) is not None
        return Recognition(text if complete else "", words, 1.0 if complete else 0.0, called=call_word)

    def unknown_words(self, words: Collection[str]) -> dict[str, tuple[str, ...]]:
        """The words without pronunciation, each with words of like spelling that have one."""
        unknown = sorted(word for word in set(words) if self._decoder.lookup_word(word) is None)
        return {word: tuple(difflib.get_close_matches(word, self._vocabulary, n=3)) for word in unknown}

    @cached_property
    def _vocabulary(self) -> list[str]:
        lines = _dictionary_file().read_text(encoding="utf-8").splitlines()
        return [word for line in lines if "(" not in (word := line.split(maxsplit=1)[0])]

    def _grammar(self, situations: frozenset[Situation]) -> str:
        """The name of the search for the phrases of `situations`, made when first asked for."""
        if self._table is None:
            raise RuntimeError("prepare a phrase table first")
        if situations not in self._ready:
            name = "+".join(sorted(situations))
            transitions = _transitions(self._table.graph(situations))
            self._decoder.add_fsg(name, self._decoder.create_fsg(name, 0, transitions[-1][1], transitions))
            self._ready[situations] = name
        return self._ready[situations]

    def _find_call_word(self, samples: Samples) -> int | None:
        """The sample at which the call word ends (the last one, if it comes twice), or None."""
        if not self._search(_CALL_WORD, samples):
            return None
        ends: list[int] = [segment.end_frame for segment in self._decoder.seg() or ()]
        if not ends:
            return None
        return max(0, round((max(ends) / FRAMES_A_SECOND - _BEFORE_COMMAND_SECONDS) * SAMPLE_RATE))

    def _search(self, name: str, samples: Samples) -> bool:
        self._decoder.activate_search(name)
        self._decoder.start_utt()
        self._decoder.process_raw((np.clip(samples, -1, 1) * 32767).astype(np.int16).tobytes(), full_utt=True)
        self._decoder.end_utt()
        hypothesis = self._decoder.hyp()
        return hypothesis is not None and bool(hypothesis.hypstr)


def _transitions(graph: WordGraph) -> list[tuple[int, int, float, str] | tuple[int, int, float]]:
    """The graph as this engine takes it: every end leads on, without a word, to the one final state."""
    final = 1 + max(max(arc.source, arc.target) for arc in graph.arcs)
    words = [(arc.source, arc.target, 1.0, arc.word) for arc in graph.arcs]
    return [*words, *((state, final, 1.0) for state in sorted(graph.ends))]


def _model_folder() -> Path:
    return Path(get_model_path("en-us"))


def _dictionary_file() -> Path:
    return _model_folder() / "cmudict-en-us.dict"
