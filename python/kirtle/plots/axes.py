"""Helpers of all plots: axes in matplotlib's style, colours that also differ in grey, heads, units, columns of tables, input errors.

The only file that reads matplotlib's settings, so that all plots follow one style.
"""

import json
import math
import textwrap
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import matplotlib as mpl
import matplotlib.pyplot as plt
import numpy as np
import numpy.typing as npt
import pyarrow as pa
from matplotlib.axes import Axes
from matplotlib.axis import Axis
from matplotlib.collections import PathCollection
from matplotlib.colors import LinearSegmentedColormap, to_rgb, to_rgba
from matplotlib.figure import Figure
from matplotlib.font_manager import FontProperties
from matplotlib.patheffects import withStroke
from matplotlib.text import Text
from matplotlib.ticker import FuncFormatter, Locator

from .._kirtle import Draft, EaseByLevel, Problem
from ..exceptions import InputError
from ..words import length_number

Floats = npt.NDArray[np.float64]
Colour = tuple[float, float, float]

DART_COLOURS = {"light": "#9c3d1c", "dark": "#f0a37c"}
"""Colour of darts on a light and on a dark background."""

STYLES: list[Any] = ["-", (0, (5, 1.5)), (0, (4, 1.5, 1, 1.5)), (0, (1, 1.2))]
"""Line styles that differ without colour."""

MARKERS = "osD^v<>P"
"""Marker shapes that differ without colour."""


@dataclass(frozen=True)
class Palette:
    """Colours of a plot: those of matplotlib's style for text and background, and mixtures of the two.

    Every line has a contrast of at least 3 to 1 with the paper.
    """

    ink: Colour
    paper: Colour
    dart: Colour

    def shade(self, share: float) -> Colour:
        """Return a mixture with a share of ink from 0 to 1."""
        red, green, blue = (share * ink + (1 - share) * paper for ink, paper in zip(self.ink, self.paper, strict=True))
        return red, green, blue

    @property
    def guide(self) -> Colour:
        """Colour of auxiliary lines."""
        return self.shade(0.65)

    @property
    def cloth(self) -> Colour:
        """Colour that fills a panel."""
        return self.shade(0.07)

    @property
    def shades(self) -> LinearSegmentedColormap:
        """Colour map from cloth to ink, with even steps in grey."""
        return LinearSegmentedColormap.from_list("cloth to ink", [self.cloth, self.ink])

    @property
    def halo(self) -> list[withStroke]:
        """Text effect: an outline in the colour of the paper, which keeps text legible on lines."""
        return [withStroke(linewidth=2.5, foreground=self.paper)]


def palette(ax: Axes) -> Palette:
    """Return the colours of a plot in matplotlib's current style; darts have the colour of the text if the style is all grey."""
    background = to_rgba(ax.get_facecolor())
    paper = to_rgb(background if background[3] else figure_of(ax).get_facecolor())
    ink = to_rgb(mpl.rcParams["text.color"])
    cycle = mpl.rcParams["axes.prop_cycle"].by_key().get("color", ["blue"])
    is_grey = all(len(set(to_rgb(colour))) == 1 for colour in cycle)
    return Palette(ink, paper, ink if is_grey else to_rgb(DART_COLOURS["light" if sum(paper) > sum(ink) else "dark"]))


def axes_of(ax: Axes | None, **options: Any) -> Axes:
    """Return the given axes, or axes of a new figure; a figure without layout engine gets the constrained one, which clips nothing."""
    if ax is None:
        ax = plt.figure(layout="constrained").add_subplot(**options)
    if figure_of(ax).get_layout_engine() is None:
        figure_of(ax).set_layout_engine("constrained")
    ax.spines[:].set(linewidth=line_width(0.55))
    ax.spines[["top", "right"]].set_visible(False)
    return ax


