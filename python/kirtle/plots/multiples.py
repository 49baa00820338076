"""Small multiples: one plot for each of several bodies, drafts or results, at one scale."""

from collections.abc import Callable, Sequence
from typing import Any

import matplotlib as mpl
import matplotlib.pyplot as plt
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.font_manager import FontProperties

from .axes import check_at_least
from .panels import draft


def small_multiples(
    items: Sequence[Any], plot: Callable[..., Axes] = draft, *, labels: Sequence[str] | None = None, columns: int = 2, **options: Any
) -> list[Axes]:
    """Plot each of several items on axes of its own, all at one scale, in a new figure with one legend; return the axes.

    `plot` is a plot function of this module, by default `draft`, called with an item and the `options`. `labels` replace the titles.
    The figure has at most `columns` columns.
    """
    check_at_least("items", len(items), 1)
    check_at_least("columns", columns, 1)
    if labels is not None and len(labels) != len(items):
        raise ValueError(f"labels: {len(labels)} labels are given for {len(items)} items")
    figure = plt.figure(layout="constrained")
    columns = min(columns, len(items))
    axes = [figure.add_subplot(-(-len(items) // columns), columns, k + 1) for k in range(len(items))]
    for ax, item in zip(axes, items, strict=True):
        plot(item, ax=ax, **options)
    share_scale(axes)
    share_legend(figure, axes)
    for ax, label in zip(axes, labels or (), strict=False):
        ax.set_title(label)
    figure.supxlabel(axes[0].get_xlabel(), fontsize="medium")
    figure.supylabel(axes[0].get_ylabel().replace("\n", " "), fontsize="medium")
    for ax in axes:
        ax.set(xlabel="", ylabel="")
    return axes


def share_scale(axes: Sequence[Axes]) -> None:
    """Give all axes limits that include the limits of all; an inverted axis stays inverted."""
    for name in ("x", "y"):
        limits = [getattr(ax, f"get_{name}lim")() for ax in axes]
        low, high = min(map(min, limits)), max(map(max, limits))
        for ax, (first, last) in zip(axes, limits, strict=True):
            getattr(ax, f"set_{name}lim")((low, high) if first < last else (high, low))


def share_legend(figure: Figure, axes: Sequence[Axes]) -> None:
    """Replace the legends of the axes by one above them, in one row."""
    entries: dict[str, Any] = {}
    for ax in axes:
        if legend := ax.get_legend():
            entries |= {text.get_text(): handle for text, handle in zip(legend.get_texts(), legend.legend_handles, strict=True)}
            legend.remove()
        ax.set_title(ax.get_title(), x=0.5)  # Without room for the legend.
    size = FontProperties(size=mpl.rcParams["legend.fontsize"]).get_size_in_points()
    for share in (1, 0.9, 0.8, 0.7, 0.6) if entries else ():
        legend = figure.legend(
            entries.values(), entries.keys(), loc="outside upper center", ncols=len(entries), frameon=False, fontsize=share * size,
        )
        if legend.get_window_extent().width <= figure.bbox.width:
            break
        legend.remove()
