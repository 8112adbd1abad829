"""The full measurement behind docs/estimates.md: coverage, chance over and scores in every invented world.

Run from the repository root: `python tests/bench/labour_coverage.py --shops 400 --to coverage.md`. Each world's table
is written as soon as it is measured.
"""

from __future__ import annotations

import argparse
import sys
import time
from collections.abc import Sequence
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))

from labour.coverage import Summary, measure, summarise
from labour.simulated_shops import WORLDS, World
from sparehand.labour.rivals import RIVALS

SIZES = (0, 1, 3, 10, 30, 100)


def table(world: World, summaries: Sequence[Summary]) -> str:
    """The world's figures as a table, one row a number of earlier jobs."""
    lines = [
        f"**{world.name}**",
        "",
        "| jobs | 50 % | 80 % (± MC) | 90 % | below, above the 80 % | stated over | over | high/low | "
        + " | ".join(RIVALS)
        + " |",
        "| --- " * (8 + len(RIVALS)) + "|",
    ]
    for row in summaries:
        shares = " | ".join(f"{row.score_shares[rival]:.2f}" for rival in RIVALS)
        lines.append(
            f"| {row.size} | {row.held_50:.1f} | {row.held_80:.1f} ± {row.error:.1f} | {row.held_90:.1f} "
            f"| {row.below:.1f}, {row.above:.1f} | {row.stated_over:.1f} | {row.over:.1f} | {row.width:.2f} "
            f"| {shares} |"
        )
    return "\n".join(lines) + "\n\n"


def main() -> None:
    """Measure the worlds asked for and write their tables."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--shops", type=int, default=400)
    parser.add_argument("--first", type=int, default=0, help="seed of the first shop")
    parser.add_argument("--tests", type=int, default=8, help="jobs forecast for each shop and size")
    parser.add_argument("--draws", type=int, default=2048)
    parser.add_argument("--sizes", type=int, nargs="*", default=SIZES)
    parser.add_argument("--worlds", nargs="*", default=[world.name for world in WORLDS])
    parser.add_argument("--to", type=Path)
    given = parser.parse_args()
    for world in (world for world in WORLDS if world.name in given.worlds):
        started = time.perf_counter()
        shops = range(given.first, given.first + given.shops)
        outcomes = list(measure(world, given.sizes, shops, given.tests, given.draws))
        text = table(world, [summarise(world.name, size, outcomes) for size in given.sizes])
        print(text, f"{time.perf_counter() - started:.0f} s", file=sys.stderr, flush=True)
        if given.to:
            with given.to.open("a", encoding="utf-8") as file:
                file.write(text)


if __name__ == "__main__":
    main()