def series_style(ax: Axes, index: int, count: int) -> dict[str, Any]:
    """Return shade, line style and marker of one of `count` lines, which differ without colour."""
    shade = palette(ax).shade(1 - 0.4 * index / max(count - 1, 1))
    return {"color": shade, "linestyle": STYLES[index % len(STYLES)], "marker": MARKERS[index % len(MARKERS)]}


def line_width(share: float) -> float:
    """Return a share of the line width of matplotlib's settings."""
    return share * float(mpl.rcParams["lines.linewidth"])


def mark_size(share: float) -> float:
    """Return a share of the marker size of matplotlib's settings."""
    return share * float(mpl.rcParams["lines.markersize"])


def write_head(ax: Axes, head: str, description: str, *, title: bool, handles: Sequence[Any] | None = None) -> Axes:
    """Write title and legend above the axes, store the description as alternative text, and return the axes.

    `title=False` leaves the title out. The legend has the `handles`, or else all labelled lines. Called last: title, legend and axis
    labels are written smaller, or in more lines, if they would not fit into the grid cell of the axes.
    """
    setattr(ax, "kirtle_description", description)
    entries = list(handles) if handles is not None else ax.get_legend_handles_labels()[0]
    height = write_legend(ax, entries) * 72 / figure_of(ax).dpi if entries else 0.0
    ax.set_title(head if title else "", pad=height + float(mpl.rcParams["axes.titlepad"]), va="bottom")
    fit_text(ax.title, 0.98 * float(np.diff(cell_extent(ax, 0))[0]), 0, min_share=0.7)
    lay_out(ax)
    (low, high), centre = cell_extent(ax, 0), (ax.bbox.x0 + ax.bbox.x1) / 2
    spec = ax.get_subplotspec()
    # Plots that come later in other rows make this one lower.
    is_single = spec is None or spec.get_gridspec().nrows == 1
    room = float(min(0.98 * ax.bbox.height, np.inf if is_single else 0.45 * np.diff(cell_extent(ax, 1))[0]))
    if any([fit_text(ax.xaxis.label, 1.96 * min(centre - low, high - centre), 0), fit_text(ax.yaxis.label, room, 1)]):
        lay_out(ax)
    ax.title.set_x(((low + high) / 2 - ax.bbox.x0) / ax.bbox.width)
    if legend := ax.get_legend():
        legend.set_bbox_to_anchor((ax.title.get_position()[0], 1), ax.transAxes)
    return ax


def write_legend(ax: Axes, entries: Sequence[Any]) -> float:
    """Draw a legend above the axes, in at most two rows if these fit at some size; return its height in pixels."""
    width, height = float(np.diff(cell_extent(ax, 0))[0]), 0.0
    size = FontProperties(size=mpl.rcParams["legend.fontsize"]).get_size_in_points()
    for share in (1, 0.9, 0.8, 0.7, 0.6):
        for columns in range(min(len(entries), 4), 0, -1):
            legend = ax.legend(
                handles=entries, ncols=columns, frameon=False, handlelength=2.4, columnspacing=1.2, borderaxespad=0.2,
                fontsize=share * size, loc="lower center", bbox_to_anchor=(0.5, 1),
            )
            for mark in (handle for handle in legend.legend_handles if isinstance(handle, PathCollection)):
                mark.set_sizes(np.maximum(mark.get_sizes(), mark_size(0.8) ** 2))
            box = legend.get_window_extent()
            height = float(box.height)
            if box.width <= width:
                break
        if box.width <= width and len(entries) <= 2 * columns:
            break
    return height


