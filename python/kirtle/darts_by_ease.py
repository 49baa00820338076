"""Table of the darts of one body for each waist ease and hip ease, in words."""

from collections.abc import Sequence
from dataclasses import dataclass

from ._kirtle import Body, Ease, Rules
from ._kirtle import draft as draft_body
from .exceptions import InputError
from .options import CM_PER_UNIT
from .words import body_text, darts_text, given_number

HEADS = ("waist ease", "hip ease", "back", "front", "side seam takes in")
"""Heads of the columns."""


@dataclass(frozen=True)
class DartsByEase:
    """Darts of one body for several values of the ease, made by `darts_by_ease`.

    `print` and notebooks show a table. `rows` has a row of texts for each waist ease and hip ease.
    """

    caption: str
    """Caption of the table: waist and hip of the body."""
    rows: list[tuple[str, ...]]
    """Rows of texts: waist ease, hip ease, darts of back and front, and the suppression by a side seam, lengths with their unit."""

    def __str__(self) -> str:
        """Return the table as lines of text."""
        widths = [max(map(len, column)) for column in zip(HEADS, *self.rows, strict=True)]
        lines = ["  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)).rstrip() for row in (HEADS, *self.rows)]
        return "\n".join([self.caption, *lines])

    def _repr_html_(self) -> str:
        """Return the table as HTML."""
        from .result_tables import html_table

        return html_table(self.caption, HEADS, self.rows)


def darts_by_ease(
    body: Body, *, waist_ease: float | Sequence[float], hip_ease: float | Sequence[float], rules: Rules | None = None, unit: str = "cm"
) -> DartsByEase:
    """Draft a body for each waist ease and hip ease, and return the darts of each draft.

    `waist_ease` and `hip_ease` are a number or several, in `unit`. If an ease gives no draft, the row has the reason. An ease outside
    the range of `Ease` raises `InputError`.

    >>> body = Body(waist=74, hip=101, hip_depth=20.5, length=62)
    >>> print(darts_by_ease(body, waist_ease=1.5, hip_ease=(2, 4, 6)))
    Darts by ease: waist 74, hip 101 cm
    waist ease  hip ease  back                     front                    side seam takes in
    1.5 cm      2 cm      two darts, 2.1 + 2.1 cm  one dart, 2.8 cm         7.0 cm
    1.5 cm      4 cm      two darts, 2.2 + 2.2 cm  one dart, 3.0 cm         7.5 cm
    1.5 cm      6 cm      two darts, 2.4 + 2.4 cm  two darts, 1.6 + 1.6 cm  8.0 cm
    >>> darts_by_ease(body, waist_ease=1.5, hip_ease=80)
    Traceback (most recent call last):
    kirtle.InputError: ease.hip: 80 cm is above the maximum of 60 cm
    """
    waists, hips = ([value] if isinstance(value, int | float) else list(value) for value in (waist_ease, hip_ease))
    rows: list[tuple[str, ...]] = []
    for waist in waists:
        for hip in hips:
            ease = Ease(waist=waist, hip=hip, unit=unit)
            rows.append((f"{given_number(waist, unit)} {unit}", f"{given_number(hip, unit)} {unit}", *dart_cells(body, ease, rules, unit)))
    return DartsByEase(f"Darts by ease: {body_text(body, unit, rules)}", rows)


def dart_cells(body: Body, ease: Ease, rules: Rules | None, unit: str) -> tuple[str, str, str]:
    """Return three texts: darts of back and of front, suppression by one side seam; without a draft the reason and two empty texts."""
    try:
        drafted = draft_body(body, ease=ease, rules=rules)
    except InputError as error:
        return str(error), "", ""
    back, front = (darts_text([dart.intake / CM_PER_UNIT[unit] for dart in panel.darts], unit) for panel in (drafted.back, drafted.front))
    return back, front, darts_text([drafted.suppression.side / CM_PER_UNIT[unit]], unit).partition(", ")[2]
