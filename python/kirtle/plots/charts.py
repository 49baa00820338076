"""Plots of how size charts fit people: by size, by region of the plane of waist and hip, and by the number of sizes."""

from collections.abc import Sequence

import numpy as np
from matplotlib.axes import Axes
from matplotlib.cm import ScalarMappable
from matplotlib.colors import Normalize
from matplotlib.patches import Rectangle

from .._kirtle import BestChart, ChartFit
from .axes import DART, GUIDE, INK, SHADES, at_least, axes_of, choice, font_size


def chart_fit(fit: ChartFit, *, ax: Axes | None = None) -> Axes:
    """Plot the number of people assigned to each size, split into served and unserved people."""
    ax = axes_of(ax)
    names = [name for name, _, _ in fit.loads]
    served = np.array([served for _, _, served in fit.loads])
    unserved = np.array([assigned for _, assigned, _ in fit.loads]) - served
    ax.bar(names, served, color=GUIDE, edgecolor=INK, linewidth=0.8, label="served")
    ax.bar(names, unserved, bottom=served, color="white", edgecolor=INK, linewidth=0.8, hatch="////", label="assigned, not served")
    measured = fit.count - fit.unmeasured
    ax.set(xlabel="size", ylabel="people assigned to the size")
    ax.set_title(f"{fit.served:,} of {measured:,} people served ({fit.share_served:.0%})", fontsize=font_size(ax, largest=10))
    ax.yaxis.set_major_formatter("{x:,.0f}")
    ax.legend(frameon=False, fontsize=font_size(ax))
    return ax


def regions(fit: ChartFit, *, step: float = 4.0, ax: Axes | None = None) -> Axes:
    """Plot the share of served people in squares of the plane of waist and hip.

    The side of a square is `step`, in the unit of the fit. The area of the drawn square is proportional to its number of people.
    """
    squares = fit.regions(step)
    at_least("people", len(squares), 1)
    ax = axes_of(ax)
    largest = max(people for _, _, people, _ in squares)
    for waist, hip, people, served in squares:
        side = step * max((people / largest) ** 0.5, 0.12)
        corner = (waist + (step - side) / 2, hip + (step - side) / 2)
        ax.add_patch(Rectangle(corner, side, side, facecolor=SHADES(served / people), edgecolor=INK, linewidth=0.6))
    bar = ax.figure.colorbar(ScalarMappable(Normalize(0, 100), SHADES), ax=ax, label="served (%)")
    bar.outline.set_visible(False)
    ax.set(xlabel=f"waist ({fit.unit})", ylabel=f"hip ({fit.unit})", aspect="equal")
    ax.set_title(f"Area of a square: its number of people, at most {largest:,}", fontsize=font_size(ax, largest=10))
    ax.autoscale_view()
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
    ax.plot(counts, [scale * chart.loss for chart in charts], "o-", color=INK, label="best found")
    bound = [scale * chart.bound for chart in charts]
    ax.plot(counts, bound, "s:", color=DART, markerfacecolor="white", label="lower bound")
    ax.set(xlabel="sizes in the chart", ylabel=labels[loss], xticks=counts)
    ax.set_ylim(bottom=0)
    ax.legend(frameon=False, fontsize=font_size(ax))
    return ax
