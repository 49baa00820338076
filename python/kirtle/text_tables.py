"""Tables in words: of any result, of the darts of one body for each waist ease and hip ease, of the differences between two drafts."""

from collections.abc import Sequence

from ._kirtle import Body, Draft, Ease, Rules, format_length
from ._kirtle import draft as draft_body
from .exceptions import InputError
from .options import CM_PER_UNIT
from .result_tables import LIST_TABLES, TABLES
from .table_formats import Table
from .words import all_lengths, body_text, darts_of_panels, figure_texts, given_number, input_texts, length, rule_texts, body_rules_and_unit


def table(result: object) -> Table:
    """Return a result as the table that a notebook shows, to be printed or put into a handout.

    The result is one of `kirtle`: a body, a draft, its derivatives or errors, a chart, a choice, a fit, a comparison, and so on; or the
    list `groups` of a fit, or `refused` of any result; an empty list has no rows. For a draft it has the main lengths. Raises `TypeError` for an object without a table.

    >>> skirt = Draft(Body(waist=74, hip=101, hip_depth=20.5, length=62), ease=Ease(waist=1.5, hip=5))
    >>> print(table(skirt.girths))
    Girths
    waist  75.5 cm
    hip    106.0 cm
    hem    106.0 cm
    >>> table(74)
    Traceback (most recent call last):
    TypeError: no table shows an object of the class int
    """
    if isinstance(result, Table):
        return result
    if result == []:
        return Table("No rows", (), [])
    kinds = {type(item) for item in result} if isinstance(result, list) else {type(result)}
    make = (LIST_TABLES if isinstance(result, list) else TABLES).get(kinds.pop()) if len(kinds) == 1 else None
    if make is None:
        raise TypeError(f"no table shows an object of the class {type(result).__name__}")
    made: Table = make(result)
    return made


def darts_by_ease(
    body: Body | Draft, *, waist_ease: float | Sequence[float], hip_ease: float | Sequence[float], rules: Rules | None = None, unit: str | None = None
) -> Table:
    """Draft a body, or the body of a draft, for each waist ease and hip ease; return the darts of each draft.

    `waist_ease` and `hip_ease` are a number or several, in `unit`, by default that of the body. If an ease gives no draft, the row has
    the reason. An ease outside the range of `Ease` raises `InputError`.

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
    body, rules, unit = body_rules_and_unit(body, rules, unit)
    waists, hips = ([value] if isinstance(value, int | float) else list(value) for value in (waist_ease, hip_ease))
    rows = [
        (*(f"{given_number(ease, unit)} {unit}" for ease in (waist, hip)), *dart_cells(body, Ease(waist=waist, hip=hip, unit=unit), rules, unit))
        for waist in waists for hip in hips
    ]
    heads = ("waist ease", "hip ease", "back", "front", "side seam takes in")
    return Table(f"Darts by ease: {body_text(body, unit, rules)}", heads, rows)


def dart_cells(body: Body, ease: Ease, rules: Rules | None, unit: str) -> tuple[str, str, str]:
    """Return three texts: darts of back and of front, suppression by one side seam; without a draft the reason and two empty texts."""
    try:
        drafted = draft_body(body, ease=ease, rules=rules)
    except InputError as error:
        return str(error), "", ""
    back, front = darts_of_panels(drafted, unit)
    return back, front, f"{format_length(drafted.suppression.side / CM_PER_UNIT[unit], unit)} {unit}"


def compare_drafts(first: Draft, second: Draft, *, unit: str | None = None) -> Table:
    """Compare two drafts: return the inputs and the lengths that differ, in `unit`, by default the `document_unit` of the first.

    A dart has its intake, its length and the distance of its centre from the centre line. Of rules for darts by shares only those count
    that both drafts have.

    >>> skirt = Draft(Body(waist=74, hip=101, hip_depth=20.5, length=62), ease=Ease(waist=1.5, hip=5))
    >>> print(compare_drafts(skirt, skirt.vary({"ease.hip": 3})))
    Differences between two drafts
                                     first                                      second
    hip ease                         5 cm                                       3 cm
    finished hip                     106.0 cm                                   104.0 cm
    suppression of half the garment  15.4 cm                                    14.4 cm
    intake at each side edge         3.9 cm                                     3.6 cm
    back darts                       2.3 × 13.9 at 7.2 + 2.3 × 12.7 at 14.4 cm  2.2 × 13.9 at 7.1 + 2.2 × 12.7 at 14.3 cm
    front darts                      1.5 × 10.2 at 7.9 + 1.5 × 9.2 at 15.8 cm   2.9 × 10.2 at 11.7 cm
    centre front below side          1.0 cm                                     1.3 cm
    centre front                     61.0 cm                                    60.7 cm
    back width                       25.5 cm                                    25.0 cm
    front width                      27.5 cm                                    27.0 cm
    girth half-way to the hip line   98.9 cm                                    97.3 cm
    """
    unit = first.document_unit if unit is None else unit
    both = rule_texts(first.rules, unit).keys() & rule_texts(second.rules, unit).keys()
    names = [
        {name: f"{text} {unit}" for name, text in input_texts(draft, unit).items()} | figure_texts(draft, unit)
        | {f"rule {name}": text for name, text in rule_texts(draft.rules, unit).items() if name in both}
        | all_lengths(draft.to_dict(unit))
        | {"girth half-way to the hip line": length(draft.girth_at(draft.body.hip_depth / 2, unit="cm") / CM_PER_UNIT[unit], unit)}
        for draft in (first, second)
    ]
    rows = [(name, *(one.get(name, "none") for one in names)) for name in names[0] | names[1]]
    return Table("Differences between two drafts", ("", "first", "second"), [row for row in rows if row[1] != row[2]])
