"""Claims against the record: simulated technicians in simulated vehicles, and what the program believed of them.

    python tests/bench/claims.py [--jobs 1000] [FILE ...]

A row a procedure: what was said, the wrong claims among it and how many of them were caught, the lies told by name, and
how often the program said something of the vehicle that was not so and nobody had lied about by name.
"""

from __future__ import annotations

import argparse
import statistics
import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))

from simulation.technician import WORK, Outcome, Technician

TURNS = 60


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("files", nargs="*", type=Path, help="procedures; without them all that the tests work by")
    parser.add_argument("--jobs", type=int, default=1000, help="jobs a procedure")
    asked = parser.parse_args()
    print("| procedure | jobs | said | wrong claims | caught | lies by name | believed | words, median |")
    print("| --- | --- | --- | --- | --- | --- | --- | --- |")
    for name, work in ({file.stem: (file, None) for file in asked.files} or WORK).items():
        _print_row(name, work, asked.jobs)


def _print_row(name: str, work: tuple[Path, Path | None], jobs: int) -> None:
    outcomes: list[Outcome] = [Technician(*work, seed).work(TURNS) for seed in range(jobs)]
    said, wrong, caught, lies = (
        sum(getattr(one, name) for one in outcomes) for name in ("said", "wrong", "caught", "lies")
    )
    believed = [what for one in outcomes for what in one.believed]
    words = [count for one in outcomes for count in one.words]
    cells = (name, jobs, said, wrong, caught, lies, len(believed), statistics.median(words) if words else "-")
    print("| " + " | ".join(map(str, cells)) + " |", flush=True)
    for what in believed[:5]:
        print(f"  {what}", file=sys.stderr)


if __name__ == "__main__":
    main()
