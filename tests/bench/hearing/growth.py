"""Whether hours of listening grow the memory, and what listening costs by what is going on in the shop.

    PYTHONPATH=tests python -m bench.hearing.growth --engine vosk --models DIR --hours 8

Six minutes of sound (a third quiet under hum, a third talk, a third commands) is made and heard again and again as
one stream by one pair of ears, faster than real time. Prints the memory after each round, the growth in MB an hour by
least squares without the first five rounds, and the share of a core for each third.
"""

from __future__ import annotations

import argparse
import resource
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import numpy as np

from sparehand.ground.clock import start_of_run
from sparehand.voice.ears import Ears
from sparehand.voice.phrases.phrase_file import load_phrases
from sparehand.voice.recognising.engines import open_recogniser
from sparehand.voice.recognising.rejection import Listening
from sparehand.voice.sound.blocks import BLOCK_SAMPLES
from sparehand.voice.sound.samples import SAMPLE_RATE, SoundBlock
from sparehand.voice.sound.sources import FileSource

PART_SECONDS = 120
PARTS = ("quiet", "talk", "commands")
BLOCKS_A_PART = PART_SECONDS * SAMPLE_RATE // BLOCK_SAMPLES
PAGE_BYTES = resource.getpagesize()


def replayed(path: Path, times: int) -> Iterator[SoundBlock]:
    """The file heard so many times, as one stream."""
    at = 0.0
    for _ in range(times):
        source = FileSource(path, start_of_run(datetime(2024, 1, 1, tzinfo=UTC), "bench"))
        for block in source.blocks():
            yield replace(block, start_seconds=at)
            at = block.end_seconds - block.start_seconds + at
        source.close()


def resident_mb() -> float:
    """What this process holds in memory now, in megabytes."""
    pages = int(Path("/proc/self/statm").read_text(encoding="ascii").split()[1])
    return pages * PAGE_BYTES / 1e6


def listen(ears: Ears, path: Path, times: int) -> None:
    """Hear it all, and print a row for every round."""
    used = dict.fromkeys(PARTS, 0.0)
    held, began, accepted = [], time.process_time(), 0
    print("| hours heard | memory, MB | accepted | " + " | ".join(f"core, {part}" for part in PARTS) + " |", flush=True)
    print("| --- | --- | --- | --- | --- | --- |", flush=True)
    for number, block in enumerate(replayed(path, times), 1):
        accepted += sum(heard.accepted for heard in ears.hear(block))
        seconds = number * len(block.samples) / SAMPLE_RATE
        if number % BLOCKS_A_PART:
            continue
        part = PARTS[round(seconds / PART_SECONDS - 1) % len(PARTS)]
        now = time.process_time()
        used[part], began = used[part] + now - began, now
        if part == PARTS[-1]:
            held.append((seconds / 3600, resident_mb()))
            shares = " | ".join(f"{used[part] / (len(held) * PART_SECONDS):.3f}" for part in PARTS)
            print(f"| {held[-1][0]:.1f} | {held[-1][1]:.1f} | {accepted} | {shares} |", flush=True)
    if len(held) > 7:
        growth = np.polyfit([hour for hour, _ in held[5:]], [size for _, size in held[5:]], 1)[0]
        print(f"\ngrowth after the first five rounds: {growth:.2f} MB an hour")


def main() -> None:
    """Measure what the command line asks for."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--engine", choices=("vosk", "pocketsphinx"), required=True)
    parser.add_argument("--models", type=Path, default=Path(), help="the folder with the installed models, for vosk")
    parser.add_argument("--hours", type=float, default=8.0)
    chosen = parser.parse_args()
    listening: Listening = "always" if chosen.engine == "vosk" else "call"
    with tempfile.TemporaryDirectory() as scratch:
        path = Path(scratch) / "shop.wav"
        table = load_phrases()
        call = table.call_word if listening == "call" else ""
        subprocess.run([sys.executable, "-m", "bench.hearing.six_minutes", str(path), call], check=True)
        ears = Ears(open_recogniser(chosen.engine, chosen.models), table, listen=listening)
        listen(ears, path, round(10 * chosen.hours))


if __name__ == "__main__":
    main()