def fit_text(text: Text, room: float, direction: int, *, min_share: float = 0.55) -> bool:
    """Break a text into lines that fit into `room` pixels of width (`direction` 0) or height (1); shrink it until two suffice.

    At the share `min_share` of its size, the text gets more lines instead. Returns whether it has changed.
    """
    whole, first = text.get_text(), float(text.get_fontsize())
    for share in np.arange(1, min_share, -0.06):
        text.set(text=whole, fontsize=share * first)
        if (size := extent_of(text, direction)) <= room:
            return bool(share < 1)
        letters = max(12, int(0.95 * len(whole) * room / size)) + 1
        while letters > 12 and size > room:
            letters -= 1
            text.set_text("\n".join(textwrap.wrap(whole, letters)))
            size = extent_of(text, direction)
        if text.get_text().count("\n") < 2:
            break
    return True


def extent_of(text: Text, direction: int) -> float:
    """Return the width (`direction` 0) or height (1) of a text in pixels."""
    box = text.get_window_extent()
    return float((box.width, box.height)[direction])


def cell_extent(ax: Axes, direction: int) -> tuple[float, float]:
    """Return the ends, in pixels, of the grid cell of the axes along its width (`direction` 0) or height (1)."""
    box, spec = figure_of(ax).bbox, ax.get_subplotspec()
    if spec is None:
        return ((ax.bbox.x0, ax.bbox.x1), (ax.bbox.y0, ax.bbox.y1))[direction]
    grid, size = spec.get_gridspec(), float((box.width, box.height)[direction])
    if direction == 0:
        return size * spec.colspan.start / grid.ncols, size * spec.colspan.stop / grid.ncols
    return size * (1 - spec.rowspan.stop / grid.nrows), size * (1 - spec.rowspan.start / grid.nrows)


def lay_out(ax: Axes) -> None:
    """Let the figure place its axes."""
    if (engine := figure_of(ax).get_layout_engine()) is not None:
        engine.execute(figure_of(ax))
    ax.apply_aspect()


def figure_of(ax: Axes) -> Figure:
    """Return the figure that has the axes."""
    figure = ax.get_figure(root=True)
    if figure is None:
        raise ValueError("ax: belongs to no figure")
    return figure


def fit_texts(ax: Axes, texts: Sequence[Text]) -> None:
    """Shrink the texts of a laid out figure together, to at most three quarters, until none overlaps another or leaves the axes.

    Then hide every kind of text (an equal `gid`) of which one text still overlaps an earlier text or leaves the axes.
    """
    setattr(ax, "kirtle_texts", [(text, float(text.get_fontsize())) for text in texts])
    fit_texts_alike([ax])


def fit_texts_alike(axes: Sequence[Axes]) -> None:
    """Fit again the texts of several laid out axes, all shrunk alike; a kind without room on one of the axes is hidden on all."""
    all_texts = [(ax, getattr(ax, "kirtle_texts", [])) for ax in axes]
    for share in (1, 0.93, 0.865, 0.8, 0.75):
        for text, size in (pair for _, texts in all_texts for pair in texts):
            text.set_fontsize(share * size)
            text.set_visible(True)
        clashing = {one.get_gid() for ax, texts in all_texts for one in clashes(ax, [text for text, _ in texts])}
        if not clashing:
            break
    for _, texts in all_texts:
        for text, _ in texts:
            text.set_visible(text.get_gid() not in clashing)


def clashes(ax: Axes, texts: Sequence[Text]) -> list[Text]:
    """Return the texts that overlap an earlier text or leave the axes."""
    boxes = [text.get_window_extent() for text in texts]
    return [
        text for k, (text, box) in enumerate(zip(texts, boxes, strict=True))
        if any(box.overlaps(other) for other in boxes[:k]) or not (ax.bbox.x0 <= box.x0 and box.x1 <= ax.bbox.x1)
        or not (ax.bbox.y0 <= box.y0 and box.y1 <= ax.bbox.y1)
    ]


def write_near(ax: Axes, words: str, place: Any, offset: tuple[float, float], **options: Any) -> None:
    """Write a small text at an offset in points from a place."""
    ax.annotate(words, place, xytext=offset, textcoords="offset points", fontsize="small", **options)


