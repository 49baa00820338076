"""Plot of one quantity of a draft over one input, with its exact derivative as tangent."""

import re
from typing import Any

import numpy as np
from matplotlib.axes import Axes

from .._kirtle import Draft
from ..exceptions import InputError
from ..words import input_text, number_text, quantity_of_column, quantity_text, subject
from .axes import axes_of, check_at_least, check_finite, line_width, mark_size, palette, unit_of, write_head
from .derivatives import UNIT_SUFFIXES, value_and_suffix

STEPS = 400
"""Number of steps between the drafts of a curve."""


def curve(draft: Draft, quantity: str, input: str, *, between: tuple[float, float], unit: str | None = None, title: bool = True, ax: Axes | None = None) -> Axes:
    """Plot a quantity of a draft, such as ``back.darts[0].intake``, over one input, such as ``ease.hip``; the other inputs stay.

    The line is broken where darts come or go, and ends where no skirt can be drafted; the label of the input then has the drafted
    range. The tangent at the draft has the slope of `Draft.sensitivity`. `between` has both ends of the input, lengths in `unit`.
    """
    unit = unit_of(draft, unit)
    rates = draft.sensitivity([input], unit=unit)
    quantity = quantity_of_column(quantity, rates.quantities)
    slope = rates[quantity, input]
    value, suffix = value_and_suffix(rates, quantity)
    low, high = (check_finite("between", end, unit) for end in between)
    check_at_least("between", high, low)
    start = input_value(draft, input, unit)
    pieces, missing, refusal = smooth_pieces(draft, quantity, input, np.linspace(low, high, STEPS + 1), unit)
    drafted = [x for piece in pieces for x, _ in piece] or [low, high]
    low, high = min(drafted), max(drafted)
    ax = axes_of(ax)
    colours, handles = palette(ax), []
    for piece in pieces:
        handles = ax.plot(*np.transpose(piece), color=colours.ink, linewidth=line_width(1), label="drafted")
    of_input = UNIT_SUFFIXES.get(rates.input_units[0], "")
    steepness = f"slope {plain_slope(slope)}{suffix} for 1{of_input}"
    span = f"from {number_text(low)} to {number_text(high)}{of_input}"
    ends_of_tangent = [value + slope * (x - start) for x in (low, high)]
    handles += ax.plot([low, high], ends_of_tangent, linestyle="--", color=colours.dart, linewidth=line_width(0.8), label="tangent")
    handles += ax.plot(start, value, "o", color=colours.ink, markersize=mark_size(1), linestyle="none", label="this draft")
    name = quantity_text(quantity, rates.quantities)
    only = f", only drafted {span}" if refusal else ""
    ax.set(xlabel=f"{input_text(input)}{bracketed(of_input)}{only}", ylabel=f"{name}{bracketed(suffix)}")
    head = f"{name[0].upper()}{name[1:]}: {number_text(value)}{suffix}, {steepness}. {subject([draft], unit)}"
    jumps = f"the line has {len(pieces)} pieces" if len(pieces) > 1 else "a dart comes or goes" if missing else "no dart comes or goes"
    refused = f" Beyond: {refusal}." if refusal else ""
    write_head(ax, head, f"{head}. Over the {input_text(input)} {span}: {jumps}.{refused}", handles=handles, title=title)
    return ax


def input_value(draft: Draft, path: str, unit: str) -> float:
    """Return an input of a draft by its path, a length in `unit`."""
    value: Any = draft.to_dict(unit)
    for key in re.findall(r"\w+", path):
        value = value[int(key) if key.isdigit() else key]
    return float(value)


def smooth_pieces(
    draft: Draft, quantity: str, path: str, values: Any, unit: str
) -> tuple[list[list[tuple[float, float]]], bool, InputError | None]:
    """Return the points of the curve, in pieces with one number of darts each; whether a draft lacks the quantity; the first error.

    Raise this error if fewer than two values can be drafted.
    """
    pieces: list[list[tuple[float, float]]] = []
    before, missing, error = None, False, None
    for value in map(float, values):
        try:
            drafted = draft.vary({path: value}, unit=unit)
        except InputError as problem:
            before, error = None, error or problem
            continue
        counts, numbers = (len(drafted.back.darts), len(drafted.front.darts)), drafted.quantities(unit=unit)
        if quantity in numbers:
            if counts != before:
                pieces.append([])
            pieces[-1].append((value, numbers[quantity]))
        before, missing = (counts, missing) if quantity in numbers else (None, True)
    if sum(map(len, pieces)) < 2 and error is not None:
        raise error
    return pieces, missing, error


def plain_slope(slope: float) -> str:
    """Return a derivative as text, with three significant digits."""
    return f"{slope:.3g}".replace("-", "−")


def bracketed(suffix: str) -> str:
    """Return a unit in brackets after a space; nothing without a unit."""
    return f" ({suffix.strip()})" if suffix.strip() else ""
