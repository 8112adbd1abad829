"""How well voice activity detectors find commands among tools: the model in use against one by energy.

    PYTHONPATH=tests python -m bench.hearing.voice_activity

Each detector cuts the same filtered streams into utterances, with the same rules for pauses and for the talker's level.
A command is found where one utterance begins and ends within 0.3 s of it; the last columns count the utterances an hour
that a noise alone makes, and the share of a core.
"""

from __future__ import annotations

import time
from collections import deque
from collections.abc import Callable, Iterator, Sequence

import numpy as np

from bench.hearing.noises import Noise, noise_piece
from bench.hearing.sayings import COMMANDS
from bench.hearing.stream import Cell, Said, blocks_of, stream_of
from bench.hearing.voices import REPORTING, SPEECH_LEVEL
from sparehand.voice.segmenting.activity import SileroActivity, VoiceActivity
from sparehand.voice.segmenting.segments import Segmenter
from sparehand.voice.sound.clean_sound import CleanSound
from sparehand.voice.sound.samples import SAMPLE_RATE, Samples, Utterance

NOISES: tuple[Noise, ...] = ("pink", "impact wrench", "hammer", "compressor hum")
CELLS = (Cell(), *(Cell(noise, level) for level in (20.0, 10.0) for noise in NOISES))
TEXTS = COMMANDS[::3]
WITHIN_SECONDS = 0.3
ALONE_SECONDS = 60
LONGEST_SECONDS = 4.0


class EnergyActivity:
    """Speech is what is 6 dB above the noise floor: the tenth percentile of the last three seconds."""

    def __init__(self) -> None:
        self._levels: deque[float] = deque(maxlen=94)

    def probability(self, samples: Samples) -> float:
        """One or nothing."""
        level = 10 * float(np.log10(np.mean(np.square(samples, dtype=np.float64)) + 1e-12))
        self._levels.append(level)
        return float(level > np.percentile(self._levels, 10) + 6)


DETECTORS: dict[str, Callable[[], VoiceActivity]] = {
    "model": SileroActivity,
    "energy": EnergyActivity,
}


def utterances(detector: VoiceActivity, samples: Samples) -> Iterator[Utterance]:
    """The utterances, cut as the ears cut them."""
    cut, clean = Segmenter(detector, LONGEST_SECONDS), CleanSound()
    for block in blocks_of(samples):
        pause = cut.hear(clean.feed(block))
        if pause is not None and pause.over:
            yield pause.utterance
    if (rest := cut.finish()) is not None:
        yield rest.utterance


def found(said: Sequence[Said], cut: Sequence[Utterance]) -> int:
    """How many commands are an utterance of their own. An utterance's sound begins a pre-roll before its speech."""
    return sum(
        any(
            one.start - WITHIN_SECONDS < command.start and abs(one.end - command.end) < WITHIN_SECONDS
            and command.start - one.start < 2 * WITHIN_SECONDS
            for one in cut
        )
        for command in said
    )  # fmt: skip


def main() -> None:
    """Print the table."""
    names = tuple(DETECTORS)
    print("| conditions | " + " | ".join(f"found %, {name}" for name in names) + " |")
    print("| --- " * (1 + len(names)) + "|")
    used, heard = dict.fromkeys(names, 0.0), 0.0
    for cell in CELLS:
        right, total = dict.fromkeys(names, 0), 0
        for seed, talker in enumerate(REPORTING[:2]):
            stream = stream_of(talker, TEXTS, cell, seed)
            total += len(stream.said)
            heard += len(stream.samples) / SAMPLE_RATE
            for name in names:
                began = time.process_time()
                right[name] += found(stream.said, list(utterances(DETECTORS[name](), stream.samples)))
                used[name] += time.process_time() - began
        print(f"| {cell} | " + " | ".join(f"{100 * right[name] / total:.0f}" for name in names) + " |", flush=True)
    for noise in NOISES:
        alone = noise_piece(noise, ALONE_SECONDS * SAMPLE_RATE, 5) * np.float32(SPEECH_LEVEL)
        hourly = [len(list(utterances(DETECTORS[name](), alone))) * 3600 / ALONE_SECONDS for name in names]
        print(f"| {noise} alone, utterances an hour | " + " | ".join(f"{one:.0f}" for one in hourly) + " |", flush=True)
    print("| share of a core, filter and all | " + " | ".join(f"{used[name] / heard:.3f}" for name in names) + " |")


if __name__ == "__main__":
    main()
