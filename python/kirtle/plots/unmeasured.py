"""Plot of the error of a draft without a figure, for a body whose figure differs from the assumed one."""

from collections.abc import Callable

import numpy as np
from matplotlib.axes import Axes

from .._kirtle import Draft
from ..exceptions import InputError
from ..words import length, subject
from .axes import MARKERS, STYLES, axes_of, check_range, input_error, label_lengths, line_width, mark_size, palette, per_cm
from .axes import unit_of, write_head

STEPS = 12
"""Number of drafts on each side of the assumed measurement."""


def unmeasured_figure(source: Draft, *, reach: float | None = None, unit: str | None = None, title: bool = True, ax: Axes | None = None) -> Axes:
    """Plot the error of a draft without a figure over the difference of each measurement of the figure from its assumed value.

    Each curve drafts the body again with one measurement: the front length moves the hem at the centre front, the front hip and the
    front waist move the side seam, and at a high hip half-way to the hip line girth is missing. A curve becomes level or ends where
    the rules have no draft for the measurement. `reach` is the largest difference, from 0.1 to 6 cm, in `unit`; by default 3 cm or 1 1/4 in.
    """
    scale = per_cm(unit := unit_of(source, unit))
    reach = {"cm": 3.0, "in": 1.25}[unit] if reach is None else reach
    check_range("reach", reach, 0.1 * scale, unit=unit)
    check_range("reach", reach, high=6 * scale)
    if source.body.figure is not None:
        raise input_error("conflict", "source", "a draft with a figure", "a draft without a figure", None,
                          "the body has a figure; give a draft of the body without it")
    ax = axes_of(ax)
    by = np.linspace(-reach, reach, 2 * STEPS + 1)
    texts = []
    for index, (name, (effect, figure, quantity)) in enumerate(measurements(source).items()):
        off = scale * (np.array([number_with_figure(source, figure(float(change)), quantity) for change in by / scale]) - quantity(source))
        ax.plot(
            by, off, linestyle=STYLES[index], color=palette(ax).shade(1 - 0.1 * index), linewidth=line_width(1), marker=MARKERS[index],
            markevery=STEPS // 2, markersize=mark_size(0.7), label=f"{name}: {effect}",
        )
        texts.append(f"{name}: {length(float(off[-1]), unit)} off at the {effect}")
    ax.axhline(0, color=palette(ax).ink, linewidth=line_width(0.5))
    label_lengths(ax, unit, x="measured minus assumed", y="what the draft is off")
    head = f"Without a figure. {subject([source], unit)}"
    return write_head(ax, head, f"{head}. With a measurement {length(reach, unit)} larger than assumed, {'; '.join(texts)}.", title=title)


def measurements(plain: Draft) -> dict[str, tuple[str, Callable[[float], dict[str, float]], Callable[[Draft], float]]]:
    """Return, for each measurement: what it moves, a figure that differs by some centimetres, and the number to compare."""
    body, ease, level = plain.body, plain.ease, plain.body.hip_depth / 2
    front_hip = 2 * plain.front.width * body.hip / (body.hip + ease.hip)
    front_waist = 2 * front_seam(plain) * body.waist / (body.waist + ease.waist)
    girth = plain.girth_at(level, unit="cm") - min(ease.waist, ease.hip)
    side_length = 100 + plain.front.waist_lowering
    return {
        "front length": (
            "hem at the centre front", lambda by: {"front_length": 100 - by, "side_length": side_length}, lambda one: one.front.waist_lowering,
        ),
        "front hip": ("side seam at hip and hem", lambda by: {"front_hip": front_hip + by}, lambda one: one.front.width),
        "front waist": ("side seam at the waist", lambda by: {"front_waist": front_waist + by}, front_seam),
        "high hip": (
            "missing girth at the high hip", lambda by: {"high_hip": girth + by, "high_hip_depth": level}, lambda one: one.girth_at(level, unit="cm"),
        ),
    }


def front_seam(one: Draft) -> float:
    """Return the length of half the sewn front waist, in centimetres."""
    return one.quantities(unit="cm")["front.waist_seam"]


def number_with_figure(plain: Draft, figure: dict[str, float], quantity: Callable[[Draft], float]) -> float:
    """Return a number, in centimetres, of the draft of the same body with a figure; NaN if the figure is refused."""
    try:
        return quantity(plain.vary({f"body.figure.{name}": value for name, value in figure.items()}, unit="cm"))
    except InputError:
        return float("nan")
