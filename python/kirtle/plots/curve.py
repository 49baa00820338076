"""Plot of one quantity of a draft over one input, with its exact derivative as tangent."""

import itertools
import math
import re
from collections.abc import Callable
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.ticker import MaxNLocator

from .._kirtle import Draft, Sensitivity
from ..exceptions import InputError
from ..words import given_number, input_text, input_value, number_text, quantity_text, subject, unit_suffix
from .axes import axes_of, check_finite, check_range, line_width, mark_size, palette, unit_of, write_head

STEPS = 400
"""Number of steps between the drafts of a curve."""


def curve(
    draft: Draft, quantity: str, input: str, *, between: tuple[float, float], level: float | None = None, unit: str | None = None, title: bool = True,
    ax: Axes | None = None,
) -> Axes:
    """Plot a quantity of a draft, such as ``back.darts[0].intake``, over one input, such as ``ease.hip``; the other inputs stay.

    The line is broken where darts come or go, and ends where no skirt can be drafted; the label of the input then has the drafted
    range. The tangent at the draft has the slope of `Draft.sensitivity`. `between` has both ends of the input, lengths in `unit`.
    `quantity` may also be a number of darts, ``back.darts`` or ``front.darts``, or ``girth``, the girth of the garment at `level`, a
    distance below the waist at the side; these have no tangent.
    """
    unit = unit_of(draft, unit)
    rates = draft.sensitivity([input], unit=unit)
    if (quantity == "girth") == (level is None):
        raise ValueError("level: goes with the quantity girth: how far below the waist it lies")
    name, suffix, number = quantity_on_curve(rates, quantity, level)
    low, high = (check_finite("between", end, unit) for end in between)
    check_range("between", high, low)
    start = float(input_value(draft.to_dict(unit), input))
    value = number(draft)
    pieces, missing, refusal = smooth_pieces(draft, number, input, np.linspace(low, high, STEPS + 1), unit)
    drafted = [x for piece in pieces for x, _ in piece] or [low, high]
    low, high = min(drafted), max(drafted)
    ax = axes_of(ax)
    colours, handles = palette(ax), []
    for piece in pieces:
        handles = ax.plot(*np.transpose(piece), color=colours.ink, linewidth=line_width(1), label="drafted")
    input_suffix = unit_suffix(rates.input_units[0])
    span = f"from {number_text(low)} to {number_text(high)}{input_suffix}"
    steepness = ""
    if quantity.endswith(".darts"):
        ax.yaxis.set_major_locator(MaxNLocator(integer=True))
    elif quantity != "girth":
        slope = rates[quantity, input]
        steepness = f", slope {slope:.3g}{suffix} for 1{input_suffix}".replace("-", "−")
        ends_of_tangent = [value + slope * (x - start) for x in (low, high)]
        handles += ax.plot([low, high], ends_of_tangent, linestyle="--", color=colours.dart, linewidth=line_width(0.8), label="tangent")
    handles += ax.plot(start, value, "o", color=colours.ink, markersize=mark_size(1), linestyle="none", label="this draft")
    only = f", only drafted {span}" if refusal else ""
    ax.set(xlabel=f"{input_text(input)}{bracketed(input_suffix)}{only}", ylabel=f"{name}{bracketed(suffix)}")
    head = f"{name[0].upper()}{name[1:]}: {number_text(value)}{suffix}{steepness}. {subject([draft], unit)}"
    jumps = f"the line has {len(pieces)} pieces" if len(pieces) > 1 else "a dart comes or goes" if missing else "no dart comes or goes"
    refused = f" Beyond: {refusal}." if refusal else ""
    return write_head(ax, head, f"{head}. Over the {input_text(input)} {span}: {jumps}.{refused}", handles=handles, title=title)


def quantity_on_curve(rates: Sensitivity, quantity: str, level: float | None) -> tuple[str, str, Callable[[Draft], float]]:
    """Return a quantity in words, the suffix of its unit, and the function that gives its value in a draft, NaN without it."""
    unit = rates.unit
    if found := re.fullmatch(r"(back|front)\.darts", quantity):
        return f"number of {found[1]} darts", "", lambda one: len(getattr(one, found[1]).darts)
    if level is not None:
        name = f"girth {given_number(level, unit)} {unit} below the waist"
        return name, f" {unit}", lambda one: one.girth_at(level, unit=unit)
    row = rates.row(quantity)
    name = quantity_text(rates.quantities[row], rates.quantities)
    return name, unit_suffix(rates.units[row]), lambda one: one.quantities(unit=unit).get(rates.quantities[row], math.nan)


def smooth_pieces(
    draft: Draft, number: Callable[[Draft], float], path: str, values: Any, unit: str
) -> tuple[list[list[tuple[float, float]]], bool, InputError | None]:
    """Return the points of the curve, in pieces with one number of darts each; whether a draft lacks the number; the first error.

    Raise this error if fewer than two values can be drafted.
    """
    points: list[tuple[float, float, tuple[int, ...]]] = []
    error = None
    for value in map(float, values):
        try:
            drafted = draft.vary({path: value}, unit=unit)
            points.append((value, number(drafted), (len(drafted.back.darts), len(drafted.front.darts))))
        except InputError as problem:
            points.append((value, math.nan, ()))
            error = error or problem
    groups = itertools.groupby(points, lambda point: point[2] if math.isfinite(point[1]) else ())
    pieces = [[(x, y) for x, y, _ in group] for counts, group in groups if counts]
    missing = any(counts and not math.isfinite(y) for _, y, counts in points)
    if sum(map(len, pieces)) < 2 and error is not None:
        raise error
    return pieces, missing, error


def bracketed(suffix: str) -> str:
    """Return a unit in brackets after a space; nothing without a unit."""
    return f" ({suffix.strip()})" if suffix.strip() else ""
