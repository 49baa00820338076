"""Tables in words: the darts of one body for each waist ease and hip ease, and the differences between two drafts."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import ClassVar

from ._kirtle import Body, Draft, Ease, Rules
from ._kirtle import draft as draft_body
from .exceptions import InputError
from .options import CM_PER_UNIT
from .words import body_text, darts_text, figure_of, given_number, inputs_of, length, main_lengths, rules_of


@dataclass(frozen=True)
class TextTable:
    """Table of texts with a caption; `print` and notebooks show it."""

    heads: ClassVar[tuple[str, ...]]
    caption: str
    """Caption of the table."""
    rows: list[tuple[str, ...]]
    """Rows of texts; lengths have their unit."""

    def __str__(self) -> str:
        """Return the table as lines of text."""
        widths = [max(map(len, column)) for column in zip(self.heads, *self.rows, strict=True)]
        lines = ["  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)).rstrip() for row in (self.heads, *self.rows)]
        return "\n".join([self.caption, *lines])

    def _repr_html_(self) -> str:
        """Return the table as HTML."""
        from .result_tables import html_table

        return html_table(self.caption, self.heads, self.rows)


class DartsByEase(TextTable):
    """Darts of one body for several values of the ease, made by `darts_by_ease`.

    `print` and notebooks show the table. `caption` is its caption; `rows` has a row of texts for each waist ease and hip ease: both eases,
    darts of back and front, and the suppression by a side seam.
    """

    heads = ("waist ease", "hip ease", "back", "front", "side seam takes in")


class DraftComparison(TextTable):
    """Differences between two drafts, made by `compare_drafts`.

    `print` and notebooks show the table. `rows` has a row of texts for each input and main length that differs: its name, and its values.
    """

    heads = ("", "first", "second")


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


def compare_drafts(first: Draft, second: Draft, *, unit: str | None = None) -> DraftComparison:
    """Compare two drafts: return the inputs and the main lengths that differ, in `unit`, by default the `document_unit` of the first.

    >>> skirt = Draft(Body(waist=74, hip=101, hip_depth=20.5, length=62), ease=Ease(waist=1.5, hip=5))
    >>> print(compare_drafts(skirt, skirt.vary({"ease.hip": 3})))
    Differences between two drafts
                                     first            second
    hip ease                         5 cm             3 cm
    finished hip                     106.0 cm         104.0 cm
    suppression of half the garment  15.4 cm          14.4 cm
    intake at each side edge         3.9 cm           3.6 cm
    back darts                       2.3 cm + 2.3 cm  2.2 cm + 2.2 cm
    front darts                      1.5 cm + 1.5 cm  2.9 cm
    centre front below side          1.0 cm           1.3 cm
    girth half-way to the hip line   98.9 cm          97.3 cm
    """
    unit = first.document_unit if unit is None else unit
    names = [
        {name: f"{text} {unit}" for name, text in inputs_of(draft, unit).items()} | figure_of(draft, unit)
        | {f"rule {name}": text for name, text in rules_of(draft.rules, unit).items()}
        | main_lengths(draft.to_dict(unit))
        | {"girth half-way to the hip line": length(draft.girth_at(draft.body.hip_depth / 2) / CM_PER_UNIT[unit], unit)}
        for draft in (first, second)
    ]
    rows = [(name, *(one.get(name, "none") for one in names)) for name in names[0] | names[1]]
    return DraftComparison("Differences between two drafts", [row for row in rows if row[1] != row[2]])
