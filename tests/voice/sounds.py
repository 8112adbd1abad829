"""Sounds and stand-ins for tests of hearing: no model, no device, no chance."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from datetime import UTC, datetime

import numpy as np

from sparehand.ground.clock import start_of_run
from sparehand.job.situation import Situation
from sparehand.voice.phrases.phrase_table import PhraseTable
from sparehand.voice.recognising.recogniser import EngineName, Recogniser, Recognition
from sparehand.voice.recognising.voice_print import VoicePrint
from sparehand.voice.sound.blocks import BLOCK_SAMPLES
from sparehand.voice.sound.blow_filter import BlowFilter
from sparehand.voice.sound.noise_filter import NoiseFilter
from sparehand.voice.sound.samples import SAMPLE_RATE, Samples, SoundBlock, Utterance

LOUD = 0.1


def tone(seconds: float, hertz: float = 440.0, rate: int = SAMPLE_RATE) -> Samples:
    """A plain tone, half of full scale."""
    return (0.5 * np.sin(2 * np.pi * hertz * np.arange(round(seconds * rate)) / rate)).astype(np.float32)


def through(each: NoiseFilter | BlowFilter, sound: Samples) -> Samples:
    """What a filter makes of the whole blocks of `sound`."""
    whole = sound[: len(sound) // BLOCK_SAMPLES * BLOCK_SAMPLES]
    return np.concatenate([each.feed(block) for block in whole.reshape(-1, BLOCK_SAMPLES)])


def hiss(seconds: float, level: float) -> Samples:
    """White noise of that root mean square, the same every time."""
    return np.random.default_rng(3).normal(0, level, round(seconds * SAMPLE_RATE)).astype(np.float32)


def power(sound: Samples) -> float:
    """The mean square."""
    return float(np.mean(np.square(sound, dtype=np.float64)))


def talk(*lengths: float) -> Iterator[SoundBlock]:
    """Blocks that are loud and silent by turns, for so many seconds each; loud first."""
    clock = start_of_run(datetime(2030, 1, 7, 8, tzinfo=UTC), "test")
    loud = [bool(turn % 2 == 0) for turn, seconds in enumerate(lengths) for _ in range(round(seconds / 0.032))]
    for number, is_loud in enumerate(loud):
        clock.advance(32)
        samples = np.full(BLOCK_SAMPLES, LOUD if is_loud else 0.0, np.float32)
        yield SoundBlock(samples, number * BLOCK_SAMPLES / SAMPLE_RATE, clock.now())


class Talked:
    """A microphone into which somebody speaks; quiet, speech, quiet and so on of these lengths, in seconds."""

    overruns = 0
    clock = start_of_run(datetime(2030, 1, 7, tzinfo=UTC), "test")

    def __init__(self, *lengths: float) -> None:
        self._lengths = lengths

    def blocks(self) -> Iterator[SoundBlock]:
        return talk(*self._lengths)

    def close(self) -> None:
        pass


class LoudIsSpeech:
    """Voice activity for `talk`: sure of every block louder than `above`, and of no other."""

    def __init__(self, above: float = LOUD / 2) -> None:
        self._above = above

    def probability(self, samples: Samples) -> float:
        """One for a loud block, zero for a silent one."""
        return float(np.abs(samples).max() > self._above)


class ScriptedRecogniser(Recogniser):
    """Hears what it is told to, in order, and keeps what it was asked."""

    engine: EngineName = "pocketsphinx"

    def __init__(self, *script: Recognition | str, voices: Sequence[VoicePrint] = ()) -> None:
        self._script = [Recognition(one, confidence=1.0) if isinstance(one, str) else one for one in script]
        self._voices = list(voices)
        self.asked: list[tuple[Utterance, bool]] = []

    def prepare(self, table: PhraseTable) -> None:
        """Nothing to prepare."""

    def voice_of(self, samples: Samples) -> VoicePrint | None:  # noqa: ARG002 - they are scripted
        """The next of the voices."""
        return self._voices.pop(0) if self._voices else None

    def recognise(self, utterance: Utterance, situations: Collection[Situation], *, call_word: bool) -> Recognition:
        """The next of the script."""
        assert situations
        self.asked.append((utterance, call_word))
        return self._script.pop(0)

    def unknown_words(self, words: Collection[str]) -> dict[str, tuple[str, ...]]:
        """None."""
        return {word: () for word in words if not word}


def texts(heard: Sequence[object]) -> list[str]:
    """The accepted texts of what was heard."""
    return [one.text for one in heard if one.accepted]  # type: ignore[attr-defined]
