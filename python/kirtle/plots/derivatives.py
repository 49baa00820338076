"""Plots of sensitivity and uncertainty: one quantity by its inputs, and the error ellipses of points."""

from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.lines import Line2D
from matplotlib.patches import Ellipse as EllipsePatch
from matplotlib.ticker import MaxNLocator

from .._kirtle import Draft, Ellipse, Sensitivity, StandardErrors
from .panels import PanelFrame, draw_panel, finish, legend
from .axes import DART, GUIDE, HALO, INK, Floats, at_least, at_most, axes_of, choice, font_size, per_cm

UNIT_SUFFIXES = {"deg": "°", "cm": " cm", "in": " in"}
"""Text after a number, by the unit of the number."""

MAGNIFICATIONS = (1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0)
"""Factors from which the default enlargement of error ellipses is chosen."""


def sensitivity(
    source: Draft | Sensitivity, quantity: str, *, errors: StandardErrors | None = None, count: int = 10, ax: Axes | None = None
) -> Axes:
    """Plot the change of one quantity, such as ``back.darts[0].intake``, with each input, the largest change at the top.

    Each bar is the derivative times the change of the input in its label: 1 cm (1 in for a `Sensitivity` in inches), 1°, or 0.01
    for a ratio. With `errors`, the change is the standard error of the input, and the title has the standard error of the
    quantity. The plot shows the `count` inputs with the largest effects.
    """
    at_least("count", count, 1)
    derivatives = source.sensitivity() if isinstance(source, Draft) else source
    inputs = derivatives.inputs if errors is None else errors.names
    slopes = np.array([derivatives[quantity, name] for name in inputs])
    units = dict(zip(derivatives.inputs, derivatives.input_units, strict=True))
    steps = [step(units[name]) for name in inputs]
    changes = np.array([change for change, _ in steps]) if errors is None else np.sqrt(np.diag(errors.covariance))
    names = [f"{name}   per {change:.3g}{suffix}" for name, change, (_, suffix) in zip(inputs, changes, steps, strict=True)]
    value, suffix = value_and_suffix(derivatives, quantity)
    effects = slopes * changes
    order = np.argsort(-abs(effects), kind="stable")
    ax = axes_of(ax)
    draw_bars(ax, [names[k] for k in order[:count]], effects[order[:count]])
    ax.set_xlabel(f"change ({suffix.strip()}){hidden_inputs_note(abs(effects[order[count:]]), suffix)}")
    ax.set_ylabel("per change of one input" if errors is None else "per standard error of one input")
    title = f"{quantity} = {value:.3f}{suffix}"
    if errors is not None:
        total = float(np.sqrt(slopes @ np.array(errors.covariance) @ slopes))
        title = f"{quantity} = {value:.3f} ± {total:.3f}{suffix}"
    ax.set_title(title, fontsize=font_size(ax, largest=10))
    return ax


def step(unit: str) -> tuple[float, str]:
    """Return the change of an input with a unit, 1 or for a ratio 0.01, and the suffix of the unit."""
    return (1.0, UNIT_SUFFIXES[unit]) if unit else (0.01, "")


def value_and_suffix(derivatives: Sensitivity, quantity: str) -> tuple[float, str]:
    """Return the value of a quantity, and the suffix of its unit."""
    row = derivatives.quantities.index(quantity)
    unit = derivatives.units[row]
    return derivatives.values[row], UNIT_SUFFIXES.get(unit, f" {unit}")


def draw_bars(ax: Axes, names: list[str], effects: Floats) -> None:
    """Draw a bar with its value for each effect; a negative effect is white and hatched."""
    rows = np.arange(len(names))
    size, height, digits = font_size(ax), min(0.62, 0.12 * len(names)), decimals(abs(effects).max())
    for mask, colour, hatch in ((effects >= 0, GUIDE, ""), (effects < 0, "white", "////")):
        ax.barh(rows[mask], effects[mask], height=height, color=colour, edgecolor=INK, linewidth=0.8, hatch=hatch)
    for row, effect in zip(rows, effects, strict=True):
        offset, side = (4, "left") if effect >= 0 else (-4, "right")
        text = f"{effect:+.{digits}f}".replace("-", "−") if effect else "0"
        ax.annotate(
            text, (effect, row), xytext=(offset, 0), textcoords="offset points", ha=side, va="center", fontsize=size, color=INK,
        )
    ax.axvline(0, color=INK, linewidth=0.8)
    ax.set_yticks(rows, names, fontsize=size)
    ax.tick_params(axis="y", length=0)
    ax.spines["left"].set_visible(False)
    ax.set_ylim(len(names) - 0.4, -0.6)
    ax.margins(x=0.24)
    ax.xaxis.set_major_locator(MaxNLocator(6))


