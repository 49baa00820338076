"""Marginal distribution of the waist, the hip or the drop of people, with the sizes of a chart."""

from collections.abc import Mapping
from typing import Any

import numpy as np
from matplotlib.axes import Axes

from .._kirtle import BestChart, SizeChart
from ..words import TABLE_UNITS, number_text
from .axes import axes_of, check_choice, label_lengths, line_width, palette, read_columns, write_head
from .people import measured_and_served, sizes_of

STEP_CM = 2.0
"""Width of a bar in centimetres; a bar in inches is one inch wide."""

GIRTHS = {"waist": (1, 0), "hip": (0, 1), "drop": (-1, 1)}
"""Factors of waist and hip whose sum is shown."""


def marginal(
    source: Any, of: str = "drop", *, chart: SizeChart | BestChart | None = None, columns: Mapping[str, str] | None = None, unit: str = "cm", title: bool = True,
    ax: Axes | None = None,
) -> Axes:
    """Plot how many people of a table have which `waist`, `hip` or `drop` (hip minus waist), with the sizes of a chart as lines.

    `source` is any object with an Arrow stream, with lengths in `unit`. `columns` maps `waist`, `hip` and the sampling weights `weight` to names of
    columns; with weights, shares are weighted. A bar is 2 cm or 1 in wide. People whom a fit would refuse for their girths are left out.
    """
    check_choice("of", of, tuple(GIRTHS))
    check_choice("unit", unit, TABLE_UNITS)
    waist, hip = read_columns(source, ("waist", "hip"), columns)
    weight = read_columns(source, ("weight",), columns)[0] if "weight" in (columns or {}) else np.ones_like(waist)
    is_counted = measured_and_served(None, waist, hip, unit)[0] & (weight > 0)
    by_waist, by_hip = GIRTHS[of]
    values, weights = (by_waist * waist + by_hip * hip)[is_counted], weight[is_counted]
    ax = axes_of(ax)
    colours = palette(ax)
    step = {"cm": STEP_CM, "mm": 10 * STEP_CM, "in": 1.0}[unit]
    if len(values):
        edges = np.arange(np.floor(values.min() / step), np.floor(values.max() / step) + 2) * step
        shares = 100 * np.histogram(values, edges, weights=weights)[0] / weights.sum()
        ax.bar(edges[:-1], shares, step, align="edge", color=colours.cloth, edgecolor=colours.guide, linewidth=line_width(0.5), label=f"{len(values):,} people")
    sizes = [by_waist * size_waist + by_hip * size_hip for _, size_waist, size_hip in sizes_of(chart, unit)] if chart is not None else []
    for k, (value, count) in enumerate(zip(*np.unique(np.round(sizes, 6), return_counts=True), strict=True)):
        ax.axvline(value, ymax=0.94, color=colours.dart, linewidth=line_width(0.8), label="" if k else "sizes (×: several)")
        if count > 1:
            ax.annotate(f"×{count}", (value, 0.95), xycoords=("data", "axes fraction"), ha="center", fontsize="small", path_effects=colours.halo)
    label_lengths(ax, unit, x=of)
    ax.set_ylabel("people (%)")
    head = f"{of.capitalize()} of people" + " and sizes" * bool(sizes)
    order = np.argsort(values)
    shares_up_to = np.cumsum(weights[order]) / weights.sum()
    ends = [number_text(float(values[order][np.searchsorted(shares_up_to, share)])) for share in (0.05, 0.5, 0.95)] if len(values) else []
    spread = f" 5% have at most {ends[0]}, half at most {ends[1]}, 95% at most {ends[2]} {unit}." if ends else ""
    text = f"{head}{' (hip minus waist)' * (of == 'drop')}: {len(values):,} of {len(waist):,} people.{spread}"
    lines = ", ".join(number_text(float(value)) for value in sorted(sizes))
    write_head(ax, head, text + f" Sizes: {lines} {unit}." * bool(sizes), title=title)
    return ax
