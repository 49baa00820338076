"""What all plots share: axes, colours that differ in grey too, units, tables, and refusals."""

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
from ..errors import InputError

Floats = npt.NDArray[np.float64]

INK, GUIDE, DART, CLOTH = "#1c2b36", "#56697a", "#9c3d1c", "#f5f0e4"
"""The colours of Kirtle's drawings, from dark to light in grey."""

SHADES = LinearSegmentedColormap.from_list("cloth to ink", [CLOTH, "#b9bfc0", GUIDE, INK])
"""From light to dark, evenly."""

HALO = [withStroke(linewidth=2.5, foreground="white")]
"""Keeps letters legible on anything."""

STYLES: list[Any] = ["-", (0, (5, 1.5)), (0, (4, 1.5, 1, 1.5)), (0, (1, 1.2))]
"""Lines that differ without colour."""

MARKERS = "osD^v<>P"


def axes_of(ax: Axes | None, *, size: tuple[float, float] = (6, 4)) -> Axes:
    """The axes that were given, or those of a new figure, with letters that suit their size."""
    if ax is None:
        _, ax = plt.subplots(figsize=size, layout="constrained")
    ax.spines[["top", "right"]].set_visible(False)
    ax.tick_params(labelsize=letters(ax, largest=9))
    for axis in (ax.xaxis, ax.yaxis):
        axis.label.set_fontsize(letters(ax, largest=10))
    return ax


def letters(ax: Axes, *, largest: float = 8) -> float:
    """The size of letters that suits the size of the axes, in points."""
    box = ax.get_position()
    width, height = ax.get_figure(root=True).get_size_inches()  # type: ignore[union-attr]
    size = min(box.width * width / 4.5, box.height * height / 3) ** 0.5
    return float(np.clip(size, 0.5, 1)) * largest


def per_cm(unit: str) -> float:
    """How many of the unit a centimetre has."""
    return {"cm": 1.0, "in": 1 / 2.54}[choice("unit", unit, ("cm", "in"))]


def figure(value: float, unit: str) -> str:
    """A length as a person reads it, without its unit."""
    return f"{value:.1f}" if unit == "cm" else f"{value:.2f}"


def length(value: float, unit: str) -> str:
    """A length as a person reads it."""
    return f"{figure(value, unit)} {unit}"


def choice(field: str, value: str, choices: tuple[str, ...]) -> str:
    """The value, where it is one of the choices."""
    if value not in choices:
        limit = ", ".join(f'"{one}"' for one in choices[:-1]) + f' or "{choices[-1]}"'
        raise refused("unknown_choice", field, value, limit, None, f"{field}: {json.dumps(str(value))} is not {limit}")
    return value


def at_least(field: str, value: float, least: float, unit: str | None = None) -> float:
    """The value, where it is no less."""
    if not value >= least:
        told = f" {unit}" if unit else ""
        message = f"{field}: {value:g}{told} is below the minimum of {least:g}{told}"
        raise refused("below_minimum", field, value, least, unit, message)
    return value


def at_most(field: str, value: float, most: float) -> float:
    """The value, where it is no more."""
    if not value <= most:
        raise refused("above_maximum", field, value, most, None, f"{field}: {value:g} is above the maximum of {most:g}")
    return value


def finite(field: str, value: float, unit: str) -> float:
    """The value, where it is finite."""
    if not np.isfinite(value):
        message = f"{field}: {value} is not finite; give a length in {unit}"
        raise refused("not_finite", field, str(value), f"a length in {unit}", unit, message)
    return value


def refused(
    code: str, field: str, value: float | str, limit: float | str, unit: str | None, message: str
) -> InputError:
    """The error that names what is wrong, as the library's own does."""
    shown = value if isinstance(value, str) or np.isfinite(value) else str(value)
    one = {"code": code, "field": field, "value": shown, "limit": limit, "unit": unit, "message": message}
    return InputError(message, [Problem(json.dumps(one))], json.dumps({"problems": [one]}))


def numbers(source: Any, names: tuple[str, ...], columns: Mapping[str, str] | None = None) -> list[Floats]:
    """Columns of anything that offers an Arrow stream, as numbers; a null is not a number."""
    if not hasattr(source, "__arrow_c_stream__"):
        raise TypeError(f"{type(source).__name__} offers no Arrow stream")
    table = pa.table(source)
    found = []
    for name in names:
        column = (columns or {}).get(name, name)
        if column not in table.column_names:
            choice(f"people.{name}", column, tuple(table.column_names))
        found.append(np.asarray(table[column].cast(pa.float64()).to_numpy(), float))
    return found
