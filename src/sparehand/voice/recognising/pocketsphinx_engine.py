"""The recogniser whose model comes in its wheel: a strict word graph, rescored against free phones.

The call word stands in the graph before every phrase, which finds where it ends better than a keyword search does;
what keeps talk out is that its words must fit the sound nearly as well as any phones could.
"""

from __future__ import annotations

import difflib
import math
from collections.abc import Collection, Sequence
from functools import cached_property
from pathlib import Path

from pocketsphinx import Config, Decoder, get_model_path

from sparehand.ground.errors import InputError
from sparehand.job.situation import Situation
from sparehand.voice.phrases.phrase_table import PhraseTable
from sparehand.voice.phrases.spoken_numbers import DIGIT_WORDS
from sparehand.voice.phrases.word_graph import START, WordGraph
from sparehand.voice.recognising.phone_margin import Margins, Stretch, margins, phrase_confidence, word_confidence
from sparehand.voice.recognising.recogniser import EngineName, Recogniser, Recognition
from sparehand.voice.sound.noise_floor import with_noise_floor
from sparehand.voice.sound.samples import Samples, Utterance, Word, pcm_of

FRAMES_A_SECOND = 100
CALL_WORD_MARGIN = -45.0
"""The least margin of every word of the call word, followed by a short gap as people leave it."""
UNBROKEN_CALL_WORD_MARGIN = -20.0
"""The same where no gap follows, as in talk that happens to hold its words."""
GAP_FRAMES = 3
CHANCE_OF_SILENCE = 0.005
CHANCE_OF_SILENCE_IN_READINGS = 0.5
"""Between words. The small one fills the gaps of digits with more digits, the large one takes the ends off words."""
CHANCE_OF_A_DIGIT = 0.1
"""Each further digit has its price, or gaps and ends of words become digits too.

Measured by key, with CHANCE_OF_SILENCE_IN_READINGS: of readings by tuning voices 7.5 % are wrong, and 12.5 % without
both.
"""
CHANCE_OF_A_BARE_NUMBER = 0.01
"""A number that nothing announces, alone or behind a whole phrase, has one more price: noise is taken for it."""
SCORE_UNIT = 1e4
GRAMMARS_KEPT = 16
"""Grammars kept for the situations met last. One takes 15 MB and 0.1 to 0.3 s to make; a job meets sixty and more."""
_PHONES = "phones"


