"""The plots of the labour report, as SVG with alternative text. Nothing is told by colour alone."""

from __future__ import annotations

import io
import re
from collections.abc import Sequence
from dataclasses import dataclass
from html import escape
from typing import Any

import numpy as np
from matplotlib import rc_context
from matplotlib.axes import Axes
from matplotlib.backends.backend_svg import FigureCanvasSVG
from matplotlib.figure import Figure

INK, SOFT, PALE = "#1f2a33", "#5b7083", "#c9d3dc"
METADATA = re.compile(r"\s*<metadata>.*?</metadata>", re.DOTALL)
NAME = re.compile(r"""(\bid="|href="#|url\(#)([^")]+)""")
STYLE: dict[Any, Any] = {
    "svg.fonttype": "none",
    "font.family": "sans-serif",
    "font.size": 10,
    "axes.edgecolor": SOFT,
    "axes.labelcolor": INK,
    "xtick.color": INK,
    "ytick.color": INK,
    "axes.spines.top": False,
    "axes.spines.right": False,
}


@dataclass(frozen=True)
class Interval:
    """A named middle value with its range, and a value to compare it with (None: nothing to compare)."""

    name: str
    low: float
    middle: float
    high: float
    compared: float | None = None


def hours_plot(hours: Sequence[float], quoted: float, median: float) -> str:
    """How likely the labour hours are to lie where, with the quoted figure and the part beyond it hatched."""
    figure, axes = _figure(7.2, 2.9)
    values = np.asarray(hours)
    low, high = float(np.quantile(values, 0.002)), float(np.quantile(values, 0.99))
    edges = np.linspace(low, max(high, low + 0.01), 60)
    counts, _ = np.histogram(values, bins=edges)
    share = 100 * counts / len(values)
    middles = 0.5 * (edges[1:] + edges[:-1])
    width = edges[1] - edges[0]
    over = middles > quoted
    axes.bar(middles[~over], share[~over], width, color=PALE, edgecolor=PALE)
    axes.bar(middles[over], share[over], width, color="white", edgecolor=SOFT, hatch="////", linewidth=0)
    axes.axvline(median, color=INK, linestyle=":", linewidth=1.4)
    axes.axvline(quoted, color=INK, linewidth=1.8)
    top = float(share.max()) if len(share) else 1.0
    axes.annotate("median", (median, top * 1.06), ha="right", color=INK, xytext=(-3, 0), textcoords="offset points")
    axes.annotate("figure", (quoted, top * 1.06), ha="left", color=INK, xytext=(3, 0), textcoords="offset points")
    axes.set_xlabel("labour hours")
    axes.set_ylabel("share of outcomes, %")
    axes.set_ylim(0, top * 1.2)
    return _svg(
        figure,
        "hours",
        f"Histogram of labour hours: half lie below {median:.2f}; the part beyond {quoted:g} h is hatched.",
    )


def intervals_plot(
    rows: Sequence[Interval], label: str, compared: str, alternative: str, at: float | None = None
) -> str:
    """One line a row from low to high with a round mark in the middle; what it is compared with is a cross."""
    figure, axes = _figure(7.2, 1.0 + 0.36 * len(rows))
    places = np.arange(len(rows))[::-1]
    for place, row in zip(places, rows, strict=True):
        axes.plot([row.low, row.high], [place, place], color=SOFT, linewidth=2.4, solid_capstyle="butt")
        axes.plot(row.middle, place, "o", color=INK, markersize=6)
        if row.compared is not None:
            axes.plot(row.compared, place, "x", color=INK, markersize=7, markeredgewidth=1.6)
    if at is not None:
        axes.axvline(at, color=SOFT, linestyle=":", linewidth=1.2)
    axes.set_yticks(places, [row.name for row in rows])
    axes.set_ylim(-0.6, len(rows) - 0.4)
    axes.set_xlabel(label + (f"\nline: four in five; dot: median; cross: {compared}" if compared else ""))
    return _svg(figure, label, alternative)


def shares_plot(
    names: Sequence[str], parts: Sequence[tuple[str, Sequence[float]]], label: str, alternative: str
) -> str:
    """Stacked bars, one a name; the parts differ by hatching."""
    figure, axes = _figure(7.2, 1.2 + 0.36 * len(names))
    places = np.arange(len(names))[::-1]
    start = np.zeros(len(names))
    looks = (("", PALE), ("////", "white"), ("xx", "white"))
    for (name, values), (hatch, colour) in zip(parts, looks, strict=False):
        axes.barh(places, values, left=start, color=colour, edgecolor=SOFT, hatch=hatch, height=0.66, label=name)
        start = start + np.asarray(values)
    axes.set_yticks(places, list(names))
    axes.set_xlabel(label)
    axes.legend(loc="lower center", bbox_to_anchor=(0.4, 1.0), ncols=len(parts), frameon=False)
    return _svg(figure, label, alternative)


def steps_plot(x: Sequence[float], y: Sequence[float], labels: tuple[str, str], alternative: str) -> str:
    """Percentages against percentages, with the dotted diagonal they should lie on."""
    figure, axes = _figure(5.0, 3.2)
    axes.plot([0, 100], [0, 100], color=SOFT, linestyle=":", linewidth=1.2)
    axes.plot(x, y, "o-", color=INK, linewidth=1.4, markersize=4)
    axes.set_xlabel(labels[0])
    axes.set_ylabel(labels[1])
    return _svg(figure, labels[0], alternative)


def _figure(width: float, height: float) -> tuple[Figure, Axes]:
    with rc_context(STYLE):
        figure = Figure(figsize=(width, height), layout="constrained")
        FigureCanvasSVG(figure)
        return figure, figure.add_subplot()


def _svg(figure: Figure, salt: str, alternative: str) -> str:
    """The figure as an inline SVG element that says in words what it shows."""
    text = io.StringIO()
    with rc_context({**STYLE, "svg.hashsalt": salt}):
        figure.savefig(text, format="svg", metadata={"Date": None})
    drawing = text.getvalue()
    drawing = METADATA.sub("", drawing[drawing.index("<svg") :])
    prefix = re.sub(r"[^a-z]", "", salt.lower())
    drawing = NAME.sub(lambda found: f"{found[1]}{prefix}-{found[2]}", drawing)
    spoken = escape(alternative, quote=True)
    return drawing.replace("<svg", f'<svg role="img" aria-label="{spoken}"', 1)
