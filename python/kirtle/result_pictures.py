"""Results as small pictures in a notebook: SVG in the colours of the page, with alternative text, above or beside their numbers."""

from collections.abc import Sequence
from html import escape
from typing import Any

from ._kirtle import Draft, EaseByLevel, Sensitivity, Uncertainty
from .result_tables import html_table
from .words import input_text, length, number_text, quantity_text

MAIN_QUANTITIES = ("suppression.total", "suppression.side", "side_seam", "back.width", "front.width")
"""Quantities that a picture shows, besides the intake of each dart."""

MAIN_INPUTS = ("ease.waist", "ease.hip", "body.waist", "body.hip")
"""Inputs that a picture of derivatives shows, if there are derivatives with respect to them."""

BAR_FIELD_PIXELS = 64
"""Width in pixels of the field of a bar; bars start in its middle, and negative bars go to the left."""


def draft(drafted: Draft) -> str | None:
    """Return the cautions about a draft, and what its high hip changes, above the drawing; None for a draft without any."""
    notes = [finding.message for finding in drafted.findings]
    numbers, rule = drafted.quantities(), drafted.rules.side_fullness
    fullness, factor = numbers["side_fullness"], numbers["dart_length_factor"]
    if round(fullness - rule, 2) > 0 or round(factor, 2) < 1:
        shorter = f", and all darts are {number_text(factor)} times as long as by the rules" * (round(factor, 2) < 1)
        notes.append(f"For room at the high hip, the side fullness is {number_text(fullness)} instead of {number_text(rule)}{shorter}.")
    items = "".join(f"<li>{escape(note)}</li>" for note in notes)
    return f"<ul>{items}</ul>{getattr(drafted, '_repr_svg_')()}" if notes else None


def ease_by_level(profile: EaseByLevel) -> str:
    """Return the curve of the ease from the waist to the hip line, with its least and greatest ease."""
    unit, hip = profile.unit, profile.hip_line
    points = [(ease, level) for ease, level in zip(profile.ease, profile.levels, strict=True) if level <= 1.15 * hip]
    low, high = min(0.0, *(ease for ease, _ in points)), max(ease for ease, _ in points)
    scale = 190 / max(high - low, 0.1)

    def x(ease: float) -> float:
        return 100 + (ease - low) * scale

    def y(level: float) -> float:
        return 24 + 150 * level / hip

    marks = ""
    for (level, ease), side, offset in ((profile.tightest, "end", -8), (profile.loosest, "start", 8)):
        is_on_zero = side == "end" and x(ease) - 60 < x(0) < x(ease)
        side, offset, rise = ("start", 8, 2) if is_on_zero else (side, offset, -4)
        marks += f'<circle cx="{x(ease):.1f}" cy="{y(level):.1f}" r="4" fill="currentColor"/>'
        marks += text(x(ease) + offset, y(level) - rise, length(ease, unit), side)
    ends = [length(profile.ease[0], unit), length(next(ease for ease, level in points if level >= hip), unit)]
    tight, loose = (f"{length(ease, unit)}, {length(level, unit)} below the waist" for level, ease in (profile.tightest, profile.loosest))
    caption = f"Ease from {ends[0]} at the waist to {ends[1]} at the hip line; tightest {tight}; loosest {loose}"
    drawing = (
        f'<path d="M{x(0):.1f},14V206" stroke-width="1"/><path d="M20,{y(hip):.1f}H370" stroke-width="1" stroke-dasharray="6 4"/>'
        f'<path d="M{" L".join(f"{x(ease):.1f},{y(level):.1f}" for ease, level in points)}" stroke-width="2"/>'
    )
    labels = text(x(0), 11, "0", "middle") + text(20, y(hip) - 5, "hip line", "start") + text(20, 28, "waist", "start")
    return svg(390, 212, caption, drawing, labels + marks) + f"<p>{escape(caption)}.</p>"


