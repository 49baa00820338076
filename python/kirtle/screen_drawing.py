"""Drawing of a draft for a screen: back and front with a few large labels, over the outline of an earlier draft.

Lengths are centimetres. The centre lines have fixed places: the back's at the left end, the front's at the right end. Lines
keep their width at any scale, and a page can give the letters a constant size.
"""

import math
from collections.abc import Sequence
from typing import Any

from ._kirtle import Draft, Edge, Panel, format_length

GAP, MARGIN = 5.0, 1.5
"""Minimum distance between the side seams of back and front, and margin around the drawing, in centimetres of the draft."""

LETTER = 2.6
"""Letter size of a picture, in centimetres of the draft: at least 11 pixels where the picture is 330 pixels wide."""

INK, DART, PALE = "currentColor", "#c0562c", "#808080"
"""Colours that are legible on white and on black; the ink is that of the text around the drawing."""


def canvas(draft: Draft) -> list[float]:
    """Return the canvas of a draft, in centimetres: width, height below the waist at the side, and the room above this waist."""
    panels = (draft.back, draft.front)
    width = sum(max(panel.width, panel.waist_width) for panel in panels)
    height = draft.body.length + (3 * LETTER if is_short(draft) else 0)
    return [width + GAP, height, max(MARGIN, *(-panel.waist_lowering for panel in panels))]


def is_short(draft: Draft) -> bool:
    """Return whether a panel's name has no room between hip line and hem, so that the drawing shows the name below the hem."""
    return draft.body.length - draft.body.hip_depth < 5 * LETTER


def screen_svg(draft: Draft, before: Draft, size: Sequence[float], result: dict[str, Any], marks: Sequence[float]) -> str:
    """Return the drawing of a draft over the earlier draft `before` as SVG text.

    `size` is the canvas, `result` has the numbers of the draft in the unit of the labels, and the centre lines get a mark at each level
    of `marks`.
    """
    (width, height, rise), hip = size, draft.body.hip_depth
    places = ("", f' transform="translate({width:.2f} 0) scale(-1 1)"')
    panels = "".join(
        f'<g{place}>{stroke(outline(earlier), PALE, 1, "1 4")}{panel_lines(panel, hip, marks, "9 4 1 4" if place else "")}</g>'
        for panel, earlier, place in zip((draft.back, draft.front), (before.back, before.front), places, strict=True)
    )
    texts = panel_texts(draft, "back", 0, 1, result) + panel_texts(draft, "front", width, -1, result)
    between, low = (draft.back.width + width - draft.front.width) / 2, (hip + draft.body.length) / 2
    texts += text(between, low, f"side seam {seam_text(result, 'back', 'side')}", ' dy="0.4em"', upwards=True)
    counts = {half: len(result[half]["darts"]) for half in ("back", "front")}
    darts = " and ".join(f"{count or 'no'} dart{'s' * (count > 1)} in the {half}" for half, count in counts.items())
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="{-MARGIN} {-rise - 0.5:.2f} {width + 2 * MARGIN:.2f} {height + rise + 1:.2f}" '
        f'role="img" aria-label="Back and front of a straight skirt with {darts}; the starting draft is dotted">'
        f'<g fill="none" stroke-linecap="round" stroke-linejoin="round">{panels}</g>'
        f'<g fill="{INK}" font-family="sans-serif" font-size="{LETTER}" text-anchor="middle">{texts}</g></svg>'
    )


def panel_lines(panel: Panel, hip: float, marks: Sequence[float], centre_dashes: str) -> str:
    """Draw the cloth of a panel, its edges, the centre lines of its darts, its hip line, and marks of levels at the centre line."""

    def edges(*roles: str) -> str:
        return "".join(path(edge.points[0], [edge]) for edge in panel.edges if edge.role in roles)

    middles = "".join(f"M{dart.centre:.3f},{dart.inner[1]:.3f}L{point(dart.tip)}" for dart in panel.darts)
    guides = f"M0,{hip:.3f}H{panel.width:.3f}" + "".join(f"M0,{level:.3f}H{panel.width / 8:.3f}" for level in marks)
    return (
        f'<path d="{outline(panel)}" fill="{INK}" fill-opacity="0.06"/>' + stroke(guides, PALE, 1, "6 4") + stroke(middles, DART, 1, "6 4")
        + stroke(edges("dart"), DART, 1.5) + stroke(edges("waist", "side", "hem"), INK, 2) + stroke(edges("centre"), INK, 2, centre_dashes)
    )


