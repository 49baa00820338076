"""Plots of how size charts fit people: by size, by region of the plane of waist and hip, and by the number of sizes."""

from collections.abc import Sequence
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.cm import ScalarMappable
from matplotlib.colors import Normalize
from matplotlib.patches import Rectangle

from .._kirtle import BestChart, ChartFit
from .axes import at_least, axes_of, choice, label_lengths, line_width, mark_size, palette, write_head


def chart_fit(fit: ChartFit, *, ax: Axes | None = None) -> Axes:
    """Plot the number of people assigned to each size, split into served and unserved people; by weight if they have weights."""
    ax = axes_of(ax)
    names = [name for name, _, _ in fit.loads]
    loads: Sequence[tuple[float, float]] = fit.load_weights or [(assigned, served) for _, assigned, served in fit.loads]
    served = np.array([served for _, served in loads])
    unserved = np.array([assigned for assigned, _ in loads]) - served
    colours, width = palette(ax), line_width(0.5)
    edges: dict[str, Any] = {"edgecolor": colours.ink, "linewidth": width}
    ax.bar(names, served, color=colours.guide, label="served", **edges)
    ax.bar(names, unserved, bottom=served, color=colours.paper, hatch="////", label="nearest size, but not served", **edges)
    weights = ", sum of weights" * bool(fit.load_weights)
    ax.set(xlabel="size", ylabel=f"people whose nearest size it is{weights}")
    ax.yaxis.set_major_formatter("{x:,.0f}")
    title = f"{fit.served:,} of {fit.count - fit.unmeasured:,} people served ({fit.share_served:.0%}{' by weight' * bool(weights)})"
    bars = "; ".join(f"size {name}: {here:,.12g} of {all_:,.12g}" for name, (all_, here) in zip(names, loads, strict=True))
    write_head(ax, title, f"People served by size{weights}. {title}. {bars}.")
    return ax


def regions(fit: ChartFit, *, step: float = 4.0, ax: Axes | None = None) -> Axes:
    """Plot the share of served people in squares of the plane of waist and hip.

    The side of a square is `step`, in the unit of the fit. The area of the drawn square is proportional to its number of people, or to
    the sum of their weights.
    """
    squares = fit.regions(step)
    at_least("people", len(squares), 1)
    ax = axes_of(ax)
    colours = palette(ax)
    largest = max(people for _, _, people, _ in squares)
    for waist, hip, people, served in squares:
        side = step * max((people / largest) ** 0.5, 0.12)
        corner = (waist + (step - side) / 2, hip + (step - side) / 2)
        shade = colours.shades(served / people)
        ax.add_patch(Rectangle(corner, side, side, facecolor=shade, edgecolor=colours.ink, linewidth=line_width(0.4)))
    bar = ax.figure.colorbar(ScalarMappable(Normalize(0, 100), colours.shades), ax=ax, label="served (%)")
    bar.outline.set_visible(False)
    ax.set(aspect="equal")
    ax.autoscale_view()
    label_lengths(ax, fit.unit, x="waist", y="hip")
    what = "the weight of its people" if fit.load_weights else "its number of people"
    title = f"Area of a square: {what}, at most {largest:,.12g}"
    write_head(ax, title, f"Share of served people by waist and hip, {fit.share_served:.0%} of all. {title}.")
    return ax


def best_charts(charts: Sequence[BestChart], *, loss: str = "squared", ax: Axes | None = None) -> Axes:
    """Plot the mean loss of best charts and its lower bound, over the number of sizes.

    `loss` is the name of the loss in `best_chart`: ``squared``, ``absolute`` or ``within``.
    """
    at_least("charts", len(charts), 1)
    choice("loss", loss, ("squared", "absolute", "within"))
    unit, scale = charts[0].unit, 100 if loss == "within" else 1
    labels = {"squared": f"mean squared difference ({unit}²)", "absolute": f"mean difference ({unit})", "within": "not served (%)"}
    ax = axes_of(ax)
    counts = [len(chart.sizes) for chart in charts]
    colours, size = palette(ax), mark_size(1)
    found, bound = ([scale * getattr(chart, name) for chart in charts] for name in ("loss", "bound"))
    ax.plot(counts, found, "o-", color=colours.ink, markersize=size, label="best found")
    ax.plot(counts, bound, "s:", color=colours.dart, markerfacecolor=colours.paper, markersize=size, label="lower bound")
    ax.set(xticks=counts)
    ax.set_ylim(bottom=0)
    ax.set(xlabel="sizes in the chart", ylabel=labels[loss])
    points = "; ".join(f"{count}: {one:.3g}, at least {low:.3g}" for count, one, low in zip(counts, found, bound, strict=True))
    write_head(ax, "Best charts by number of sizes", f"Best charts by number of sizes, {labels[loss]}. {points}.")
    return ax
