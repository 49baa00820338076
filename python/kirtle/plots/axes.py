"""Helpers of all plots: axes, colours that also differ in greyscale, units, columns of tables, and input errors."""

import json
from collections.abc import Mapping
from typing import Any

import matplotlib.pyplot as plt
import numpy as np
import numpy.typing as npt
import pyarrow as pa
from matplotlib.axes import Axes
from matplotlib.colors import LinearSegmentedColormap
from matplotlib.patheffects import withStroke

from .._kirtle import Problem
from ..exceptions import InputError

Floats = npt.NDArray[np.float64]

INK, GUIDE, DART, CLOTH = "#1c2b36", "#56697a", "#9c3d1c", "#f5f0e4"
"""Colours of Kirtle's drawings, in descending order of darkness."""

SHADES = LinearSegmentedColormap.from_list("cloth to ink", [CLOTH, "#b9bfc0", GUIDE, INK])
"""Colour map from light to dark with even steps in greyscale."""

HALO = [withStroke(linewidth=2.5, foreground="white")]
"""Text effect: a white outline that keeps text legible on any background."""

STYLES: list[Any] = ["-", (0, (5, 1.5)), (0, (4, 1.5, 1, 1.5)), (0, (1, 1.2))]
"""Line styles that differ without colour."""

MARKERS = "osD^v<>P"
"""Marker shapes that differ without colour."""


def axes_of(ax: Axes | None, *, size: tuple[float, float] = (6, 4)) -> Axes:
    """Return the given axes, or axes of a new figure of `size` inches; set their text sizes by the size of the axes."""
    if ax is None:
        _, ax = plt.subplots(figsize=size, layout="constrained")
    ax.spines[["top", "right"]].set_visible(False)
    ax.tick_params(labelsize=font_size(ax, largest=9))
    for axis in (ax.xaxis, ax.yaxis):
        axis.label.set_fontsize(font_size(ax, largest=10))
    return ax


def font_size(ax: Axes, *, largest: float = 8) -> float:
    """Return a text size in points that grows with the axes, from half of `largest` to `largest`."""
    box = ax.get_position()
    width, height = ax.get_figure(root=True).get_size_inches()  # type: ignore[union-attr]
    size = min(box.width * width / 4.5, box.height * height / 3) ** 0.5
    return float(np.clip(size, 0.5, 1)) * largest


def per_cm(unit: str) -> float:
    """Return the length of one centimetre in `unit`."""
    return {"cm": 1.0, "in": 1 / 2.54}[choice("unit", unit, ("cm", "in"))]


def format_number(value: float, unit: str) -> str:
    """Return a length as text without its unit: one decimal for centimetres, two for inches."""
    return f"{value:.1f}" if unit == "cm" else f"{value:.2f}"


def format_length(value: float, unit: str) -> str:
    """Return a length as text with its unit."""
    return f"{format_number(value, unit)} {unit}"


def choice(field: str, value: str, choices: tuple[str, ...]) -> str:
    """Return the value if it is one of the choices, else raise `InputError`."""
    if value not in choices:
        limit = ", ".join(f'"{name}"' for name in choices[:-1]) + f' or "{choices[-1]}"'
        raise input_error("unknown_choice", field, value, limit, None, f"{field}: {json.dumps(str(value))} is not {limit}")
    return value


def at_least(field: str, value: float, low: float, unit: str | None = None) -> float:
    """Return the value if it is at least `low`, else raise `InputError`; NaN is an error."""
    if not value >= low:
        suffix = f" {unit}" if unit else ""
        message = f"{field}: {value:g}{suffix} is below the minimum of {low:g}{suffix}"
        raise input_error("below_minimum", field, value, low, unit, message)
    return value


def at_most(field: str, value: float, high: float) -> float:
    """Return the value if it is at most `high`, else raise `InputError`; NaN is an error."""
    if not value <= high:
        raise input_error("above_maximum", field, value, high, None, f"{field}: {value:g} is above the maximum of {high:g}")
    return value


def finite(field: str, value: float, unit: str) -> float:
    """Return the value if it is finite, else raise `InputError`."""
    if not np.isfinite(value):
        message = f"{field}: {value} is not finite; give a length in {unit}"
        raise input_error("not_finite", field, str(value), f"a length in {unit}", unit, message)
    return value


def input_error(
    code: str, field: str, value: float | str, limit: float | str, unit: str | None, message: str
) -> InputError:
    """Return an `InputError` with one problem, in the same form as the errors of the compiled package."""
    json_value = value if isinstance(value, str) or np.isfinite(value) else str(value)
    problem = {"code": code, "field": field, "value": json_value, "limit": limit, "unit": unit, "message": message}
    return InputError(message, [Problem(json.dumps(problem))], json.dumps({"problems": [problem]}))


def read_columns(source: Any, names: tuple[str, ...], columns: Mapping[str, str] | None = None) -> list[Floats]:
    """Return a table column as numbers for each name, or for its entry in `columns`, another column; a null becomes NaN."""
    if not hasattr(source, "__arrow_c_stream__"):
        raise TypeError(f"{type(source).__name__} offers no Arrow stream; give a table of pandas, polars, pyarrow or duckdb")
    table = pa.table(source)
    arrays = []
    for name in names:
        column = (columns or {}).get(name, name)
        if column not in table.column_names:
            choice(f"people.{name}", column, tuple(table.column_names))
        arrays.append(np.asarray(table[column].cast(pa.float64()).to_numpy(), float))
    return arrays