def panel_texts(draft: Draft, half: str, centre: float, direction: int, result: dict[str, Any]) -> str:
    """Write the name of a panel and its main lengths; the side seam is to the right of the centre line if `direction` is 1."""
    panel = getattr(draft, half)
    hip, hem = draft.body.hip_depth, draft.body.length
    middle, low = centre + direction * panel.width / 2, (hip + hem) / 2
    inside = "1.3em" if direction == 1 else "-0.6em"
    name, below = (hem, 1.3) if is_short(draft) else (low, 0.0)
    centre_text = f"centre {half} {seam_text(result, half, 'centre')}"
    room = LETTER / 2 * len(centre_text)
    return "".join([
        text(middle, name, half.upper(), f' dy="{below}em" font-weight="bold"'),
        text(middle, name, "cut 2" if half == "back" else "on the fold", f' dy="{below + 1.3}em"'),
        text(middle, hem, f"hem {seam_text(result, half, 'hem')}", ' dy="-0.5em"'),
        text(centre, min(low, hem - room / 2), centre_text, f' dy="{inside}"', upwards=True) if room < hem - 0.8 * hip else "",
        *dart_texts(panel, centre, direction, [format_length(dart["intake"], result["unit"]) for dart in result[half]["darts"]]),
    ])


def dart_texts(panel: Panel, centre: float, direction: int, intakes: Sequence[str]) -> list[str]:
    """Write the intake of each dart below its tip, one line lower if the text of the next dart would overlap."""
    texts, following, line = [], math.inf, 0
    for dart, intake in reversed(list(zip(panel.darts, intakes, strict=True))):
        line = 1 - line if following - dart.centre < 0.65 * LETTER * len(intake) else 0
        texts.append(text(centre + direction * dart.centre, dart.tip[1], intake, f' dy="{1.1 + line}em"'))
        following = dart.centre
    return texts


def seam_text(result: dict[str, Any], half: str, seam: str) -> str:
    """Return the length of a seam of a panel as text with its unit."""
    return f"{format_length(result[half]['seams'][seam], result['unit'])} {result['unit']}"


def text(x: float, y: float, words: str, attributes: str, *, upwards: bool = False) -> str:
    """Return a text centred at a point as SVG; ``upwards`` turns the text by 90° to read upwards."""
    turn = f' transform="rotate(-90 {x:.2f} {y:.2f})"' if upwards else ""
    return f'<text x="{x:.2f}" y="{y:.2f}"{attributes}{turn}>{words}</text>'


def stroke(lines: str, colour: str, pixels: float, dashes: str = "") -> str:
    """Return a path whose width and dashes are pixels at any scale."""
    pattern = f' stroke-dasharray="{dashes}"' if dashes else ""
    return f'<path d="{lines}" stroke="{colour}" stroke-width="{pixels}" vector-effect="non-scaling-stroke"{pattern}/>'


def outline(panel: Panel) -> str:
    """Return the closed outline of a panel as an SVG path."""
    return path(panel.edges[0].points[0], panel.edges) + "Z"


def path(start: Sequence[float], edges: Sequence[Edge]) -> str:
    """Return an SVG path along straight and curved edges that follow each other."""
    return f"M{point(start)}" + "".join(
        ("L" if len(edge.points) == 2 else "C") + " ".join(map(point, edge.points[1:])) for edge in edges
    )


def point(xy: Sequence[float]) -> str:
    """Return a point as SVG text, to a hundredth of a millimetre."""
    return f"{xy[0]:.3f},{xy[1]:.3f}"
