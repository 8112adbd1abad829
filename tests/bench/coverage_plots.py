"""The plots of docs/estimates.md: how often ranges held, and how often the figure was run over, world by world."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from pathlib import Path

import numpy as np
from matplotlib import rc_context
from matplotlib.axes import Axes
from matplotlib.backends.backend_svg import FigureCanvasSVG
from matplotlib.figure import Figure

from labour.coverage import Summary
from sparehand.screens.labour_plots import INK, PALE, SOFT, STYLE

COLUMNS = 4
Worlds = Mapping[str, Sequence[Summary]]


def write_plots(worlds: Worlds, folder: Path) -> None:
    """Write `coverage.svg` and `chance-over.svg` into the folder; bars are two Monte Carlo standard errors."""
    _write(worlds, folder / "coverage.svg", _coverage, "of outcomes in the 80 % range, %")
    _write(worlds, folder / "chance-over.svg", _chance_over, "run over, less what was stated, points")


def _coverage(axes: Axes, rows: Sequence[Summary]) -> None:
    axes.axhspan(77, 83, color=PALE, linewidth=0)
    axes.set_ylim(30, 95)
    _marks(axes, [row.held_80 for row in rows], [row.error for row in rows])


def _chance_over(axes: Axes, rows: Sequence[Summary]) -> None:
    axes.axhspan(-3, 3, color=PALE, linewidth=0)
    axes.set_ylim(-20, 50)
    _marks(axes, [row.over - row.stated_over for row in rows], [row.over_error for row in rows])


def _marks(axes: Axes, values: Sequence[float], errors: Sequence[float]) -> None:
    axes.errorbar(np.arange(len(values)), values, 2 * np.array(errors), fmt="o", color=INK, ecolor=SOFT, markersize=4)


def _write(worlds: Worlds, path: Path, draw: Callable[[Axes, Sequence[Summary]], None], label: str) -> None:
    lines = -(-len(worlds) // COLUMNS)
    with rc_context({**STYLE, "font.size": 8, "svg.hashsalt": path.stem}):
        figure = Figure(figsize=(8.4, 1.0 + 1.7 * lines), layout="constrained")
        FigureCanvasSVG(figure)
        panels = figure.subplots(lines, COLUMNS, sharex=True, sharey=True, squeeze=False).flat
        for axes, (name, rows) in zip(panels, worlds.items(), strict=False):
            draw(axes, rows)
            axes.set_title(name, fontsize=8, color=INK)
            axes.set_xticks(np.arange(len(rows)), [str(row.size) for row in rows])
        figure.supxlabel("earlier jobs", color=INK)
        figure.supylabel(label, color=INK)
        figure.savefig(path, format="svg", metadata={"Date": None})