def set_limits(ax: Axes, name: str, first: float, last: float) -> None:
    """Set the limits of the axis `name`, ``x`` or ``y``; include the present limits of axes that share it."""
    siblings = getattr(ax, f"get_shared_{name}_axes")().get_siblings(ax)
    if any(one is not ax and one.has_data() for one in siblings):
        shown = sorted(getattr(ax, f"get_{name}lim")())
        low, high = min(first, last, shown[0]), max(first, last, shown[1])
        first, last = (low, high) if first < last else (high, low)
    getattr(ax, f"set_{name}lim")(first, last)


def description(ax: Axes) -> str:
    """Return the description of a plot in words: its alternative text.

    >>> from kirtle import Body, Ease, draft, plots
    >>> ax = plots.ease_by_level(draft(Body(waist=74, hip=101, hip_depth=20.5, length=62), ease=Ease(waist=1.5, hip=5)))
    >>> plots.description(ax)
    'Ease from the waist to below the hip line. Waist 74, hip 101, waist ease 1.5, hip ease 5 cm. Least 1.5 cm, greatest 6.6 cm.'
    """
    return getattr(ax, "kirtle_description", "")


def save(ax: Axes | Sequence[Axes], path: Any, **options: Any) -> None:
    """Save the figure of a plot, or of small multiples, with the descriptions of its plots as metadata; `options` are those of matplotlib's ``savefig``.

    SVG and PNG have the text as ``Description``, PDF as ``Subject``. They have no date: the same plot, drawn again, gives the same bytes.
    Other formats have no such field and may have a date. PDF embeds TrueType fonts.
    """
    figure = figure_of(ax if isinstance(ax, Axes) else ax[0])
    text = "\n".join(filter(None, map(description, figure.axes)))
    fields = {"svg": ("Description", "Date"), "png": ("Description", None), "pdf": ("Subject", "CreationDate")}
    extension = options.get("format") or str(path).rpartition(".")[2]
    key, date = fields.get(extension.lower(), (None, None))
    metadata = {name: value for name, value in ((key, text), (date, None)) if name}
    if key and extension.lower() != "png":
        options = {"dpi": 300} | options  # of the crowded marks and shades, which are pictures in vector graphics, too
    with mpl.rc_context({"svg.hashsalt": "kirtle", "pdf.fonttype": 42, "ps.fonttype": 42}):
        figure.savefig(path, **{"metadata": metadata | options.pop("metadata", {})} if key else {}, **options)


def per_cm(unit: str) -> float:
    """Return the length of one centimetre in `unit`."""
    return {"cm": 1.0, "in": 1 / 2.54}[check_choice("unit", unit, ("cm", "in"))]


class InchLocator(Locator):
    """Ticks at multiples of a power of two, down to a sixteenth of an inch: at most nine, fewer where room is short."""

    axis: Any  # Set by matplotlib.

    def __call__(self) -> Sequence[float]:
        """Return the ticks of the axis."""
        low, high = sorted(self.axis.get_view_interval())
        return self.tick_values(low, high)

    def tick_values(self, vmin: float, vmax: float) -> Sequence[float]:
        """Return the ticks between two lengths in inches."""
        room = max(3.0, min(9.0, self.axis.get_tick_space() * (0.6 if self.axis.axis_name == "x" else 1)))  # Fractions are wide.
        return inch_ticks(vmin, vmax, room)


def inch_ticks(low: float, high: float, count: float) -> list[float]:
    """Return about `count` ticks in inches, or fewer: the multiples of a power of two that is at least a sixteenth."""
    step = 2.0 ** max(-4, math.ceil(math.log2((high - low) / count)))
    return [float(k * step) for k in range(math.ceil(low / step), math.floor(high / step) + 1)]