class PocketsphinxRecogniser(Recogniser):
    """English, closed grammar. Good with the call word or a key; not to be trusted with open listening."""

    engine: EngineName = "pocketsphinx"
    wants_filtered = False

    def __init__(self) -> None:
        self._decoder = Decoder(
            Config(
                hmm=str(_model_folder() / "en-us"),
                dict=str(_dictionary_file()),
                lm=None,
                cmn="batch",
                bestpath=False,
                allphone_ci=True,
                loglevel="FATAL",
            )
        )
        self._decoder.add_allphone_file(_PHONES, None)
        self._table: PhraseTable | None = None
        self._ready: dict[str, None] = {}

    def prepare(self, table: PhraseTable) -> None:
        """Learn the words of `table`. Raises InputError for one that has no pronunciation."""
        for word, phones in table.pronunciations.items():
            if self._decoder.lookup_word(word) is None:
                self._decoder.add_word(word, phones, update=True)
        if unknown := self.unknown_words(table.words()):
            word, near = next(iter(unknown.items()))
            hint = f"; near words: {', '.join(near)}" if near else ""
            raise InputError(f"the phrase file has no pronunciation of '{word}'; add it under [pronunciations]{hint}")
        for name in self.grammars:
            self._forget(name)
        self._table = table

    def recognise(self, utterance: Utterance, situations: Collection[Situation], *, call_word: bool) -> Recognition:
        """What was said, among the phrases of `situations`. With `call_word` only what follows it counts."""
        table = self._prepared()
        samples = with_noise_floor(utterance.samples)
        path = self._search(self._grammar(frozenset(situations), call_word), samples)
        spoken = [stretch for stretch in path if not stretch.filler]
        calling = len(table.call_word.split()) if call_word else 0
        if len(spoken) < max(1, calling):
            return Recognition("")
        margin = margins(path, self._search(_PHONES, samples))
        if call_word and not _called(spoken, margin, calling):
            return Recognition("", decoy_margin=margin.whole)
        text = " ".join(stretch.text for stretch in spoken[calling:])
        complete = table.match(text, situations) is not None
        words = tuple(
            Word(
                text=stretch.text,
                start=utterance.start + stretch.start / FRAMES_A_SECOND,
                end=utterance.start + stretch.end / FRAMES_A_SECOND,
                confidence=word_confidence(fit),
            )
            for stretch, fit in zip(spoken[calling:], margin.words[calling:], strict=True)
        )
        return Recognition(
            text if complete else "",
            words,
            phrase_confidence(margin.whole) if complete else 0.0,
            called=call_word,
            decoy_margin=margin.whole,
        )

    @property
    def grammars(self) -> tuple[str, ...]:
        """The names of the grammars in memory, the one used longest ago first."""
        return tuple(self._ready)

    def unknown_words(self, words: Collection[str]) -> dict[str, tuple[str, ...]]:
        """The words without pronunciation, each with words of like spelling that have one."""
        unknown = sorted(word for word in set(words) if self._decoder.lookup_word(word) is None)
        return {word: tuple(difflib.get_close_matches(word, self._vocabulary, n=3)) for word in unknown}

    @cached_property
    def _vocabulary(self) -> list[str]:
        lines = _dictionary_file().read_text(encoding="utf-8").splitlines()
        return [word for line in lines if "(" not in (word := line.split(maxsplit=1)[0])]

    def _prepared(self) -> PhraseTable:
        if self._table is None:
            raise RuntimeError("prepare a phrase table first")
        return self._table

    def _grammar(self, situations: frozenset[Situation], call_word: bool) -> str:
        """The name of the search for the phrases of `situations`, made when first asked for."""
        table = self._prepared()
        name = "+".join((*sorted(situations), *(("called",) if call_word else ())))
        if name in self._ready:
            del self._ready[name]
        else:
            if len(self._ready) >= GRAMMARS_KEPT:
                self._forget(next(iter(self._ready)))
            calling = table.call_word.split() if call_word else ()
            start, final, transitions = _transitions(table.graph(situations), calling)
            reading = "reading" in situations
            self._decoder.config["silprob"] = CHANCE_OF_SILENCE_IN_READINGS if reading else CHANCE_OF_SILENCE
            self._decoder.add_fsg(name, self._decoder.create_fsg(name, start, final, transitions))
        self._ready[name] = None
        return name

    def _forget(self, name: str) -> None:
        self._decoder.remove_search(name)
        del self._ready[name]

    def _search(self, name: str, samples: Samples) -> list[Stretch]:
        """What a search finds: words or phones with silences; nothing where no path comes to an end."""
        self._decoder.activate_search(name)
        self._decoder.start_utt()
        self._decoder.process_raw(pcm_of(samples), full_utt=True)
        self._decoder.end_utt()
        if self._decoder.hyp() is None:
            return []
        return [
            Stretch(
                # A second pronunciation is written `word(2)`.
                text=segment.word.split("(")[0],
                start=segment.start_frame,
                end=segment.end_frame + 1,
                score=math.log(max(segment.ascore, 1e-300)) * SCORE_UNIT,
            )
            for segment in self._decoder.seg() or ()
            if segment.word != "(NULL)"
        ]


def _called(spoken: Sequence[Stretch], margin: Margins, calling: int) -> bool:
    """Whether the call word that begins the path was truly said."""
    worst = min(margin.words[:calling])
    unbroken = len(spoken) > calling and spoken[calling].start - spoken[calling - 1].end < GAP_FRAMES
    return worst >= (UNBROKEN_CALL_WORD_MARGIN if unbroken else CALL_WORD_MARGIN)


_Transition = tuple[int, int, float, str] | tuple[int, int, float]


def _transitions(graph: WordGraph, calling: Sequence[str]) -> tuple[int, int, list[_Transition]]:
    """The graph as this engine takes it: one start, one final state, and words or nothing between.

    With the words of `calling` before every phrase, they alone are a path too.
    """
    final = 1 + max((max(arc.source, arc.target) for arc in graph.arcs), default=START)
    bare = graph.beginnings(DIGIT_WORDS)
    transitions: list[_Transition] = [
        (
            arc.source,
            arc.target,
            (CHANCE_OF_A_DIGIT if arc.word in DIGIT_WORDS else 1.0) * (CHANCE_OF_A_BARE_NUMBER if arc in bare else 1.0),
            arc.word,
        )
        for arc in graph.arcs
    ]
    transitions += [(state, final, 1.0) for state in sorted(graph.ends)]
    if not calling:
        return START, final, transitions
    states = [*range(final + 1, final + 1 + len(calling)), START]
    transitions += [
        (source, target, 1.0, word) for source, word, target in zip(states, calling, states[1:], strict=False)
    ]
    return states[0], final, [*transitions, (START, final, 1.0)]


def _model_folder() -> Path:
    return Path(get_model_path("en-us"))


def _dictionary_file() -> Path:
    return _model_folder() / "cmudict-en-us.dict"
