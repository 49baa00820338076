"""Whom a chart serves: by size, by region of the waist-hip plane, and by the number of its sizes."""

from collections.abc import Sequence

import numpy as np
from matplotlib.axes import Axes
from matplotlib.cm import ScalarMappable
from matplotlib.colors import Normalize
from matplotlib.patches import Rectangle

from .._kirtle import BestChart, ChartFit
from .sheet import DART, GUIDE, INK, SHADES, at_least, axes_of, choice, letters


def chart_fit(fit: ChartFit, *, ax: Axes | None = None) -> Axes:
    """How many people each size is given to, and how many of them it serves."""
    ax = axes_of(ax)
    names = [name for name, _, _ in fit.loads]
    served = np.array([served for _, _, served in fit.loads])
    rest = np.array([given for _, given, _ in fit.loads]) - served
    ax.bar(names, served, color=GUIDE, edgecolor=INK, linewidth=0.8, label="served")
    ax.bar(names, rest, bottom=served, color="white", edgecolor=INK, linewidth=0.8, hatch="////", label="given it, not served")
    measured = fit.count - fit.unmeasured
    ax.set(xlabel="size", ylabel="people given the size")
    ax.set_title(f"{fit.served:,} of {measured:,} people served ({fit.share_served:.0%})", fontsize=letters(ax, largest=10))
    ax.yaxis.set_major_formatter("{x:,.0f}")
    ax.legend(frameon=False, fontsize=letters(ax))
    return ax


def regions(fit: ChartFit, *, step: float = 4.0, ax: Axes | None = None) -> Axes:
    """The share served in each square of the waist-hip plane, `step` wide in the unit of the fit; a square's size tells how
    many people are in it."""
    squares = fit.regions(step)
    at_least("people", len(squares), 1)
    ax = axes_of(ax)
    most = max(people for _, _, people, _ in squares)
    for waist, hip, people, served in squares:
        side = step * max((people / most) ** 0.5, 0.12)
        corner = (waist + (step - side) / 2, hip + (step - side) / 2)
        ax.add_patch(Rectangle(corner, side, side, facecolor=SHADES(served / people), edgecolor=INK, linewidth=0.6))
    bar = ax.figure.colorbar(ScalarMappable(Normalize(0, 100), SHADES), ax=ax, label="served (%)")
    bar.outline.set_visible(False)
    ax.set(xlabel=f"waist ({fit.unit})", ylabel=f"hip ({fit.unit})", aspect="equal")
    ax.set_title(f"Area of a square: people in it, at most {most:,}", fontsize=letters(ax, largest=10))
    ax.autoscale_view()
    return ax


def best_charts(charts: Sequence[BestChart], *, loss: str = "squared", ax: Axes | None = None) -> Axes:
    """The mean loss of charts by their number of sizes, and the bound below which none can be; `loss` is that by which they
    were sought."""
    at_least("charts", len(charts), 1)
    choice("loss", loss, ("squared", "absolute", "within"))
    unit, scale = charts[0].unit, 100 if loss == "within" else 1
    labels = {"squared": f"mean squared miss ({unit}²)", "absolute": f"mean miss ({unit})", "within": "not served (%)"}
    ax = axes_of(ax)
    counts = [len(chart.sizes) for chart in charts]
    ax.plot(counts, [scale * chart.loss for chart in charts], "o-", color=INK, label="best found")
    bound = [scale * chart.bound for chart in charts]
    ax.plot(counts, bound, "s:", color=DART, markerfacecolor="white", label="no chart can have less")
    ax.set(xlabel="sizes in the chart", ylabel=labels[loss], xticks=counts)
    ax.set_ylim(bottom=0)
    ax.legend(frameon=False, fontsize=letters(ax))
    return ax
