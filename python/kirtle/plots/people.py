"""People by waist and hip, and the sizes that are to serve them."""

from collections.abc import Mapping
from typing import Any

import numpy as np
import numpy.typing as npt
import pyarrow as pa
from matplotlib.axes import Axes

from .._kirtle import BestChart, ChartFit, SizeChart
from .sheet import CLOTH, DART, HALO, INK, Floats, axes_of, letters, numbers, per_cm

MOST = 5_000
"""More points than these hide each other."""


def population(
    source: Any, *, chart: SizeChart | BestChart | None = None, fit: ChartFit | None = None,
    columns: Mapping[str, str] | None = None, unit: str = "cm", ax: Axes | None = None,
) -> Axes:
    """The waist and hip of the people of a table, in `unit`, with the sizes of a chart as marks.

    `columns` names the columns of `waist` and `hip`, where they have other names. With a `fit` of the same table those whom it
    serves are told from the others. Of more than 5,000 people rows at even steps are shown, and the legend says so.
    """
    per_cm(unit)
    waist, hip = numbers(source, ("waist", "hip"), columns)
    shown = thinned(np.isfinite(waist) & np.isfinite(hip))
    count = int(np.sum(np.isfinite(waist) & np.isfinite(hip)))
    told = f"{len(shown):,} of {count:,} people shown" if len(shown) < count else f"{count:,} people"
    ax = axes_of(ax)
    if fit is None:
        scatter(ax, waist[shown], hip[shown], INK, ".", told)
    else:
        all_served = served(fit, len(waist))
        serves, cut = all_served[shown], f"; {len(shown):,} shown" if len(shown) < count else ""
        told = f"{int(np.sum(all_served)):,} of {count:,} people{cut}"
        scatter(ax, waist[shown][serves], hip[shown][serves], INK, ".", f"served ({told})")
        scatter(ax, waist[shown][~serves], hip[shown][~serves], DART, "x", "not served")
    if chart is not None:
        mark(ax, sizes_of(chart, unit))
    ax.set(xlabel=f"waist ({unit})", ylabel=f"hip ({unit})")
    ax.legend(frameon=False, fontsize=letters(ax), loc="best")
    return ax


def thinned(measured: npt.NDArray[np.bool_]) -> npt.NDArray[np.intp]:
    """The rows to show: of those measured, at even steps, no more than can be told apart."""
    rows = np.flatnonzero(measured)
    return rows[:: -(-len(rows) // MOST) or 1]


def served(fit: ChartFit, rows: int) -> npt.NDArray[np.bool_]:
    """Whom the chart serves, row by row."""
    if len(fit) != rows:
        raise ValueError(f"fit: is of {len(fit):,} people; the table has {rows:,}")
    found: npt.NDArray[np.bool_] = np.asarray(pa.table(fit)["serves"].fill_null(False))
    return found


def scatter(ax: Axes, waist: Floats, hip: Floats, colour: str, marker: str, label: str) -> None:
    """A small mark for each person, the lighter the more of them."""
    alpha = float(np.clip(40 / max(len(waist), 1) ** 0.6, 0.3, 0.9))
    size = {".": 1.5, "x": 1.1}[marker] * letters(ax)
    points = ax.scatter(waist, hip, s=size, c=colour, marker=marker, alpha=alpha, linewidths=0.6, label=label)
    points.set_rasterized(True)


def sizes_of(chart: SizeChart | BestChart, unit: str) -> list[tuple[str, float, float]]:
    """The name, the waist and the hip of each size."""
    if isinstance(chart, BestChart):
        scale = per_cm(unit) / per_cm(chart.unit)
        return [(str(k), waist * scale, hip * scale) for k, (waist, hip, _) in enumerate(chart.sizes, 1)]
    return [(name, chart[name].waist * per_cm(unit), chart[name].hip * per_cm(unit)) for name in chart.names]


def mark(ax: Axes, sizes: list[tuple[str, float, float]]) -> None:
    """A labelled mark for each size."""
    _, waist, hip = zip(*sizes, strict=True)
    ax.scatter(waist, hip, s=4 * letters(ax), marker="s", facecolor=CLOTH, edgecolor=INK, linewidths=1.2, zorder=3, label="sizes")
    for name, x, y in sizes:
        ax.annotate(
            name, (x, y), xytext=(0, 6), textcoords="offset points", ha="center", fontsize=letters(ax), weight="bold",
            color=INK, path_effects=HALO, zorder=4,
        )
