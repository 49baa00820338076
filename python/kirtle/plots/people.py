"""Plots of people with the sizes of a chart: by waist and hip, and the distribution of the waist, the hip or the drop."""

from collections.abc import Mapping
from typing import Any

import numpy as np
import numpy.typing as npt
import pyarrow as pa
from matplotlib.axes import Axes
from matplotlib.patches import Rectangle

from .._kirtle import BestChart, ChartFit, Ease, SizeChart, fit_chart
from ..options import CM_PER_UNIT
from ..words import TABLE_UNITS, number_text
from .axes import Colour, Floats, axes_of, check_choice, label_lengths, line_width, mark_size, palette, read_columns, write_head, write_near

MANY_POINTS = 1_000
"""Number of people above which points are small and grey, so that sizes and boxes stay visible."""

MAX_POINTS = 5_000
"""Maximum number of people shown as points; more points would hide each other."""

STEP_CM = 2.0
"""Width of a bar in centimetres; a bar in inches is one inch wide."""

GIRTHS = {"waist": (1, 0), "hip": (0, 1), "drop": (-1, 1)}
"""Factors of waist and hip whose sum is shown."""


def population(
    source: Any, *, chart: SizeChart | BestChart | None = None, fit: ChartFit | None = None, tolerance: float | None = None,
    bounds: Mapping[str, tuple[float, float]] | None = None, ease: Ease | None = None, columns: Mapping[str, str] | None = None, unit: str | None = None, title: bool = True, ax: Axes | None = None,
) -> Axes:
    """Plot the people of a table by waist and hip, with the sizes of a chart as marks.

    `source` is any object with an Arrow stream, with lengths in `unit`, by default that of the `fit`, or cm. `columns` maps `waist` and `hip` to other names of
    columns. With a `fit` of the same table, served and unserved people have different marks. With `tolerance`, or with `bounds` of the
    ease left by garments with an `ease`, as in `best_chart`, a dashed box around each size holds the people whom the size serves. Of more than 5,000 people, the plot
    shows every n-th; the legend has the numbers. More than 1,000 are drawn small. People whom the fit refuses, or would refuse for their girths, are left out.
    """
    unit = unit or (fit.unit if fit else "cm")
    check_choice("unit", unit, (fit.unit,) if fit else TABLE_UNITS)
    waist, hip = read_columns(source, ("waist", "hip"), columns)
    is_measured, is_served = measured_and_served(fit, waist, hip, unit)
    rows = np.flatnonzero(is_measured)
    count = len(rows)
    shown = rows[:: max(1, -(-count // MAX_POINTS))]  # Every n-th person, with the smallest n that suffices.
    is_small = len(shown) > MANY_POINTS
    unmeasured = f", {len(waist) - count:,} not measured" * (count < len(waist))
    note = (f"{len(shown):,} of {count:,} people shown" if len(shown) < count else f"{count:,} people") + unmeasured
    ax, box = axes_of(ax), ""
    colours = palette(ax)
    if fit is None:
        scatter(ax, waist[shown], hip[shown], colours.guide if is_small else colours.ink, ".", note, is_small=is_small)
    else:
        serves, shown_note = is_served[shown], f"; {len(shown):,} shown" if len(shown) < count else ""
        note = f"{int(np.sum(is_served)):,} of {count:,} people{unmeasured}{shown_note}"
        scatter(ax, waist[shown][serves], hip[shown][serves], colours.ink, ".", f"served ({note})", is_small=is_small)
        scatter(ax, waist[shown][~serves], hip[shown][~serves], colours.shade(0.5) if colours.dart == colours.ink else colours.dart, "x", "not served", is_small=is_small)
    if chart is not None:
        sizes = sizes_of(chart, unit)
        if tolerance is not None or bounds:
            reach = reach_of_size(tolerance or 0.0, bounds or {}, ease, unit)
            box = f"within {tolerance:g} {unit} of a size" if not bounds else "served by a size"
            draw_boxes(ax, sizes, reach, box, colours.dart if fit is None else colours.ink)
        mark_sizes(ax, sizes, mark_size(0.45 if box else 0.95))
    ax.margins(y=0.14)  # Room for the name of a size above its mark.
    label_lengths(ax, unit, x="waist", y="hip")
    head = "Waist and hip of people" + " and sizes" * (chart is not None)
    return write_head(ax, head, f"{head}: {note}{', served' if fit is not None else ''}.{f' Boxes: {box}.' * bool(box)}", title=title)


def measured_and_served(fit: ChartFit | None, waist: Floats, hip: Floats, unit: str) -> tuple[npt.NDArray[np.bool_], npt.NDArray[np.bool_]]:
    """Return two bools for each row: whether the person is measured, and served; refuse a fit with another number of rows."""
    if fit is None:
        fit = fit_chart(SizeChart.demo(), pa.table({"waist": waist, "hip": hip}), ease=Ease(waist=0, hip=0), tolerance=0, unit=unit)
    if len(fit) != len(waist):
        raise ValueError(f"fit: has {len(fit):,} people, but the table has {len(waist):,}")
    serves = pa.table(fit)["serves"]
    return np.asarray(serves.is_valid()), np.asarray(serves.fill_null(False))


def scatter(ax: Axes, waist: Floats, hip: Floats, colour: Colour, marker: str, label: str, *, is_small: bool) -> None:
    """Draw a small mark for each person; of many people a smaller one in grey."""
    alpha = 0.65 if is_small else 0.9
    size = {".": 0.33, "x": 0.25}[marker] * mark_size(0.6 if is_small else 1) ** 2
    points = ax.scatter(waist, hip, s=size, color=colour, marker=marker, alpha=alpha, linewidths=line_width(0.4), label=label, zorder={"x": 1, ".": 1.1}[marker])
    points.set_rasterized(True)


def sizes_of(chart: SizeChart | BestChart, unit: str) -> list[tuple[str, float, float]]:
    """Return name, waist and hip of each size, in `unit`."""
    if isinstance(chart, BestChart):
        scale = CM_PER_UNIT[chart.unit] / CM_PER_UNIT[unit]
        return [(str(number), waist * scale, hip * scale) for number, (waist, hip, _) in enumerate(chart.sizes, 1)]
    return [(name, chart[name].waist / CM_PER_UNIT[unit], chart[name].hip / CM_PER_UNIT[unit]) for name in chart.names]


def reach_of_size(tolerance: float, bounds: Mapping[str, tuple[float, float]], ease: Ease | None, unit: str) -> list[tuple[float, float]]:
    """Return the least and greatest difference in waist and in hip, person minus size, at which a size serves."""
    eases = {name: 0.0 if ease is None else getattr(ease, name) / CM_PER_UNIT[unit] for name in ("waist", "hip")}
    left = {name: (one - tolerance, one + tolerance) for name, one in eases.items()} | dict(bounds)
    return [(eases[name] - left[name][1], eases[name] - left[name][0]) for name in ("waist", "hip")]


def draw_boxes(ax: Axes, sizes: list[tuple[str, float, float]], reach: list[tuple[float, float]], label: str, colour: Colour) -> None:
    """Draw the dashed outline of the people whom each size serves; the first has the label."""
    (left, right), (low, high) = reach
    for k, (_, waist, hip) in enumerate(sizes):
        ax.add_patch(Rectangle(
            (waist + left, hip + low), right - left, high - low, fill=False, edgecolor=colour, linewidth=line_width(1), linestyle=(0, (3, 1)), zorder=2.5,
            label="" if k else label,
        ))


def mark_sizes(ax: Axes, sizes: list[tuple[str, float, float]], side: float) -> None:
    """Draw a labelled square of a side in points for each size."""
    _, waist, hip = zip(*sizes, strict=True)
    colours = palette(ax)
    ax.scatter(
        waist, hip, s=side**2, marker="s", facecolor="none", path_effects=colours.halo, edgecolor=colours.ink, linewidths=line_width(0.8), zorder=3,
        label="sizes",
    )
    for name, x, y in sizes:
        write_near(ax, name, (x, y), (0, 6), ha="center", weight="bold", path_effects=colours.halo, zorder=4)


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
    ax.set_ylabel(f"people{' by weight' * ('weight' in (columns or {}))} (%)")
    head = f"{of.capitalize()} of people" + " and sizes" * bool(sizes)
    order = np.argsort(values)
    shares_up_to = np.cumsum(weights[order]) / weights.sum()
    ends = [number_text(float(values[order][np.searchsorted(shares_up_to, share)])) for share in (0.05, 0.5, 0.95)] if len(values) else []
    spread = f" 5% have at most {ends[0]}, half at most {ends[1]}, 95% at most {ends[2]} {unit}." if ends else ""
    text = f"{head}{' (hip minus waist)' * (of == 'drop')}: {len(values):,} of {len(waist):,} people.{spread}"
    lines = ", ".join(number_text(float(value)) for value in sorted(sizes))
    write_head(ax, head, text + f" Sizes: {lines} {unit}." * bool(sizes), title=title)
    counts = [text for text in ax.texts if text.get_text().startswith("×")]
    for k, one in enumerate(counts):
        while any(one.get_window_extent().overlaps(other.get_window_extent()) for other in counts[:k]):
            one.set_y(one.get_position()[1] - 0.02)
    return ax
