"""Plots of sensitivity and uncertainty: one quantity by its inputs, and the error ellipses of points."""

from collections.abc import Mapping
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.patches import Ellipse as EllipsePatch
from matplotlib.ticker import MaxNLocator

from .._kirtle import Draft, Ellipse, Sensitivity, StandardErrors, Uncertainty
from ..options import CM_PER_UNIT
from ..words import MAIN_QUANTITIES, input_text, number_text, quantity_text, signed, subject, unit_suffix
from .axes import Floats, axes_of, check_choice, check_range, line_width, mark_size, palette, per_cm, unit_of, write_head, write_near
from .panels import PanelFrame, draft_text, draw_panel, scale_and_label, legend_lines

MAGNIFICATIONS = (1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0)
"""Factors from which the default enlargement of error ellipses is chosen."""


def sensitivity(
    source: Draft | Sensitivity, quantity: str, *, errors: StandardErrors | Mapping[str, float] | None = None, count: int = 10, unit: str | None = None,
    title: bool = True, ax: Axes | None = None,
) -> Axes:
    """Plot the change of one quantity, such as ``back.darts[0].intake``, with each input, the largest change at the top.

    Each bar is the derivative times the change of the input in its label: 1 cm (with lengths in inches, 1 in), 1°, or 0.01 for a
    ratio. With `errors`, the change is the standard error of the input, and the title has the standard error of the
    quantity; or mean and spread of the drafts with random errors, where `Draft.uncertainty` has a note on darts. The plot shows the
    `count` inputs with the largest effects. A mapping has its errors in `unit`. A `Sensitivity` has a unit of its own.
    """
    check_range("count", count, 1)
    unit = unit_of(source, unit)
    derivatives = source.sensitivity(unit=unit) if isinstance(source, Draft) else source
    row = derivatives.row(quantity)
    errors = StandardErrors(errors) if isinstance(errors, Mapping) else errors
    # An error of a measurement that the body lacks has no effect.
    kept = [k for k, name in enumerate(errors.names) if name in derivatives.inputs or not name.startswith("body.figure.")] if errors else []
    inputs = [errors.names[k] for k in kept] if errors else derivatives.inputs
    check_range("errors", len(inputs), 1)
    slopes = np.array([derivatives[quantity, name] for name in inputs])
    units = dict(zip(derivatives.inputs, derivatives.input_units, strict=True))
    factors = np.array([CM_PER_UNIT[errors and errors.unit or unit] / CM_PER_UNIT[unit] if units[name] == unit else 1 for name in inputs])
    covariance = np.array(errors.covariance)[np.ix_(kept, kept)] * np.outer(factors, factors) if errors else np.zeros((0, 0))
    steps = [input_change(units[name]) for name in inputs]
    changes = np.array([change for change, _ in steps]) if errors is None else np.sqrt(np.diag(covariance))
    names = [f"{input_text(name)}, {change:.3g}{suffix}" for name, change, (_, suffix) in zip(inputs, changes, steps, strict=True)]
    value, suffix = derivatives.values[row], unit_suffix(derivatives.units[row])
    effects = slopes * changes
    order = np.argsort(-abs(effects), kind="stable")
    ax = axes_of(ax)
    draw_bars(ax, [names[k] for k in order[:count]], effects[order[:count]])
    ax.set(
        xlabel=f"change{f' ({suffix.strip()})' * bool(suffix)}{hidden_note(abs(effects[order[count:]]), 'input', suffix)}",
        ylabel="change of one input" if errors is None else "standard error of one input",
    )
    total, note = "", ""
    if errors is not None:
        total = f" ± {float(np.sqrt(slopes @ covariance @ slopes)):.2f}{suffix}"
        if isinstance(source, Draft) and (note := darts_note(uncertainty := source.uncertainty(errors, unit=unit))):
            total = f"{suffix}; with errors {uncertainty[quantity, 'mean']:.2f} ± {uncertainty[quantity, 'spread']:.2f}{suffix}"
    head = f"{quantity_text(derivatives.quantities[row], derivatives.quantities)}: {value:.2f}{total or suffix}"
    head = head[0].upper() + head[1:] + (f". {subject([source], unit)}" if isinstance(source, Draft) else "") + note
    bars = "; ".join(f"{names[k]}: {signed(effects[k])}{suffix}" for k in order[:count])
    return write_head(ax, head, f"Change with each input. {head}. {bars}.", title=title)


def effects(
    source: Draft | Sensitivity, input: str, *, count: int = 10, unit: str | None = None, title: bool = True, ax: Axes | None = None
) -> Axes:
    """Plot the change of the main lengths of a draft with one input, such as ``body.waist``, the largest change at the top.

    Each bar is the derivative times the change of the input in the title: 1 cm (with lengths in inches, 1 in), 1°, or 0.01 for a ratio.
    The plot shows the `count` lengths with the largest changes. A `Sensitivity` has a unit of its own.
    """
    check_range("count", count, 1)
    unit = unit_of(source, unit)
    derivatives = source.sensitivity([input], unit=unit) if isinstance(source, Draft) else source
    names = list(filter(MAIN_QUANTITIES.fullmatch, derivatives.quantities))
    change, suffix = input_change(dict(zip(derivatives.inputs, derivatives.input_units, strict=True)).get(input, ""))
    changes = change * np.array([derivatives[name, input] for name in names])
    order = np.argsort(-abs(changes), kind="stable")
    moved = [k for k in order if round(changes[k], 2)] or order[:1]
    shown, still = moved[:count], [k for k in order if k not in moved]
    texts = [quantity_text(name, derivatives.quantities) for name in names]
    ax = axes_of(ax)
    draw_bars(ax, [texts[k] for k in shown], changes[shown])
    of_panels = [texts[k] for k in still if "dart" not in texts[k]]
    unmoved = f"; no change: {', '.join(of_panels)}" if 0 < len(of_panels) < 6 else hidden_note(changes[still], "length", "")
    ax.set(xlabel=f"change ({unit}){hidden_note(abs(changes[moved[count:]]), 'length', f' {unit}')}{unmoved}", ylabel="length of the draft")
    head = f"{change:g}{suffix} more {input_text(input)}" + (f". {subject([source], unit)}" if isinstance(source, Draft) else "")
    bars = "; ".join(f"{texts[k]}: {signed(changes[k])} {unit}" for k in order)
    return write_head(ax, head, f"Change of the main lengths. {head}. {bars}.", title=title)