def sensitivity(rates: Sensitivity) -> str:
    """Return the derivatives of the main quantities by the main inputs as a table, with a bar for each number."""
    inputs = [name for name in MAIN_INPUTS if name in rates.inputs] or rates.inputs[:4]
    units = dict(zip(rates.inputs, rates.input_units, strict=True))
    names = main_quantities(rates.quantities)
    largest = max((abs(rates[name, by]) for name in names for by in inputs), default=0) or 1
    rows = [(quantity_text(name, rates.quantities), *(cell(rates[name, by], largest) for by in inputs)) for name in names]
    heads = ["changes by, in " + rates.unit, *(f"1 {units[by]} more: {input_text(by)}".replace("1  more", "1 more") for by in inputs)]
    return html_table("What moves the draft, while number of darts and active limits stay the same", heads, rows, is_html=True)


def uncertainty(errors: Uncertainty) -> str:
    """Return value, standard error and simulated spread of the main quantities as a table with bars, and the note on its darts."""
    values, spreads = (dict(zip(errors.quantities, numbers, strict=True)) for numbers in (errors.values, errors.spread))
    names = main_quantities(errors.quantities)
    largest = max((max(errors[name], spreads[name]) for name in names), default=0) or 1
    rows = [
        (quantity_text(name, errors.quantities), f"{values[name]:.{1 if errors.unit == 'cm' else 2}f}".replace("-", "−"),
         *(cell(error, largest, sign="") for error in (errors[name], spreads[name])))
        for name in names
    ]
    heads = (f"in {errors.unit}", "value", "standard error", f"spread of {errors.drafts:,} drafts")
    note = f"<p>{escape(errors.note[0].upper() + errors.note[1:])}.</p>" if errors.note else ""
    return html_table("How exact the draft is", heads, rows, is_html=True) + note


def main_quantities(names: Sequence[str]) -> list[str]:
    """Return the main quantities among all names of a draft."""
    return [name for name in names if name in MAIN_QUANTITIES or name.endswith("].intake")]


def cell(value: float, largest: float, sign: str = "+") -> str:
    """Return a number with two decimals over a bar of proportional length; a bar of the number ``largest`` fills half the field."""
    bar = BAR_FIELD_PIXELS / 2 * value / largest
    shown = f"{value:{sign}.2f}".replace("-", "−") if round(value, 2) else "0"
    drawing = (
        f'<rect x="{BAR_FIELD_PIXELS / 2 + min(bar, 0):.1f}" y="1" width="{abs(bar):.1f}" height="5" fill="currentColor" stroke="none"/>'
        f'<path d="M{BAR_FIELD_PIXELS / 2},0V7" stroke-width="1"/>'
    )
    return f"{shown}<br>{svg(BAR_FIELD_PIXELS, 8, '', drawing, '')}"


def text(x: float, y: float, words: str, anchor: str) -> str:
    """Return a text at a point of a picture as SVG; ``anchor`` is ``start``, ``middle`` or ``end``."""
    return f'<text x="{x:.1f}" y="{y:.1f}" text-anchor="{anchor}">{escape(words)}</text>'


def svg(width: int, height: int, alternative: str, drawing: str, texts: str) -> str:
    """Return a picture as SVG, in the colour of the text around it; screen readers skip a picture without alternative text."""
    role = f'role="img" aria-label="{escape(alternative)}"' if alternative else 'aria-hidden="true"'
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width}" height="{height}" viewBox="0 0 {width} {height}" {role}>'
        f'<g fill="none" stroke="currentColor">{drawing}</g>'
        f'<g fill="currentColor" font-family="sans-serif" font-size="12">{texts}</g></svg>'
    )


PICTURES: dict[type, Any] = {Draft: draft, EaseByLevel: ease_by_level, Sensitivity: sensitivity, Uncertainty: uncertainty}
"""Functions that give the picture of a result, by class."""
