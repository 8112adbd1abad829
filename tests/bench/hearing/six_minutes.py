"""Six minutes of a shop as a sound file: `python -m bench.hearing.six_minutes FILE [CALL WORD]`.

Two minutes each of a quiet shop under hum, of talk, and of commands with the call word before each if there is one.
A process of its own makes it, so that what it needs in memory is not counted as the ears'.
"""

from __future__ import annotations

import sys
from pathlib import Path

import numpy as np
import soundfile

from bench.hearing.noises import mixed, noise_piece
from bench.hearing.sayings import COMMANDS
from bench.hearing.stream import Cell, stream_of
from bench.hearing.talk import sentences
from bench.hearing.voices import REPORTING, SPEECH_LEVEL
from sparehand.voice.sound.samples import SAMPLE_RATE, Samples

PART_SECONDS = 120
HUM_LEVEL = SPEECH_LEVEL * 10 ** (-25 / 20)


def write(path: Path, call_word: str) -> None:
    """Write it as 16 bit mono at SAMPLE_RATE."""
    with soundfile.SoundFile(path, "w", SAMPLE_RATE, 1, "PCM_16", format="WAV") as file:
        file.write(noise_piece("compressor hum", PART_SECONDS * SAMPLE_RATE, 3) * HUM_LEVEL / 0.1)
        file.write(_under_noise(_talk(), 25.0))
        file.write(_under_noise(_commands(call_word), 20.0))


def _talk() -> Samples:
    pieces: list[Samples] = []
    left = PART_SECONDS * SAMPLE_RATE
    for number, sentence in enumerate(sentences(9)):
        pieces += [REPORTING[number % len(REPORTING)].says(sentence), np.zeros(SAMPLE_RATE, np.float32)]
        left -= len(pieces[-2]) + len(pieces[-1])
        if left <= 0:
            break
    return np.concatenate(pieces)[: PART_SECONDS * SAMPLE_RATE]


def _commands(call_word: str) -> Samples:
    texts = [f"{call_word}, {text}" for text in COMMANDS] if call_word else list(COMMANDS)
    streams = [stream_of(talker, texts, Cell(), seed).samples for seed, talker in enumerate(REPORTING)]
    return np.resize(np.concatenate(streams), PART_SECONDS * SAMPLE_RATE)


def _under_noise(sound: Samples, snr_db: float) -> Samples:
    return mixed(sound, sound, "pink", snr_db, 1)


if __name__ == "__main__":
    write(Path(sys.argv[1]), " ".join(sys.argv[2:]))
