"""Small multiples: one plot for each of several bodies, drafts or results, at one scale."""

from collections.abc import Callable, Mapping, Sequence
from typing import Any

import matplotlib as mpl
import matplotlib.pyplot as plt
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.font_manager import FontProperties
from matplotlib.layout_engine import PlaceHolderLayoutEngine

from .._kirtle import Draft
from ..words import draft_labels, subject
from .axes import cell_extent, check_range, fit_text, fit_texts_alike, lay_out, named_items, unit_of
from .ease_profile import ease_around
from .panels import draft

PANEL_SHARE = 0.6
"""Width and height of one of several plots, as shares of the size of a figure in matplotlib's settings."""


def small_multiples(
    items: Sequence[Any] | Mapping[str, Any], plot: Callable[..., Axes] = draft, *, labels: Sequence[str] | None = None, columns: int = 2, **options: Any
) -> list[Axes]:
    """Plot each of several items on axes of its own, all at one scale, in a new figure with one legend; return the axes.

    `plot` is a plot function of this module, by default `draft`, called with an item and the `options`, in at most `columns` columns.
    What all drafts have in common stands above, and over each what differs. `labels`, or the names of a mapping, replace the titles.
    The figure grows with rows and columns.
    """
    items, labels = named_items(items, labels)
    check_range("items", len(items), 1)
    check_range("columns", columns, 1)
    if labels is not None and len(labels) != len(items):
        raise ValueError(f"labels: {len(labels)} labels are given for {len(items)} items")
    columns = min(columns, len(items))
    rows = -(-len(items) // columns)
    projection, share = ("3d", 1) if plot is ease_around else (None, PANEL_SHARE)
    size = [max(1, share * count) * length for count, length in zip((columns, rows), mpl.rcParams["figure.figsize"], strict=True)]
    figure = plt.figure(figsize=(size[0], size[1]), layout=PlaceHolderLayoutEngine(True, True) if projection else "constrained")
    axes = [figure.add_subplot(rows, columns, k + 1, projection=projection) for k in range(len(items))]
    if all(isinstance(item, Draft) for item in items):
        options["unit"] = unit_of(items[0], options.get("unit"))
    for ax, item in zip(axes, items, strict=True):
        plot(item, ax=ax, **options)
    share_scale(axes)
    if projection:  # The constrained layout finds no room for these axes.
        figure.subplots_adjust(top=1 - 1 / size[1])
    share_legend(figure, axes, share_title(axes, items, labels, options.get("unit", "cm")))
    shared: dict[str, Any] = {}
    for name in ("x", "y"):
        label, *others = {getattr(ax, f"get_{name}label")().replace("\n", " ") for ax in axes}
        if not others:
            shared[name] = getattr(figure, f"sup{name}label")(label, fontsize="medium")
        for ax in axes:
            getattr(ax, f"set_{name}label")("" if name in shared else getattr(ax, f"get_{name}label")(), fontsize="small")
    lay_out(axes[0])
    for ax in axes:
        low, high = cell_extent(ax, 0)
        low = max(low, shared["y"].get_window_extent().x1) if "y" in shared else low
        fit_text(ax.title, 0.95 * (high - low), 0)
        ax.title.set_x(((low + high) / 2 - ax.bbox.x0) / ax.bbox.width)
    lay_out(axes[0])
    fit_texts_alike(axes)
    return axes


def share_title(axes: Sequence[Axes], items: Sequence[Any], labels: Sequence[str] | None, unit: str) -> str:
    """Give each of the axes its label, or else a title that says what differs; return what is equal in all drafts, if they are drafts."""
    titles, common = [" ".join(ax.get_title().split()) for ax in axes], ""
    if len(items) > 1 and all(isinstance(item, Draft) for item in items):
        common, names = subject(items, unit), draft_labels(items, None, unit)
        names = [name[0].upper() + name[1:] for name in names]
        titles = [title.replace(subject([item], unit), name) for title, item, name in zip(titles, items, names, strict=True)]
    for ax, title in zip(axes, labels or titles, strict=True):
        ax.set_title(title, fontsize="medium")
    return common


def share_scale(axes: Sequence[Axes]) -> None:
    """Give all axes limits that include the limits of all; an inverted axis stays inverted."""
    for name in ("x", "y"):
        limits = [getattr(ax, f"get_{name}lim")() for ax in axes]
        low, high = min(map(min, limits)), max(map(max, limits))
        for ax, (first, last) in zip(axes, limits, strict=True):
            getattr(ax, f"set_{name}lim")((low, high) if first < last else (high, low))


def share_legend(figure: Figure, axes: Sequence[Axes], title: str) -> None:
    """Replace the legends of the axes by one above them, in one row under a title."""
    entries: dict[str, Any] = {}
    for ax in axes:
        if legend := ax.get_legend():
            entries |= {text.get_text(): handle for text, handle in zip(legend.get_texts(), legend.legend_handles, strict=True)}
            legend.remove()
    if not entries:
        figure.suptitle(title)
    size = FontProperties(size=mpl.rcParams["legend.fontsize"]).get_size_in_points()
    for share in (1, 0.9, 0.8, 0.7, 0.6) if entries else ():
        legend = figure.legend(
            entries.values(), entries.keys(), loc="outside upper center", ncols=len(entries), frameon=False, fontsize=share * size,
            title=title, title_fontsize=share * size * 1.2,
        )
        if legend.get_window_extent().width <= figure.bbox.width:
            break
        legend.remove()
