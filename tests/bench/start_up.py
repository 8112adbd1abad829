"""How much processor time commands take to start, in turns with bare Python: `python tests/bench/start_up.py [TREE …]`.

Each TREE is the `src` folder of another version to measure in the same turns, such as the one before a change.
"""

from __future__ import annotations

import os
import resource
import statistics
import subprocess
import sys
import tempfile
from pathlib import Path

RUNS = 11
HERE = Path(__file__).parents[2]
COMMANDS = {
    "python -c pass": ("-c", "pass"),
    "sparehand --version": ("-m", "sparehand", "--version"),
    "sparehand hours": ("-m", "sparehand", "hours"),
    "sparehand phrases --json": ("-m", "sparehand", "phrases", "--json"),
    "sparehand check": ("-m", "sparehand", "check", str(next((HERE / "procedures").glob("*.yaml")))),
}


def seconds(arguments: tuple[str, ...], tree: Path, data: str) -> float:
    """The processor time of one run, in seconds."""
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    environment = {**os.environ, "PYTHONPATH": str(tree), "SPAREHAND_DATA": data}
    subprocess.run([sys.executable, *arguments], check=True, capture_output=True, env=environment)
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime


def main(trees: list[Path]) -> None:
    """Print the median of each command for each tree, and its multiple of bare Python's."""
    with tempfile.TemporaryDirectory() as data:
        taken: dict[tuple[str, Path], list[float]] = {(name, tree): [] for name in COMMANDS for tree in trees}
        for turn in range(RUNS + 1):
            for (name, tree), times in taken.items():
                spent = seconds(COMMANDS[name], tree, data)
                # The first turn writes the compiled modules.
                if turn:
                    times.append(spent)
    for (name, tree), times in taken.items():
        median = statistics.median(times)
        bare = statistics.median(taken["python -c pass", tree])
        print(f"{name:26} {median:.3f} s ({min(times):.3f} to {max(times):.3f}), {median / bare:.1f} × bare  {tree}")


if __name__ == "__main__":
    main([Path(given).resolve() for given in sys.argv[1:]] or [HERE / "src"])