def darts_note(uncertainty: Uncertainty) -> str:
    """Return a sentence that says how often darts come or go within the errors; empty if they never do."""
    note = uncertainty.note.partition(": rely")[0] if "rely on" in uncertainty.note else ""
    return f". {note[0].upper()}{note[1:]}" if note else ""


def input_change(unit: str) -> tuple[float, str]:
    """Return the change of an input that a bar shows, 1 in its unit or 0.01 for a ratio, and the suffix of the unit."""
    return (1.0, unit_suffix(unit)) if unit else (0.01, "")


def draw_bars(ax: Axes, names: list[str], effects: Floats) -> None:
    """Draw a bar with its value for each effect; a negative effect is hatched."""
    rows, colours = np.arange(len(names)), palette(ax)
    height = min(0.62, 0.12 * len(names))
    for mask, colour, hatch in ((effects >= 0, colours.guide, ""), (effects < 0, colours.paper, "////")):
        ax.barh(rows[mask], effects[mask], height=height, color=colour, edgecolor=colours.ink, linewidth=line_width(0.5), hatch=hatch)
    for row, effect in zip(rows, effects, strict=True):
        # To the right of the bar, or of the zero line, where no label of an input can meet it.
        write_near(ax, signed(effect), (max(effect, 0), row), (4, 0), va="center")
    ax.axvline(0, color=colours.ink, linewidth=line_width(0.5))
    ax.set_yticks(rows, names, fontsize="small")
    ax.tick_params(axis="y", length=0)
    ax.spines["left"].set_visible(False)
    ax.set_ylim(len(names) - 0.4, -0.6)
    ax.set_xlim(1.1 * min(effects.min(), 0), 1.5 * max(effects.max(), -0.2 * effects.min(), 1e-9))
    ax.xaxis.set_major_locator(MaxNLocator("auto", steps=[1, 2, 5, 10]))


def hidden_note(effects: Floats, what: str, suffix: str) -> str:
    """Return a note on the inputs, or lengths, without a bar: their number and largest effect; empty if all have a bar."""
    if not len(effects):
        return ""
    others = f"1 other {what}" if len(effects) == 1 else f"{len(effects)} other {what}s"
    return f"; {others}: at most {effects.max():.2f}{suffix} each" if round(effects.max(), 2) else f"; {others}: no change"


def ellipses(
    draft: Draft, errors: StandardErrors, *, probability: float = 0.95, half: str = "back", magnify: float | None = None,
    unit: str | None = None, title: bool = True, ax: Axes | None = None,
) -> Axes:
    """Plot one panel with the error ellipses of its points.

    Each ellipse contains its point with `probability`, if the errors of the inputs are normally distributed. `half` is ``back`` or
    ``front``. The ellipses are enlarged by the factor `magnify`, by default a round factor that makes them visible; the legend
    has the factor and, as a scale, the longest half axis.
    """
    check_choice("half", half, ("back", "front"))
    check_range("probability", probability, 0.01, 0.9999)
    unit = unit_of(draft, unit)
    growth = Ellipse.growth(probability)
    uncertainty = draft.uncertainty(errors, unit=unit)
    found = [ellipse for ellipse in uncertainty.ellipses if ellipse.panel == half]
    frame = PanelFrame(half, 0.0, 1, unit)
    longest = growth * max(ellipse.semi_axes[0] for ellipse in found)
    visible = [factor for factor in MAGNIFICATIONS if factor * longest <= frame.panel(draft).width * per_cm(unit) / 5]
    factor = max(visible, default=1.0) if magnify is None else magnify
    check_range("magnify", factor, 0.1, 1000)
    ax = axes_of(ax)
    colours = palette(ax)
    draw_panel(ax, draft, frame)
    for ellipse in found:
        long, short = (2 * growth * factor * axis for axis in ellipse.semi_axes)
        style: dict[str, Any] = {"facecolor": (*colours.dart, 0.19), "edgecolor": colours.dart, "linewidth": line_width(0.7), "zorder": 3}
        ax.add_patch(EllipsePatch(ellipse.centre, long, short, angle=ellipse.angle_deg, **style))
    centres = np.array([ellipse.centre for ellipse in found])
    ax.plot(*centres.T, "o", color=colours.ink, markersize=mark_size(0.4), linestyle="none", zorder=4)
    scale_and_label(ax, [frame], [draft], "below the waist")
    enlarged = "" if factor == 1 else f", enlarged {number_text(factor)} times"
    label = f"{100 * probability:g}% ellipse{enlarged}, longest half axis {longest:.2f} {unit}"
    head = f"{half.capitalize()}: where its points may lie. {subject([draft], unit)}{darts_note(uncertainty)}"
    text = f"{head}. {label}. {draft_text(draft, unit)}"
    return write_head(ax, head, text, handles=legend_lines({label: ("-", colours.dart), "hip line": ("--", colours.guide)}), title=title)