def decimals(largest: float) -> int:
    """Return the number of decimals, at most 9, with which a number shows three significant digits."""
    return int(np.clip(2 - np.floor(np.log10(largest)), 0, 9)) if largest > 0 else 1


def hidden_inputs_note(effects: Floats, suffix: str) -> str:
    """Return a line of text on the inputs without a bar: their number and largest effect; empty if all inputs have a bar."""
    if not len(effects):
        return ""
    inputs = "1 other input" if len(effects) == 1 else f"{len(effects)} other inputs"
    largest = effects.max()
    limit = f"at most {largest:.{decimals(largest) - 1}f}{suffix} each" if largest > 0 else "no change"
    return f"\n{inputs}: {limit}"


def ellipses(
    draft: Draft, errors: StandardErrors, *, probability: float = 0.95, half: str = "back", magnify: float | None = None,
    unit: str = "cm", ax: Axes | None = None,
) -> Axes:
    """Plot one panel with the error ellipses of its points.

    Each ellipse contains its point with `probability`, if the errors of the inputs are normally distributed. `half` is ``back`` or
    ``front``. The ellipses are enlarged by the factor `magnify`, by default a round factor that makes them visible; the legend
    has the factor. Standard errors of lengths are in `unit`.
    """
    choice("half", half, ("back", "front"))
    at_most("probability", at_least("probability", probability, 0.01), 0.9999)
    scale, growth = per_cm(unit), Ellipse.growth(probability)
    found = [ellipse for ellipse in draft.uncertainty(errors, unit=unit).ellipses if ellipse.panel == half]
    frame = PanelFrame(half, 0.0, 1, 0.0, unit)
    longest = growth * max(ellipse.semi_axes[0] for ellipse in found)
    factor = default_magnification(longest, frame.panel(draft).width * scale) if magnify is None else magnify
    at_most("magnify", at_least("magnify", factor, 0.1), 1000)
    ax = axes_of(ax, size=(4.5, 7))
    draw_panel(ax, draft, frame)
    for ellipse in found:
        draw_ellipse(ax, ellipse, growth * factor)
    ax.plot(*np.array([ellipse.centre for ellipse in found]).T, "o", color=INK, markersize=2.5, linestyle="none", zorder=4)
    enlarged = "" if factor == 1 else f", enlarged {factor:g} times"
    entries: list[tuple[Any, str, str]] = [("-", DART, f"{100 * probability:g}% ellipse{enlarged}"), ("--", GUIDE, "hip line")]
    legend(ax, [Line2D([], [], linestyle=style, color=colour, label=label) for style, colour, label in entries])
    label_half_axis(ax, max(found, key=lambda ellipse: ellipse.semi_axes[0]), growth, factor, unit)
    finish(ax, [frame], [draft], "below the waist at the side")
    return ax


def default_magnification(longest: float, width: float) -> float:
    """Return the largest of `MAGNIFICATIONS` with which the longest half axis is at most a fifth of the panel's width, or 1."""
    return max((factor for factor in MAGNIFICATIONS if factor * longest <= width / 5), default=1.0)


def draw_ellipse(ax: Axes, ellipse: Ellipse, growth: float) -> None:
    """Draw the error ellipse of a point, with half axes times `growth`."""
    long, short = (2 * growth * axis for axis in ellipse.semi_axes)
    fill, angle = f"{DART}30", ellipse.angle_deg
    ax.add_patch(EllipsePatch(ellipse.centre, long, short, angle=angle, facecolor=fill, edgecolor=DART, linewidth=1.1, zorder=3))


def label_half_axis(ax: Axes, ellipse: Ellipse, growth: float, factor: float, unit: str) -> None:
    """Write the true length of the longer half axis to the right of its ellipse, as a scale for all ellipses."""
    (long, short), angle = ellipse.semi_axes, np.radians(ellipse.angle_deg)
    half_width = growth * factor * float(np.hypot(long * np.cos(angle), short * np.sin(angle)))
    ax.annotate(
        f"half axis\n{growth * long:.2f} {unit}", (ellipse.centre[0] + half_width, ellipse.centre[1]), xytext=(5, 0),
        textcoords="offset points", va="center", fontsize=font_size(ax), color=INK, path_effects=HALO,
    )
