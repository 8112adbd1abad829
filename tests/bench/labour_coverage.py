"""The full measurement behind docs/estimates.md: coverage, chance over and scores in every invented world.

Outcomes are added to a file as they come, so a run can be stopped and gone on with (`--first`); the tables always cover
the whole file. From the repository root:

    python tests/bench/labour_coverage.py --shops 400 --outcomes outcomes.jsonl --to tables.md --plots docs/plots
"""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Mapping, Sequence
from dataclasses import asdict
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))

from bench.coverage_plots import write_plots
from labour.coverage import Outcome, Summary, measure, summarise
from labour.simulated_shops import WORLDS
from sparehand.labour.judging.rivals import RIVALS

SIZES = (0, 1, 3, 10, 30, 100)


def tables(worlds: Mapping[str, Sequence[Summary]]) -> str:
    """Two tables of a line for each world, by number of earlier jobs: whether ranges held, and the CRPS by rivals'."""
    sizes = [str(row.size) for row in next(iter(worlds.values()))]
    lines = [
        "| world | " + " | ".join(f"80 % held, {size}" for size in sizes) + " | run over less stated |",
        "| --- " * (2 + len(sizes)) + "|",
    ]
    for name, rows in worlds.items():
        held = " | ".join(f"{row.held_80:.0f} ± {row.error:.1f}" for row in rows)
        lines.append(f"| {name} | {held} | {', '.join(f'{row.over - row.stated_over:+.0f}' for row in rows)} |")
    lines += ["", "| world | " + " | ".join(RIVALS) + " |", "| --- " * (1 + len(RIVALS)) + "|"]
    for name, rows in worlds.items():
        shares = " | ".join(", ".join(f"{row.score_shares[rival]:.2f}" for row in rows if row.size) for rival in RIVALS)
        lines.append(f"| {name} | {shares} |")
    return "\n".join(lines) + "\n"


def summaries(kept: Path) -> dict[str, list[Summary]]:
    """By world, the summaries of all outcomes kept so far, by number of earlier jobs."""
    by_world: dict[str, list[Outcome]] = {}
    for line in kept.read_text(encoding="utf-8").splitlines():
        fields = json.loads(line)
        by_world.setdefault(fields.pop("world"), []).append(Outcome(**fields))
    return {
        name: [summarise(name, size, outcomes) for size in sorted({outcome.size for outcome in outcomes})]
        for name, outcomes in by_world.items()
    }


def main() -> None:
    """Measure the worlds asked for, add the outcomes to the file and write the tables."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--shops", type=int, default=400)
    parser.add_argument("--first", type=int, default=0, help="seed of the first shop")
    parser.add_argument("--tests", type=int, default=6, help="jobs forecast for each shop and size")
    parser.add_argument("--others", type=int, default=0, help="other procedures that the shop has timed")
    parser.add_argument("--draws", type=int, default=2048)
    parser.add_argument("--sizes", type=int, nargs="*", default=SIZES)
    parser.add_argument("--worlds", nargs="*", default=[world.name for world in WORLDS])
    parser.add_argument("--outcomes", type=Path, required=True)
    parser.add_argument("--to", type=Path, required=True)
    parser.add_argument("--plots", type=Path, help="a folder for the plots")
    given = parser.parse_args()
    with given.outcomes.open("a", encoding="utf-8") as file:
        for seed in range(given.first, given.first + given.shops):
            for world in (world for world in WORLDS if world.name in given.worlds):
                for outcome in measure(
                    world, given.sizes, range(seed, seed + 1), given.tests, given.draws, given.others
                ):
                    file.write(json.dumps({"world": world.name, **asdict(outcome)}, default=bool) + "\n")
            file.flush()
    worlds = summaries(given.outcomes)
    given.to.write_text(tables(worlds), encoding="utf-8")
    if given.plots:
        write_plots(worlds, given.plots)


if __name__ == "__main__":
    main()