def label_lengths(ax: Axes, unit: str, **labels: str) -> None:
    """Label the axes named ``x`` or ``y``, which show lengths in `unit`; ticks in inches are fractions."""
    for name, label in labels.items():
        axis: Axis = getattr(ax, f"{name}axis")
        axis.set_label_text(f"{label} ({unit})")
        if unit == "in":
            axis.set_major_locator(InchLocator())
            axis.set_major_formatter(FuncFormatter(lambda value, _: length_number(value, "in")))


def unit_of(source: Any, unit: str | None) -> str:
    """Return the unit of a plot: that of a result with a unit, else the given unit, that of a draft's documents, or centimetres.

    Refuse another unit than that of a result.
    """
    own = getattr(source, "unit", None)
    if own is not None and unit not in (None, own):
        raise input_error("conflict", "unit", str(unit), own, None, f'"{unit}" is given, but the lengths of the result are in {own}')
    per_cm(unit or "cm")
    return own or unit or str(getattr(source, "document_unit", "cm"))


def named_items(items: Any, labels: Sequence[str] | None) -> tuple[Sequence[Any], Sequence[str] | None]:
    """Return the items as a sequence, and their labels: the keys of a mapping, else the given labels; a draft alone is one item."""
    if isinstance(items, Mapping):
        return list(items.values()), list(items)
    return ([items] if isinstance(items, Draft | EaseByLevel) else list(items)), labels


def check_choice(field: str, value: str, choices: tuple[str, ...]) -> str:
    """Return the value if it is one of the choices, else raise `InputError`."""
    if value not in choices:
        limit = ", ".join(f'"{name}"' for name in choices[:-1]) + " or " * (len(choices) > 1) + f'"{choices[-1]}"'
        raise input_error("unknown_choice", field, value, limit, None, f"{json.dumps(str(value))} is not {limit}")
    return value


def check_range(field: str, value: float, low: float = -math.inf, high: float = math.inf, unit: str | None = None) -> None:
    """Raise `InputError` unless the value is from `low` to `high`; NaN is an error."""
    suffix = f" {unit}" if unit else ""
    if not value >= low:
        raise input_error("below_minimum", field, value, low, unit, f"{value:g}{suffix} is below the minimum of {low:g}{suffix}")
    if value > high:
        raise input_error("above_maximum", field, value, high, unit, f"{value:g}{suffix} is above the maximum of {high:g}{suffix}")


def check_finite(field: str, value: float, unit: str) -> float:
    """Return the value if it is finite, else raise `InputError`."""
    if not np.isfinite(value):
        raise input_error("not_finite", field, str(value), f"a length in {unit}", unit, f"{value} is not finite; give a length in {unit}")
    return value


def input_error(code: str, field: str, value: float | str, limit: float | str, unit: str | None, text: str) -> InputError:
    """Return an `InputError` with one problem, in the same form as the errors of the compiled package; the message has `text` after the field."""
    json_value = value if isinstance(value, str) or np.isfinite(value) else str(value)
    problem = {"code": code, "field": field, "value": json_value, "limit": limit, "unit": unit, "message": f"{field}: {text}"}
    return InputError(f"{field}: {text}", [Problem(json.dumps(problem))], json.dumps({"problems": [problem]}))


def read_columns(source: Any, names: tuple[str, ...], columns: Mapping[str, str] | None = None) -> list[Floats]:
    """Return a column of a table as numbers for each name: the column that `columns` names for it, else that name; a null becomes NaN."""
    if not hasattr(source, "__arrow_c_stream__"):
        if not hasattr(source, "to_table"):
            raise TypeError(f"{type(source).__name__} offers no Arrow stream; give a table of pandas, polars, pyarrow or duckdb, or pyarrow.dataset.dataset(path)")
        source = source.to_table()  # of a dataset
    table = pa.table(source)
    arrays = []
    for name in names:
        column = check_choice(f"people.{name}", (columns or {}).get(name, name), tuple(table.column_names))
        arrays.append(np.asarray(table[column].cast(pa.float64()).to_numpy(), float))
    return arrays
