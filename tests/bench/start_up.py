"""How long commands take to start, each in a process of its own: `python tests/bench/start_up.py`."""

from __future__ import annotations

import statistics
import subprocess
import sys
import tempfile
import time

RUNS = 7
COMMANDS = (("--version",), ("hours",), ("phrases", "--json"), ("check", "procedures/rear-suspension-joint.yaml"))


def seconds(arguments: tuple[str, ...]) -> float:
    """The wall-clock seconds of one run."""
    began = time.perf_counter()
    subprocess.run([sys.executable, "-m", "sparehand", *arguments], check=True, capture_output=True)
    return time.perf_counter() - began


if __name__ == "__main__":
    with tempfile.TemporaryDirectory() as data:
        for command in COMMANDS:
            given = command if command[0] in ("--version", "phrases", "check") else (*command, "--data", data)
            seconds(given)
            taken = sorted(seconds(given) for _ in range(RUNS))
            middle = statistics.median(taken)
            print(f"sparehand {' '.join(command)}: {middle:.2f} s median, {taken[0]:.2f} to {taken[-1]:.2f}")
