"""The fault harness as a longer run: how many kills, cuts and corruptions, and what came of them.

`PYTHONPATH=tests python tests/bench/log_faults.py [TRIALS] [SEED]`; stops at the first trial that breaks a promise.
"""

from __future__ import annotations

import random
import sys
from collections.abc import Callable
from dataclasses import asdict
from functools import partial
from pathlib import Path

from log.faults import (
    SoundLog,
    Tally,
    damaged,
    full_disk,
    killed_and_resumed,
    killed_while_keeping,
    power_cut,
    scratch_folder,
    sound_log,
)
from sparehand.log.fault_points import MEMO_POINTS, POINTS


def main(trials: int = 1000, seed: int = 1) -> None:
    """Run each kind of fault `trials` times (full disks a tenth as often) and print the tallies."""
    draw = random.Random(seed)
    kinds: dict[str, tuple[int, Callable[[Path], Tally]]] = {
        "killed at a named point": (
            trials,
            lambda folder: killed_and_resumed(folder, draw.choice(POINTS), draw.randint(1, 10)),
        ),
        "killed while speaking": (
            trials // 2,
            lambda folder: killed_and_resumed(folder, None, draw.randint(1, 10), True),
        ),
        "killed from outside": (trials, lambda folder: killed_and_resumed(folder, None, draw.randint(1, 10))),
        "killed while a memo is kept": (
            trials,
            lambda folder: killed_while_keeping(folder, draw.choice((*MEMO_POINTS, *POINTS)), draw.randint(1, 10)),
        ),
        "power cut": (trials, lambda folder: power_cut(folder, draw.randint(1, 20), draw)),
        "full disk": (trials // 10, lambda folder: full_disk(folder, draw.randint(0, 200_000))),
    }
    for name, (times, trial) in kinds.items():
        _run(name, times, trial)
    for settled in (True, False):
        with scratch_folder() as place:
            (place / "sound").mkdir()
            sound = sound_log(place / "sound", settled)
            name = "damaged bytes, " + ("all in the database" if settled else "some in the write-ahead file")
            _run(name, trials, partial(_damage, sound, draw))


def _damage(sound: SoundLog, draw: random.Random, folder: Path) -> Tally:
    return damaged(sound, folder / "damaged", draw)


def _run(name: str, times: int, trial: Callable[[Path], Tally]) -> None:
    total = Tally()
    for number in range(times):
        with scratch_folder() as folder:
            try:
                total += trial(folder)
            except BaseException:
                print(f"{name}: trial {number + 1} broke", file=sys.stderr)
                raise
    told = ", ".join(f"{key.replace('_', ' ')} {value}" for key, value in asdict(total).items() if value)
    print(f"{name}: {times} trials: {told}; answered lost {total.answered_lost}, silent {total.silent}", flush=True)


if __name__ == "__main__":
    main(*(int(argument) for argument in sys.argv[1:3]))
