"""What is lost with a wireless headset that delivers 8 kHz: the same commands at full rate and through such a headset.

PYTHONPATH=tests python -m bench.hearing.telephone --engine vosk --models DIR
"""

from __future__ import annotations

import argparse
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np
import soxr

from bench.hearing.sayings import COMMANDS
from bench.hearing.stream import Cell, Outcome, Stream, decisions, outcomes, stream_of
from bench.hearing.voices import REPORTING
from sparehand.voice.ears import Ears
from sparehand.voice.phrases.phrase_file import load_phrases
from sparehand.voice.recognising.engines import open_recogniser
from sparehand.voice.sound.samples import SAMPLE_RATE, Samples

TELEPHONE_RATE = 8_000
CELLS = (Cell(), Cell("pink", 20.0))
TEXTS = COMMANDS[::2]
VOICES = REPORTING[:3]


def through_a_telephone(sound: Samples) -> Samples:
    """The sound without what 8,000 samples a second cannot carry, rounded to 16 bit as such a headset does."""
    narrow = soxr.resample(sound, SAMPLE_RATE, TELEPHONE_RATE)
    return np.asarray(soxr.resample(np.round(narrow * 32767) / 32767, TELEPHONE_RATE, SAMPLE_RATE), np.float32)


MICROPHONES: dict[str, Callable[[Samples], Samples]] = {
    "16 kHz": lambda sound: sound,
    "8 kHz": through_a_telephone,
}


def main() -> None:
    """Print right, wrong and missed at both rates."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--engine", choices=("vosk", "pocketsphinx"), required=True)
    parser.add_argument("--models", type=Path, default=Path(), help="the folder with the installed models, for vosk")
    chosen = parser.parse_args()
    recogniser, table = open_recogniser(chosen.engine, chosen.models), load_phrases()
    call = "" if chosen.engine == "vosk" else f"{table.call_word}, "
    print("| conditions | microphone | right % | wrong % | missed % |\n| --- | --- | --- | --- | --- |")
    for cell in CELLS:
        streams = [stream_of(talker, [call + text for text in TEXTS], cell, seed) for seed, talker in enumerate(VOICES)]
        for name, microphone in MICROPHONES.items():
            found: list[Outcome] = []
            for stream in streams:
                ears = Ears(recogniser, table, listen="call" if call else "always")
                heard = decisions(ears, microphone(stream.samples))
                found += outcomes(_without(stream, call), heard, table)
            right, wrong = (100 * float(np.mean([getattr(one, what) for one in found])) for what in ("right", "wrong"))
            print(f"| {cell} | {name} | {right:.1f} | {wrong:.1f} | {100 - right - wrong:.1f} |", flush=True)


def _without(stream: Stream, call: str) -> Stream:
    return replace(stream, said=tuple(replace(said, text=said.text.removeprefix(call)) for said in stream.said))


if __name__ == "__main__":
    main()
