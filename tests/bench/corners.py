"""Both corners at once against one after the other: elapsed minutes of simulated jobs.

    python tests/bench/corners.py [FILE ...]

Each step takes its share of the planned minutes of its phase, and no step begins while a timer of its side runs. A row
a procedure: one after the other the technician waits for the timer; interleaved they go to the other side meanwhile.
"""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))

from simulation.corners import work_both
from sparehand.ground.places import bundled
from sparehand.procedures.load import load_procedure


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("files", nargs="*", type=Path, help="procedures; without them the bundled ones with sides")
    files = parser.parse_args().files or sorted(bundled("procedures").glob("*.yaml"))
    print("| procedure | one after the other, min | of it waited | interleaved, min | of it waited |")
    print("| --- | --- | --- | --- | --- |")
    for procedure in (load_procedure(file).procedure for file in files):
        if len(procedure.sides) > 1:
            apart, together = work_both(procedure, interleave=False), work_both(procedure, interleave=True)
            figures = (apart.elapsed_minutes, apart.waited_minutes, together.elapsed_minutes, together.waited_minutes)
            print(f"| {procedure.id} | {' | '.join(f'{figure:.1f}' for figure in figures)} |")


if __name__ == "__main__":
    main()
