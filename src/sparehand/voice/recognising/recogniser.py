"""The one small interface behind which every speech recogniser sits."""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Collection
from dataclasses import dataclass, field
from typing import Literal

from sparehand.job.situation import Situation
from sparehand.voice.phrases.phrase_table import PhraseTable
from sparehand.voice.recognising.talker_profile import TalkerProfile
from sparehand.voice.recognising.voice_print import VoicePrint
from sparehand.voice.sound.samples import Samples, Utterance, Word

EngineName = Literal["vosk", "pocketsphinx"]


@dataclass(frozen=True)
class Recognition:
    """What a recogniser made of an utterance. `text` is empty where it heard no phrase.

    `called` says whether the call word came first (its words are not in `text`). `decoy_margin` is the log-likelihood
    ratio of the phrase to the filler model, where the engine can tell.
    """

    text: str
    words: tuple[Word, ...] = field(default=())
    confidence: float = 0.0
    called: bool = False
    decoy_margin: float | None = None


class Recogniser(ABC):
    """Turns an utterance into one phrase of the table, or into nothing. Blocking; run outside any audio callback."""

    engine: EngineName
    wants_filtered: bool = True
    """Whether it hears better through the noise filter."""

    @abstractmethod
    def prepare(self, table: PhraseTable) -> None:
        """Make the grammars of `table`. Raises InputError for a word that the vocabulary lacks."""

    @abstractmethod
    def recognise(self, utterance: Utterance, situations: Collection[Situation], *, call_word: bool) -> Recognition:
        """What was said, among the phrases of `situations`. With `call_word` only what follows it counts."""

    def attune(self, talker: TalkerProfile | None) -> None:  # noqa: B027 - only one engine can
        """Hear as is known of this talker, from the next `prepare` on."""

    def voice_of(self, samples: Samples) -> VoicePrint | None:  # noqa: ARG002 - only one engine can tell
        """Whose voice it is, where the engine's model can tell and the samples are long enough."""
        return None

    @abstractmethod
    def unknown_words(self, words: Collection[str]) -> dict[str, tuple[str, ...]]:
        """The words that the vocabulary lacks, each with near alternatives that it has."""
