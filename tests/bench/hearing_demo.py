"""How the embedded recogniser hears the demo's lines, each in its situation, by voice and noise level.

`python tests/bench/hearing_demo.py` prints a table: right, wrong and missed in per cent, then the delay from the end of
speech to the decision in stream time, the share of a core, and the peak memory.
"""

from __future__ import annotations

import resource
import statistics
import sys
import time
from collections import Counter
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).parents[1]))

from job.table import demo_procedure, open_job
from sparehand.conversation.active_phrases import situations
from sparehand.demo.noise import at_level, shop_noise
from sparehand.demo.script import JOB, PROCEDURE
from sparehand.demo.technician_voice import TechnicianVoice
from sparehand.ground.clock import start_of_run
from sparehand.job.commands import Command
from sparehand.job.situation import SITUATIONS, Situation
from sparehand.setup.hearing_trials import spoken_names
from sparehand.voice.ears import Ears
from sparehand.voice.phrases.phrase_file import load_phrases
from sparehand.voice.phrases.phrase_table import PhraseTable
from sparehand.voice.recognising.pocketsphinx_engine import PocketsphinxRecogniser
from sparehand.voice.sound.samples import SAMPLE_RATE, Samples, SoundBlock

VOICES = ("gmw/en-us", "gmw/en-gb-x-rp", "gmw/en-us+f2", "gmw/en-029")
LEVELS_DB = (None, 20.0, 10.0)
BLOCK = 512
SEED = 7


def lines(table: PhraseTable) -> Iterator[tuple[str, Command, frozenset[Situation]]]:
    """Each line of the script with its meaning and the situations in which it is said."""
    job = open_job(demo_procedure(PROCEDURE))
    for line in JOB:
        command = table.command_for(line.say, SITUATIONS)
        assert command is not None
        yield line.say, command, situations(job.state)
        job.do(command, after_ms=5_000)


def measure(
    voice: TechnicianVoice, level_db: float | None, table: PhraseTable
) -> tuple[Counter[str], list[float], float]:
    """Right, wrong and missed lines; the delays in seconds; processor seconds a second of sound."""
    ears = Ears(PocketsphinxRecogniser(), table, listen="call")
    noise = shop_noise("shop", 61.0, SEED)
    noise = np.zeros_like(noise) if level_db is None else at_level(voice.utterance("next step"), noise, level_db)
    moment = start_of_run(datetime(2026, 1, 1, tzinfo=UTC), "bench").now()
    counted: Counter[str] = Counter()
    delays: list[float] = []
    at = 0
    began = time.process_time()
    for say, meant, now in lines(table):
        ears.situations = now
        acted = []
        speech = voice.called(table.call_word, say)
        for samples in _blocks(speech):
            block = samples + np.take(noise, range(at, at + BLOCK), mode="wrap")
            for heard in ears.hear(SoundBlock(block.astype(np.float32), at / SAMPLE_RATE, moment)):
                if heard.accepted:
                    acted.append(heard.command)
                    delays.append(heard.phrase.decided_at - heard.phrase.end)
            at += BLOCK
        counted["right" if acted == [meant] else "wrong" if acted else "missed"] += 1
    return counted, delays, (time.process_time() - began) / (at / SAMPLE_RATE)


def _blocks(speech: Samples) -> Iterator[Samples]:
    whole = np.concatenate([np.zeros(SAMPLE_RATE, np.float32), speech, np.zeros(3 * SAMPLE_RATE // 2, np.float32)])
    for start in range(0, len(whole) - BLOCK + 1, BLOCK):
        yield whole[start : start + BLOCK]


def main() -> None:
    """Print the table."""
    table = load_phrases(spoken_names(demo_procedure(PROCEDURE)))
    delays: list[float] = []
    shares: list[float] = []
    print("| voice | over shop noise | right % | wrong % | missed % |\n| --- | --- | --- | --- | --- |")
    for name in VOICES:
        voice = TechnicianVoice(name)
        for level_db in LEVELS_DB:
            counted, waited, share = measure(voice, level_db, table)
            delays += waited
            shares.append(share)
            total = counted.total()
            cells = (f"{100 * counted[what] / total:.0f}" for what in ("right", "wrong", "missed"))
            print(
                f"| {name} | {'clean' if level_db is None else f'{level_db:g} dB'} | {' | '.join(cells)} |", flush=True
            )
        voice.close()
    late = sorted(delays)[int(0.95 * len(delays))]
    print(f"end of speech to decision: median {statistics.median(delays):.2f} s, 95 % {late:.2f} s (stream time)")
    megabytes = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(f"share of a core: {statistics.mean(shares):.2f}; peak memory {megabytes:.0f} MB")


if __name__ == "__main__":
    main()
