"""Results as small pictures in a notebook: SVG in the colours of the page, with alternative text, above or beside their numbers."""

from html import escape
from typing import Any

from ._kirtle import Draft, EaseByLevel, Sensitivity, Uncertainty
from .table_formats import html_table
from .text_tables import table
from .words import length, number_text

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


def with_bars(result: Sensitivity | Uncertainty) -> str:
    """Return the table of a result, with a bar below each change or error; the bar of the largest fills half its field."""
    made, first = table(result), 1 if isinstance(result, Sensitivity) else 2
    largest = max((abs(number(cell)) for row in made.rows for cell in row[first:]), default=0) or 1
    rows = [(*row[:first], *(cell + bar(number(cell) / largest) for cell in row[first:])) for row in made.rows]
    return html_table(made.caption, made.heads, rows, note=made.note, is_html=True)


def number(cell: str) -> float:
    """Return the number of a cell."""
    return float(cell.replace("−", "-"))


def bar(share: float) -> str:
    """Return a bar as a line of HTML, from the middle of its field to a share, −1 to 1, of the half field."""
    middle, length = BAR_FIELD_PIXELS / 2, BAR_FIELD_PIXELS / 2 * share
    drawing = (
        f'<rect x="{middle + min(length, 0):.1f}" y="1" width="{abs(length):.1f}" height="5" fill="currentColor" stroke="none"/>'
        f'<path d="M{middle:g},0V7" stroke-width="1"/>'
    )
    return f"<br>{svg(BAR_FIELD_PIXELS, 8, '', drawing, '')}"


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


PICTURES: dict[type, Any] = {Draft: draft, EaseByLevel: ease_by_level, Sensitivity: with_bars, Uncertainty: with_bars}
"""Functions that give the picture of a result, by class."""
