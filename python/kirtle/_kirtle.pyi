"""
The compiled half of the package `kirtle`.
"""

from _typeshed import SupportsGetItem
from collections.abc import Mapping
from os import PathLike
from typing import Any, Final, SupportsFloat, SupportsIndex, final
from typing_extensions import disjoint_base

__all__ = ["__version__", "Alteration", "Answer", "BestChart", "BestLine", "Body", "BodyTable", "Change", "ChartFit", "Check", "Choice", "Comparison", "Cost", "Dart", "Darts", "Draft", "DraftStream", "DraftTable", "Ease", "EaseByLevel", "Edge", "Ellipse", "Errors", "Finding", "Fitting", "FixedDart", "Girths", "KeyLengths", "Lay", "Lengths", "LogBand", "Move", "Near", "Notch", "Panel", "Pattern", "Piece", "Placed", "Population", "Problem", "Proof", "Range", "Rows", "Rules", "Seams", "Sensitivity", "Shares", "SizeChart", "Suppression", "Uncertainty", "best_chart", "best_line", "chart_json", "compare_charts", "draft", "draft_json", "draft_stream", "draft_table", "fit_chart", "schema", "simulate"]

__version__: Final[str]
"""
The version of the package.
"""

@final
class Alteration:
    """
    An alteration on paper beside the exact redraft. A notebook shows it as a drawing.
    """
    def __repr__(self, /) -> str: ...
    def _repr_svg_(self, /) -> str: ...
    @property
    def cost(self, /) -> Cost:
        """
        What it costs, in millimetres.
        """
    @property
    def exact(self, /) -> Draft:
        """
        The exact redraft.
        """
    @property
    def holds(self, /) -> bool:
        """
        Whether it costs no more than the tolerance.
        """
    def instructions(self, /, unit: str = "cm") -> list[str]:
        """
        What to do, a step each.
        """
    @property
    def largest_mm(self, /) -> float:
        """
        The largest cost in millimetres; infinite where the redraft has another number of darts.
        """
    def save(self, /, path: str | PathLike[str], *, paper: str = "A4", unit: str = "cm") -> None:
        """
        Writes that drawing, `.pdf` or `.svg`; whole, or not at all.
        """
    def svg(self, /, unit: str = "cm", *, fit: bool = False) -> str:
        """
        The printed sizes, the altered line and the exact redraft as SVG.
        """
    def to_dict(self, /, unit: str = "cm") -> dict[str, Any]:
        """
        All of it: instructions, steps, cost, verdict and the altered outlines.
        """
    @property
    def verdict(self, /) -> str:
        """
        What it costs, in plain words.
        """

@final
class Answer:
    """
    What a question asked backwards is answered by. Lengths are in the unit of the call.
    """
    def __eq__(self, value: object, /) -> bool: ...
    def __hash__(self, /) -> int: ...
    def __ne__(self, value: object, /) -> bool: ...
    def __repr__(self, /) -> str: ...
    @property
    def draft(self, /) -> Draft:
        """
        The draft by that value.
        """
    @property
    def holds(self, /) -> tuple[float, float]:
        """
        From where to where what was wanted holds around that value.
        """
    @property
    def input(self, /) -> str:
        """
        The input that was sought.
        """
    @property
    def others(self, /) -> list[float]:
        """
        Other values that give it, from the least to the most.
        """
    @property
    def unit(self, /) -> str:
        """
        The unit of lengths.
        """
    @property
    def value(self, /) -> float:
        """
        Its value that gives what was wanted: of all that do, the nearest to what it was.
        """

@final
class BestChart:
    """
    Sizes by waist and hip with little mean loss. Lengths are in the unit of the call; a squared loss is in its square.
    """
    def __repr__(self, /) -> str: ...
    @property
    def bound(self, /) -> float:
        """
        No chart of so many sizes of its kind has a lower mean loss.
        """
    def chart(self, /, *, hip_depth: SupportsFloat | SupportsIndex, length: SupportsFloat | SupportsIndex) -> SizeChart:
        """
        The sizes as a chart, with names from 1 on, and this hip depth and length for all.

        Raises `MeasurementError` where a size has the larger hip and not the larger waist.
        """
    @property
    def gap(self, /) -> float:
        """
        How much lower the mean loss of the best chart could be, at the most.
        """
    @property
    def loss(self, /) -> float:
        """
        The mean loss.
        """
    @property
    def measured(self, /) -> int:
        """
        How many people the sizes were sought for.
        """
    @property
    def sizes(self, /) -> list[tuple[float, float, float]]:
        """
        For each size its waist, its hip, and the share of the people given to it.
        """
    def to_dict(self, /) -> dict[str, Any]:
        """
        The same as a dict.
        """
    @property
    def unit(self, /) -> str:
        """
        The unit of lengths.
        """
    @property
    def unmeasured(self, /) -> int:
        """
        How many people were left out, as they have no number, or none that is finite.
        """

@final
class BestLine:
    """
    The sizes by one girth with the least mean loss. Lengths are in the unit of the call; a squared loss is in its square.
    """
    def __eq__(self, value: object, /) -> bool: ...
    def __getnewargs__(self, /) -> tuple[str]: ...
    def __hash__(self, /) -> int: ...
    def __ne__(self, value: object, /) -> bool: ...
    def __new__(cls, /, json: str) -> BestLine: ...
    def __repr__(self, /) -> str: ...
    @property
    def girth(self, /) -> str:
        """
        The girth: `waist` or `hip`.
        """
    @property
    def loss(self, /) -> float:
        """
        The mean loss: no sizes, so many, have a lower one.
        """
    @property
    def measured(self, /) -> int:
        """
        How many people the sizes were sought for.
        """
    @property
    def sizes(self, /) -> list[tuple[float, float, float, float]]:
        """
        For each size its girth, the least and the most girth of the people given to it, and their share.
        """
    def to_dict(self, /) -> dict[str, Any]:
        """
        The same as a dict.
        """
    @property
    def unit(self, /) -> str:
        """
        The unit of lengths.
        """
    @property
    def unmeasured(self, /) -> int:
        """
        How many people were left out, as they have no number, or none that is finite.
        """

@final
class Body:
    """
    The body's measurements, in centimetres.

    What is out of range is refused, all of it at once.

    >>> Body(waist=28, hip=38, hip_depth=8, length=24, unit="in").waist
    71.12
    >>> Body(waist=7.4, hip="101", hip_depth=20.5, length=62)
    Traceback (most recent call last):
    kirtle.errors.MeasurementError: body.waist: 7.4 cm is below the minimum of 40 cm
    body.hip: "101" is not a number from 50 to 220 cm
    """
    def __eq__(self, value: object, /) -> bool: ...
    def __getnewargs_ex__(self, /) -> tuple[tuple[()], dict[str, Any]]: ...
    def __hash__(self, /) -> int: ...
    def __ne__(self, value: object, /) -> bool: ...
    def __new__(cls, /, *, waist: float, hip: float, hip_depth: float, length: float, unit: str = "cm") -> Body: ...
    def __repr__(self, /) -> str: ...
    @property
    def hip(self, /) -> float:
        """
        Girth at the fullest hip (ISO 8559-1, 5.3.13).
        """
    @property
    def hip_depth(self, /) -> float:
        """
        From the waist at the side straight down to the line of the fullest hip; over the curve it is a little longer.
        """
    @property
    def length(self, /) -> float:
        """
        From the waist at the side straight down to the hem; at least 1 cm more than the hip depth.
        """
    @property
    def waist(self, /) -> float:
        """
        Girth at the natural waist (ISO 8559-1, 5.3.10).
        """

@final
class BodyTable(Rows):
    """
    Simulated bodies: an Arrow table for whatever takes one, such as `draft_table`, `fit_chart`, `pyarrow.table` or
    `polars.DataFrame`.
    """
    def __repr__(self, /) -> str: ...

@final
class Change:
    """
    A number that a correction changed.
    """
    def __eq__(self, value: object, /) -> bool: ...
    def __getnewargs__(self, /) -> tuple[str]: ...
    def __hash__(self, /) -> int: ...
    def __ne__(self, value: object, /) -> bool: ...
    def __new__(cls, /, json: str) -> Change: ...
    def __repr__(self, /) -> str: ...
    @property
    def after(self, /) -> float:
        """
        What it is.
        """
    @property
    def before(self, /) -> float | None:
        """
        What it was; none where it was not given.
        """
    @property
    def field(self, /) -> str:
        """
        Its path in a request.
        """
    def to_dict(self, /) -> dict[str, Any]:
        """
        The same as a dict.
        """

@final
class ChartFit(Rows):
    """
    How a chart serves people: counts, and an Arrow table with a row for each person (`size`, `ease_left_waist`,
    `ease_left_hip`, `ease_left_high_hip` where it was asked for, `serves`, `excess`). Lengths are in the unit of the call.
    """
    def __repr__(self, /) -> str: ...
    @property
    def count(self, /) -> int:
        """
        How many people there are, measured or not.
        """
    @property
    def loads(self, /) -> list[tuple[str, int, int]]:
        """
        For each size its name, how many people it is given to, and how many of them it serves.
        """
    def regions(self, /, step: SupportsFloat | SupportsIndex) -> list[tuple[float, float, int, int]]:
        """
        Squares of the waist-hip plane with people in them: the least waist, the least hip, how many people, how many of them
        are served.

        Raises `MeasurementError` for a step that is not from 0.1 to 100 cm.
        """
    @property
    def served(self, /) -> int:
        """
        How many people have a size that serves.
        """
    @property
    def share_served(self, /) -> float:
        """
        Their share of the measured people, from 0 to 1; 0 where nobody was measured.
        """
    def to_dict(self, /) -> dict[str, Any]:
        """
        The counts as a dict.
        """
    @property
    def unit(self, /) -> str:
        """
        The unit of lengths.
        """
    @property
    def unmeasured(self, /) -> int:
        """
        How many of them have no number, or none that is finite, or a depth outside the garments.
        """
    @property
    def unserved(self, /) -> dict[str, int]:
        """
        How many of the unserved miss each bound, such as `waist_tight`, in the size that they are given.
        """
    def worst(self, /, most: SupportsIndex = 10) -> list[tuple[int, float]]:
        """
        Those who are served worst, at most so many, the worst first: the row, and by how much the worst bound is missed.
        """

@final
class Check:
    """
    One thing that was measured on the finished outlines.
    """
    def __eq__(self, value: object, /) -> bool: ...
    def __getnewargs__(self, /) -> tuple[str]: ...
    def __hash__(self, /) -> int: ...
    def __ne__(self, value: object, /) -> bool: ...
    def __new__(cls, /, json: str) -> Check: ...
    def __repr__(self, /) -> str: ...
    @property
    def at_least(self, /) -> bool:
        """
        Whether more than expected is as good.
        """
    @property
    def expected(self, /) -> float:
        """
        What it should have, or the least that it should have.
        """
    @property
    def holds(self, /) -> bool:
        """
        Whether it holds.
        """
    @property
    def measured(self, /) -> float:
        """
        What the outline has.
        """
    @property
    def name(self, /) -> str:
        """
        What was measured.
        """
    @property
    def panel(self, /) -> str:
        """
        The panel it was measured on: `back`, `front`, or `both` together.
        """
    def to_dict(self, /) -> dict[str, Any]:
        """
        The same as a dict.
        """
    @property
    def tolerance(self, /) -> float:
        """
        By how much the two may differ.
        """
    @property
    def unit(self, /) -> str:
        """
        The unit of all three: `cm`, `in`, `deg`, or `count`.
        """

@final
class Choice:
    """
    The way from a body to the sizes.
    """
    def __eq__(self, value: object, /) -> bool: ...
    def __getnewargs__(self, /) -> tuple[str]: ...
    def __hash__(self, /) -> int: ...
    def __ne__(self, value: object, /) -> bool: ...
    def __new__(cls, /, json: str) -> Choice: ...
    def __repr__(self, /) -> str: ...
    @property
    def advice(self, /) -> str:
        """
        What to do, in plain words.
        """
    @property
    def advised(self, /) -> Near | None:
        """
        The smallest size with no girth more than half a centimetre smaller than the body's, if there is one.
        """
    @property
    def hip(self, /) -> Near:
        """
        The size with the nearest hip.
        """
    @property
    def outside(self, /) -> bool:
        """
        Whether a girth lies beyond the chart.
        """
    @property
    def overall(self, /) -> Near:
        """
        The size whose larger miss is the least.
        """
    def to_dict(self, /) -> dict[str, Any]:
        """
        The same as a dict.
        """
    @property
    def waist(self, /) -> Near:
        """
        The size with the nearest waist.
        """

@final
class Comparison:
    """
    A chart beside the best one of as many sizes, on people by whom neither was made. Lengths are in the unit of the call; a
    squared loss is in its square.
    """
    def __eq__(self, value: object, /) -> bool: ...
    def __getnewargs__(self, /) -> tuple[str]: ...
    def __hash__(self, /) -> int: ...
    def __ne__(self, value: object, /) -> bool: ...
    def __new__(cls, /, json: str) -> Comparison: ...
    def __repr__(self, /) -> str: ...
    @property
    def best_loss(self, /) -> float:
        """
        The mean loss of the held-out people in the best chart.
        """
    @property
    def given_loss(self, /) -> float:
        """
        The mean loss of the held-out people in the given chart.
        """
    @property
    def held_out(self, /) -> int:
        """
        How many people were held out.
        """
    @property
    def learnt(self, /) -> int:
        """
        How many people the best chart was sought for.
        """
    @property
    def learnt_loss(self, /) -> float:
        """
        The mean loss in the best chart of the people that it was sought for: it flatters.
        """
    @property
    def sizes(self, /) -> list[tuple[float, float, float]]:
        """
        For each size of the best chart its waist, its hip, and the share of the people it was sought for given to it.
        """
    def to_dict(self, /) -> dict[str, Any]:
        """
        The same as a dict.
        """
    @property
    def unit(self, /) -> str:
        """
        The unit of lengths.
        """
    @property
    def unmeasured(self, /) -> int:
        """
        How many people were left out, as they have no number, or none that is finite.
        """

@final
class Cost:
    """
    How far an alteration lies from the exact redraft, in millimetres.
    """
    def __eq__(self, value: object, /) -> bool: ...
    def __getnewargs__(self, /) -> tuple[str]: ...
    def __hash__(self, /) -> int: ...
    def __ne__(self, value: object, /) -> bool: ...
    def __new__(cls, /, json: str) -> Cost: ...
    def __repr__(self, /) -> str: ...
    @property
    def centre_gap_mm(self, /) -> float:
        """
        The largest gap along the centre lines.
        """
    @property
    def dart_gap_mm(self, /) -> float | None:
        """
        The farthest that a mouth or a tip of a dart lies off; none where the redraft has more darts, or fewer.
        """
    @property
    def hem_gap_mm(self, /) -> float:
        """
        The largest gap along the hem.
        """
    @property
    def hip_girth_mm(self, /) -> float:
        """
        By how much the hip of the garment is too large, or, below zero, too small; all around.
        """
    @property
    def sewn_waist_mm(self, /) -> float:
        """
        By how much the sewn waist is too large, or, below zero, too small; all around.
        """
    @property
    def side_gap_mm(self, /) -> float:
        """
        The largest gap along the side seams.
        """
    @property
    def side_mismatch_mm(self, /) -> float:
        """
        By how much the side seam of the front is longer than that of the back, or, below zero, shorter.
        """
    def to_dict(self, /) -> dict[str, Any]:
        """
        The same as a dict.
        """
    @property
    def waist_gap_mm(self, /) -> float:
        """
        The largest gap along the waist.
        """

@final
class Dart:
    """
    A dart.
    """
    def __eq__(self, value: object, /) -> bool: ...
    def __getnewargs__(self, /) -> tuple[str]: ...
    def __hash__(self, /) -> int: ...
    def __ne__(self, value: object, /) -> bool: ...
    def __new__(cls, /, json: str) -> Dart: ...
    def __repr__(self, /) -> str: ...
    @property
    def centre(self, /) -> float:
        """
        From the centre line to the dart's centre.
        """
    @property
    def half_angle_deg(self, /) -> float:
        """
        The angle between a leg and the dart's centre, in degrees.
        """
    @property
    def inner(self, /) -> list[float]:
        """
        Where the leg next to the centre meets the waist.
        """
    @property
    def intake(self, /) -> float:
        """
        Width of the mouth.
        """
    @property
    def leg(self, /) -> float:
        """
        Length of each leg.
        """
    @property
    def length(self, /) -> float:
        """
        From the mouth to the tip, down the dart's centre.
        """
    @property
    def outer(self, /) -> list[float]:
        """
        Where the leg next to the side meets the waist.
        """
    @property
    def tip(self, /) -> list[float]:
        """
        The tip.
        """
    def to_dict(self, /) -> dict[str, Any]:
        """
        The same as a dict.
        """

@final
class Darts:
    """
    Apportioning by given darts, each list from the centre to the side; the side seam takes the rest.

    >>> given = Darts(back=[FixedDart(intake=4, length=13, place=0.5)], front=[])
    >>> body = Body(waist=74, hip=101, hip_depth=20.5, length=62)
    >>> len(draft(body, ease=Ease(waist=1.5, hip=5), rules=Rules(darts=given)).front.darts)
    0
    >>> Darts(back=[FixedDart(intake=1, length=12, place=0.5)] * 4, front=[])
    Traceback (most recent call last):
    kirtle.errors.MeasurementError: rules.darts.back: 4 darts are given; the most is 3 darts
    """
    def __eq__(self, value: object, /) -> bool: ...
    def __getnewargs_ex__(self, /) -> tuple[tuple[()], dict[str, Any]]: ...
    def __hash__(self, /) -> int: ...
    def __ne__(self, value: object, /) -> bool: ...
    def __new__(cls, /, *, back: SupportsGetItem[int, FixedDart], front: SupportsGetItem[int, FixedDart]) -> Darts: ...
    def __repr__(self, /) -> str: ...
    @property
    def back(self, /) -> list[FixedDart]:
        """
        The darts of the back panel.
        """
    @property
    def front(self, /) -> list[FixedDart]:
        """
        The darts of the front panel.
        """

@final
class Draft:
    """
    The finished draft; lengths are in centimetres. A notebook shows it as a drawing.

    >>> skirt = draft(Body(waist=74, hip=101, hip_depth=20.5, length=62), ease=Ease(waist=1.5, hip=5))
    >>> round(skirt.suppression.total, 2), [round(dart.intake, 2) for dart in skirt.back.darts]
    (15.41, [2.31, 2.31])
    >>> skirt.proof.holds, skirt.findings
    (True, [])
    """
    def __eq__(self, other: object, /) -> bool: ...
    def __hash__(self, /) -> int: ...
    def __new__(cls, /, body: Body, *, ease: Ease, rules: Rules | None = None) -> Draft: ...
    def __reduce__(self, /) -> tuple[Any, tuple[str]]: ...
    def __repr__(self, /) -> str: ...
    def _repr_svg_(self, /) -> str: ...
    @property
    def back(self, /) -> Panel:
        """
        The back panel.
        """
    @property
    def body(self, /) -> Body:
        """
        The body that was drafted for.
        """
    @property
    def document_unit(self, /) -> str:
        """
        The unit of `to_json`, `to_dict` and `svg` where none is named: the request's.
        """
    @property
    def ease(self, /) -> Ease:
        """
        The ease that it was given.
        """
    def ease_by_level(self, /, *, high_hip: SupportsFloat | SupportsIndex | None = None, high_hip_depth: SupportsFloat | SupportsIndex | None = None, step: SupportsFloat | SupportsIndex | None = None, unit: str = "cm") -> EaseByLevel:
        """
        What the garment is wider than the body, at levels a `step` apart (1 cm) from the waist to the hem; all in `unit`.

        `high_hip` is the girth of the body between waist and hip, `high_hip_depth` how far below the waist at the side it is
        taken; without them the body widens as the side seam does by default, by the natural spline.

        Raises `MeasurementError` with all the problems at once.

        >>> skirt = draft(Body(waist=74, hip=101, hip_depth=20.5, length=62), ease=Ease(waist=1.5, hip=5))
        >>> ease = skirt.ease_by_level(high_hip=94, high_hip_depth=10)
        >>> [round(number, 2) for number in ease.tightest]
        [2.92, 1.29]
        >>> skirt.ease_by_level(high_hip=94)
        Traceback (most recent call last):
        kirtle.errors.MeasurementError: high_hip_depth: missing; give a number from 1 to 39 cm
        """
    @property
    def findings(self, /) -> list[Finding]:
        """
        Cautions; a trial garment decides.
        """
    @staticmethod
    def from_json(request: str) -> Draft:
        """
        Drafts a request in JSON; its unit is that of `to_json` and `svg`.
        """
    @property
    def front(self, /) -> Panel:
        """
        The front panel.
        """
    def girth_at(self, /, level: SupportsFloat | SupportsIndex) -> float:
        """
        The girth of the garment at a level, in centimetres down from the waist at the side, darts closed.

        Raises `MeasurementError` for a level above the waist or below the hem.

        >>> skirt = draft(Body(waist=74, hip=101, hip_depth=20.5, length=62), ease=Ease(waist=1.5, hip=5))
        >>> round(skirt.girth_at(10), 1)
        98.4
        >>> skirt.girth_at(63)
        Traceback (most recent call last):
        kirtle.errors.MeasurementError: level: 63 cm is outside the garment; give a level from 0 to 62 cm
        """
    @property
    def girths(self, /) -> Girths:
        """
        The garment's girths.
        """
    @property
    def left_in_side(self, /) -> float:
        """
        What the side seams take beyond their limit, on half the garment.
        """
    @property
    def lengths(self, /) -> Lengths:
        """
        The garment's finished lengths.
        """
    @property
    def nominal(self, /) -> Suppression:
        """
        The suppression as the measurements give it, before the waist is closed.
        """
    def pattern(self, /, *, preset: str | None = None, name: str | None = None, waist: float | None = None, side: float | None = None, hem: float | None = None, centre_back: float | None = None, opening: float | None = None, press: str | None = None, unit: str | None = None) -> Pattern:
        """
        The pieces ready to cut.

        What is not given is the preset's, in round values of `unit`: `trial` for a trial garment, or `garment` with a hem to
        turn up. `waist`, `side`, `hem` and `centre_back` are the allowances, `opening` the length of the opening from the
        waist down the centre back; `press` is the side to which the darts are pressed, `centre` or `side`; `name` stands on
        the pieces. `unit` is `document_unit` unless told.

        Raises `MeasurementError` with all the problems at once.

        >>> skirt = draft(Body(waist=74, hip=101, hip_depth=20.5, length=62), ease=Ease(waist=1.5, hip=5))
        >>> skirt.pattern(preset="garment", hem=5, press="side").allowances
        {'waist': 1.0, 'side': 1.5, 'hem': 5.0, 'centre_back': 2.0}
        >>> skirt.pattern(hem=-1, press="up")
        Traceback (most recent call last):
        kirtle.errors.MeasurementError: cutting.allowances.hem: -1 cm is below the minimum of 0 cm
        cutting.press: "up" is not "centre" or "side"
        """
    @property
    def proof(self, /) -> Proof:
        """
        The finished outlines measured afresh.
        """
    def quantities(self, /, *, unit: str = "cm") -> dict[str, Any]:
        """
        The numbers of the draft by name, in `unit`: lengths, areas, angles in degrees, and the points of both panels.

        >>> body = Body(waist=70, hip=96, hip_depth=18, length=60)
        >>> draft(body, ease=Ease(waist=1.5, hip=5)).quantities().get("nominal.total")
        14.75
        """
    @property
    def rules(self, /) -> Rules:
        """
        The rules that it was drafted by.
        """
    def seek(self, /, input: str, quantity: str, value: SupportsFloat | SupportsIndex, *, level: SupportsFloat | SupportsIndex | None = None, between: tuple[SupportsFloat | SupportsIndex, SupportsFloat | SupportsIndex] | None = None, unit: str = "cm") -> Answer:
        """
        Seeks the value of one input, such as `ease.hip`, that gives what is wanted while all others stay as they are.

        `quantity` is a number of the draft by its name, as in `quantities`; `back.darts` or `front.darts`, the number of darts; or
        `girth`, that of the garment at a `level` down from the waist at the side. The whole range of the input is searched, or
        `between` two values. All numbers are in `unit`.

        Raises `MeasurementError` for a name that is not known, a `between` out of range, and where no value gives what is wanted.

        >>> skirt = draft(Body(waist=74, hip=101, hip_depth=20.5, length=62), ease=Ease(waist=1.5, hip=5))
        >>> answer = skirt.seek("ease.hip", "front.darts", 1)
        >>> round(answer.value, 6), len(answer.draft.front.darts)
        (4.5, 1)
        >>> skirt.seek("ease.hip", "back.width", 90)
        Traceback (most recent call last):
        kirtle.errors.MeasurementError: value: 90 cm is out of reach: ease.hip from -10 to 60 cm gives 21.75 to 39.25 cm
        """
    def sensitivity(self, /, by: SupportsGetItem[int, str] | None = None, *, unit: str = "cm") -> Sensitivity:
        """
        The exact derivatives of every number of the draft by the inputs of these names, such as `ease.hip`, or by all.

        They hold while darts are as many as here, and the same limits of the rules are met. Lengths are in `unit`.

        Raises `MeasurementError` for a name that is none of the inputs.

        >>> skirt = draft(Body(waist=74, hip=101, hip_depth=20.5, length=62), ease=Ease(waist=1.5, hip=5))
        >>> skirt.sensitivity(["ease.hip"])["front.width", "ease.hip"]
        0.25
        >>> skirt.sensitivity(["ease.knee"])
        Traceback (most recent call last):
        kirtle.errors.MeasurementError: by: "ease.knee" is not one of body.waist, body.hip, body.hip_depth, ...
        """
    @property
    def suppression(self, /) -> Suppression:
        """
        The suppression as drafted.
        """
    def svg(self, /, unit: str | None = None, *, fit: bool = False) -> str:
        """
        The drawing of both panels as SVG, at true scale, with lengths in `unit` or in `document_unit`.

        `fit` lets it fill its place on a screen instead.
        """
    def to_dict(self, /, unit: str | None = None) -> dict[str, Any]:
        """
        The result as a dict, in `unit` or in `document_unit`.
        """
    def to_json(self, /, unit: str | None = None) -> str:
        """
        The result in JSON, in `unit` or in `document_unit`.
        """
    def uncertainty(self, /, errors: Errors, *, unit: str = "cm") -> Uncertainty:
        """
        The standard errors of every number of the draft, and the ellipses of its points, where its inputs have these errors:
        to first order, by the exact derivatives. All lengths are in `unit`.

        Raises `MeasurementError` for a name that is none of the inputs.

        >>> skirt = draft(Body(waist=74, hip=101, hip_depth=20.5, length=62), ease=Ease(waist=1.5, hip=5))
        >>> skirt.uncertainty(Errors({"body.hip": 0.8}))["front.width"]
        0.2
        >>> skirt.uncertainty(Errors({"body.knee": 0.8}))
        Traceback (most recent call last):
        kirtle.errors.MeasurementError: by: "body.knee" is not one of body.waist, body.hip, body.hip_depth, ...
        """

@final
class DraftStream:
    """
    The drafts of a stream: read once, by whatever takes an Arrow stream, such as
    `pyarrow.RecordBatchReader.from_stream(drafts)`.
    """
    def __arrow_c_schema__(self, /) -> Any: ...
    def __arrow_c_stream__(self, /, requested_schema: Any | None = None) -> Any:
        """
        The rows as they are drafted.

        Raises `ValueError` the second time.
        """
    def __repr__(self, /) -> str: ...
    @property
    def columns(self, /) -> list[str]:
        """
        The names of the columns.
        """

@final
class DraftTable(Rows):
    """
    The drafts of a table: an Arrow table for whatever takes one, such as `pyarrow.table(drafts)`, `polars.DataFrame(drafts)`,
    or `pandas.DataFrame.from_arrow(drafts)`.
    """
    def __repr__(self, /) -> str: ...
    @property
    def refused(self, /) -> int:
        """
        How many rows were refused.
        """

@final
class Ease:
    """
    The ease: what the garment is wider than the body, added to the whole girth, in centimetres.

    It is the drafter's to choose, so there is no default. Negative ease is for cloth that stretches.

    >>> Ease(waist=1.5, hip=5)
    Ease(waist=1.5, hip=5.0)
    >>> Ease(waist=1.5, hip=500)
    Traceback (most recent call last):
    kirtle.errors.MeasurementError: ease.hip: 500 cm is above the maximum of 60 cm
    """
    def __eq__(self, value: object, /) -> bool: ...
    def __getnewargs_ex__(self, /) -> tuple[tuple[()], dict[str, Any]]: ...
    def __hash__(self, /) -> int: ...
    def __ne__(self, value: object, /) -> bool: ...
    def __new__(cls, /, *, waist: float, hip: float, unit: str = "cm") -> Ease: ...
    def __repr__(self, /) -> str: ...
    @property
    def hip(self, /) -> float:
        """
        Added to the hip girth.
        """
    @property
    def waist(self, /) -> float:
        """
        Added to the waist girth.
        """

@final
class EaseByLevel(Rows):
    """
    What a garment is wider than the body from the waist down to the hem: an Arrow table with a row for each level (`level`,
    `garment`, `body`, `ease`).

    >>> skirt = draft(Body(waist=74, hip=101, hip_depth=20.5, length=62), ease=Ease(waist=1.5, hip=5))
    >>> ease = skirt.ease_by_level(step=10)
    >>> ease.levels
    [0.0, 10.0, 20.0, 20.5, 30.0, 40.0, 50.0, 60.0, 62.0]
    >>> [round(one, 1) for one in ease.ease]
    [1.5, 6.2, 5.0, 5.0, 5.0, 5.0, 5.0, 5.0, 5.0]
    """
    def __eq__(self, other: object, /) -> bool: ...
    def __hash__(self, /) -> int: ...
    def __reduce__(self, /) -> tuple[Any, tuple[Draft]]: ...
    def __repr__(self, /) -> str: ...
    @property
    def body(self, /) -> list[float]:
        """
        The girth of the body at each level; below the hip line that of the hip.
        """
    @property
    def ease(self, /) -> list[float]:
        """
        What the garment is wider than the body at each level.
        """
    @property
    def findings(self, /) -> list[Finding]:
        """
        Cautions about sitting, walking, and where the garment is narrower than the body; a trial garment decides.
        """
    @property
    def garment(self, /) -> list[float]:
        """
        The girth of the garment at each level.
        """
    @property
    def hip_line(self, /) -> float:
        """
        The level of the hip line.
        """
    @property
    def levels(self, /) -> list[float]:
        """
        How far each level is down from the waist at the side.
        """
    @property
    def loosest(self, /) -> tuple[float, float]:
        """
        Where it is loosest from the waist to the hip line: the level, and the ease there.
        """
    @property
    def tightest(self, /) -> tuple[float, float]:
        """
        Where it is tightest from the waist to the hip line: the level, and the ease there.
        """
    @property
    def unit(self, /) -> str:
        """
        The unit of all lengths.
        """

@final
class Edge:
    """
    One edge of an outline; it ends where the next one starts.
    """
    def __eq__(self, value: object, /) -> bool: ...
    def __getnewargs__(self, /) -> tuple[str]: ...
    def __hash__(self, /) -> int: ...
    def __ne__(self, value: object, /) -> bool: ...
    def __new__(cls, /, json: str) -> Edge: ...
    def __repr__(self, /) -> str: ...
    @property
    def length(self, /) -> float:
        """
        The length along the edge.
        """
    @property
    def points(self, /) -> list[list[float]]:
        """
        The points in the direction of the outline: two of a straight line, the four control points of a cubic.
        """
    @property
    def role(self, /) -> str:
        """
        What the edge is for: `waist`, `dart`, `side`, `hem` or `centre`.
        """
    def to_dict(self, /) -> dict[str, Any]:
        """
        The same as a dict.
        """

@final
class Ellipse:
    """
    Where a point may lie: the ellipse of one standard error, in the frame of its panel.
    """
    def __eq__(self, value: object, /) -> bool: ...
    def __hash__(self, /) -> int: ...
    def __ne__(self, value: object, /) -> bool: ...
    def __repr__(self, /) -> str: ...
    @property
    def angle_deg(self, /) -> float:
        """
        From the direction of `x` to that of the longer axis, turning towards `y`.
        """
    @property
    def centre(self, /) -> tuple[float, float]:
        """
        Where it is drafted.
        """
    @staticmethod
    def growth(probability: SupportsFloat | SupportsIndex) -> float:
        """
        By how much the half axes grow so that the ellipse holds the point with this probability, if errors are normal.

        Raises `MeasurementError` for a probability that is not from 0 to 0.999999.

        >>> round(Ellipse.growth(0.95), 4)
        2.4477
        >>> Ellipse.growth(1)
        Traceback (most recent call last):
        kirtle.errors.MeasurementError: probability: 1 is above the maximum of 0.999999
        """
    @property
    def panel(self, /) -> str:
        """
        `back` or `front`.
        """
    @property
    def point(self, /) -> str:
        """
        The point, such as `side_hip` or `dart_1_tip`.
        """
    @property
    def semi_axes(self, /) -> tuple[float, float]:
        """
        The longer half axis, and the shorter.
        """

@final
class Errors:
    """
    How exact the inputs of a draft are: the standard error of each by its name, such as `body.waist`, independent of each other.

    Raises `MeasurementError` for a standard error that is no number from zero on.

    >>> Errors({"body.waist": 0.5, "body.hip": 0.7})
    Errors({'body.waist': 0.5, 'body.hip': 0.7})
    >>> Errors({"body.waist": -0.5})
    Traceback (most recent call last):
    kirtle.errors.MeasurementError: errors.body.waist: -0.5 is below the minimum of 0
    """
    def __eq__(self, value: object, /) -> bool: ...
    def __hash__(self, /) -> int: ...
    def __ne__(self, value: object, /) -> bool: ...
    def __new__(cls, /, errors: Mapping[str, float]) -> Errors: ...
    def __reduce__(self, /) -> tuple[Any, Any]: ...
    def __repr__(self, /) -> str: ...
    @property
    def covariance(self, /) -> list[list[float]]:
        """
        The covariance: a row for each name.
        """
    @staticmethod
    def iso_20685(unit: str = "cm") -> Errors:
        """
        The largest errors that ISO 20685 allows between two ways of measuring, taken as standard errors: of waist and hip 0.9 cm,
        of the hip depth 0.5 cm; in `unit`.
        """
    @property
    def names(self, /) -> list[str]:
        """
        The inputs that have an error.
        """
    @staticmethod
    def with_covariance(names: SupportsGetItem[int, str], rows: SupportsGetItem[int, SupportsGetItem[int, SupportsFloat | SupportsIndex]]) -> Errors:
        """
        Errors with a covariance: a row and a column for each name.

        Raises `MeasurementError` for numbers that are no covariance.

        >>> names = ["body.waist", "body.hip"]
        >>> Errors.with_covariance(names, [[0.25, 0.2], [0.2, 0.49]]).names
        ['body.waist', 'body.hip']
        >>> Errors.with_covariance(names, [[0.25, 0.4], [0.4, 0.49]])
        Traceback (most recent call last):
        kirtle.errors.MeasurementError: covariance: is not a covariance: +0.80 body.waist -0.60 body.hip would have the variance -0.048
        """

@final
class Finding:
    """
    One caution about a valid draft.
    """
    def __eq__(self, value: object, /) -> bool: ...
    def __getnewargs__(self, /) -> tuple[str]: ...
    def __hash__(self, /) -> int: ...
    def __ne__(self, value: object, /) -> bool: ...
    def __new__(cls, /, json: str) -> Finding: ...
    def __repr__(self, /) -> str: ...
    @property
    def code(self, /) -> str:
        """
        The kind of the finding.
        """
    @property
    def limit(self, /) -> float:
        """
        The limit that it passes.
        """
    @property
    def measured(self, /) -> float:
        """
        What the draft has.
        """
    @property
    def message(self, /) -> str:
        """
        The whole in one sentence.
        """
    @property
    def panel(self, /) -> str:
        """
        The panel it is about: `back`, `front`, or `both` together.
        """
    def to_dict(self, /) -> dict[str, Any]:
        """
        The same as a dict.
        """
    @property
    def unit(self, /) -> str:
        """
        The unit of both: `cm`, `in`, `deg` or `count`.
        """

@final
class Fitting:
    """
    A draft, and what was corrected since the first, after a trial garment.
    """
    def __eq__(self, value: object, /) -> bool: ...
    def __hash__(self, /) -> int: ...
    def __ne__(self, value: object, /) -> bool: ...
    def __new__(cls, /, draft: Draft) -> Fitting:
        """
        The first draft, nothing corrected yet.
        """
    def __repr__(self, /) -> str: ...
    @property
    def changes(self, /) -> list[Change]:
        """
        What the last corrections changed.
        """
    def correct(self, /, corrections: SupportsGetItem[int, Any], *, unit: str = "cm") -> Fitting:
        """
        The corrections of one fitting, each a dict as in a request: `{"what": "waist", "by": -1, "at": "side"}`.

        Raises `MeasurementError` with all the problems at once.

        >>> skirt = draft(Body(waist=74, hip=101, hip_depth=20.5, length=62), ease=Ease(waist=1.5, hip=5))
        >>> fitted = Fitting(skirt).correct([{"what": "waist", "by": -1, "at": "side"}])
        >>> fitted.changes[0]
        Change(field="ease.waist", before=1.5, after=0.5)
        >>> fitted.undo().draft == skirt
        True
        >>> Fitting(skirt).correct([{"what": "knee", "by": 1}])
        Traceback (most recent call last):
        kirtle.errors.MeasurementError: corrections[0].what: "knee" is not "waist" or "hip" or "hip_line" or "centre_back" or "centre_front" or "length"
        """
    @property
    def draft(self, /) -> Draft:
        """
        The draft as corrected.
        """
    def undo(self, /) -> Fitting:
        """
        Without the last fitting's corrections; the draft is the one before them.
        """

@final
class FixedDart:
    """
    A dart as a handbook gives it; of `place` (a share of the panel's waist) and `centre` (a length) exactly one.

    >>> FixedDart(intake=3, length=13, place=0.5)
    FixedDart(intake=3.0, length=13.0, place=0.5)
    >>> FixedDart(intake=3, length=13)
    Traceback (most recent call last):
    kirtle.errors.MeasurementError: dart.place: missing; give a number from 0.05 to 0.95
    """
    def __eq__(self, value: object, /) -> bool: ...
    def __getnewargs_ex__(self, /) -> tuple[tuple[()], dict[str, Any]]: ...
    def __hash__(self, /) -> int: ...
    def __ne__(self, value: object, /) -> bool: ...
    def __new__(cls, /, *, intake: float, length: float, place: float | None = None, centre: float | None = None, unit: str = "cm") -> FixedDart: ...
    def __repr__(self, /) -> str: ...
    @property
    def centre(self, /) -> float | None:
        """
        Its centre, as a length from the centre line.
        """
    @property
    def intake(self, /) -> float:
        """
        Width of the mouth.
        """
    @property
    def length(self, /) -> float:
        """
        From the mouth to the tip, down the dart's centre.
        """
    @property
    def place(self, /) -> float | None:
        """
        Its centre, as a share of the panel's waist from the centre line.
        """

@final
class Girths:
    """
    The garment's girths.
    """
    def __eq__(self, value: object, /) -> bool: ...
    def __getnewargs__(self, /) -> tuple[str]: ...
    def __hash__(self, /) -> int: ...
    def __ne__(self, value: object, /) -> bool: ...
    def __new__(cls, /, json: str) -> Girths: ...
    def __repr__(self, /) -> str: ...
    @property
    def hem(self, /) -> float:
        """
        At the hem.
        """
    @property
    def hip(self, /) -> float:
        """
        At the hip line.
        """
    def to_dict(self, /) -> dict[str, Any]:
        """
        The same as a dict.
        """
    @property
    def waist(self, /) -> float:
        """
        Along the sewn waist.
        """

@final
class KeyLengths:
    """
    The key lengths of a drafted size.
    """
    def __eq__(self, value: object, /) -> bool: ...
    def __getnewargs__(self, /) -> tuple[str]: ...
    def __hash__(self, /) -> int: ...
    def __ne__(self, value: object, /) -> bool: ...
    def __new__(cls, /, json: str) -> KeyLengths: ...
    def __repr__(self, /) -> str: ...
    @property
    def back_darts(self, /) -> list[float]:
        """
        The intakes of the back's darts.
        """
    @property
    def back_width(self, /) -> float:
        """
        Width of the back at the hip line.
        """
    @property
    def centre_back(self, /) -> float:
        """
        The centre back, from waist to hem.
        """
    @property
    def centre_front(self, /) -> float:
        """
        The centre front, from waist to hem.
        """
    @property
    def front_darts(self, /) -> list[float]:
        """
        The intakes of the front's darts.
        """
    @property
    def front_width(self, /) -> float:
        """
        Width of the front at the hip line.
        """
    @property
    def side(self, /) -> float:
        """
        What each side edge loses of it.
        """
    @property
    def side_seam(self, /) -> float:
        """
        The side seam, along it.
        """
    @property
    def suppression(self, /) -> float:
        """
        What half the garment loses from hip to waist.
        """
    def to_dict(self, /) -> dict[str, Any]:
        """
        The same as a dict.
        """

@final
class Lay:
    """
    A pattern laid on cloth; lengths are in centimetres. A notebook shows it as a drawing.
    """
    def __eq__(self, other: object, /) -> bool: ...
    def __hash__(self, /) -> int: ...
    def __reduce__(self, /) -> tuple[Any, tuple[str]]: ...
    def __repr__(self, /) -> str: ...
    def _repr_svg_(self, /) -> str: ...
    @property
    def folded(self, /) -> bool:
        """
        Whether the cloth is folded lengthwise.
        """
    @staticmethod
    def from_json(request: str) -> Lay:
        """
        The lay of a request in JSON that gives the cloth.
        """
    @property
    def length(self, /) -> float:
        """
        How much of the cloth's length the pieces take.
        """
    @property
    def one_way(self, /) -> bool:
        """
        Whether all pieces lie the same way.
        """
    @property
    def placed(self, /) -> list[Placed]:
        """
        The pieces on the cloth.
        """
    def save(self, /, path: str | PathLike[str], *, unit: str | None = None) -> None:
        """
        Writes the lay, `.svg` a fifth of its true size or `.json`; whole, or not at all.
        """
    def svg(self, /, unit: str | None = None, *, fit: bool = False) -> str:
        """
        The lay as SVG a fifth of its true size; `fit` lets it fill its place on a screen instead.
        """
    @property
    def to_buy_cm(self, /) -> float:
        """
        Length to buy in centimetres, rounded up to ten.
        """
    @property
    def to_buy_yd(self, /) -> float:
        """
        Length to buy in yards, rounded up to an eighth.
        """
    def to_dict(self, /, unit: str | None = None) -> dict[str, Any]:
        """
        The same as a dict.
        """
    def to_json(self, /, unit: str | None = None) -> str:
        """
        The lay in JSON, as `schema("lay")` says.
        """
    @property
    def waste(self, /) -> float:
        """
        The share of the cloth that is left over.
        """
    @property
    def width(self, /) -> float:
        """
        The cloth's width between its selvedges, laid open.
        """

@final
class Lengths:
    """
    The garment's finished lengths, from waist to hem.
    """
    def __eq__(self, value: object, /) -> bool: ...
    def __getnewargs__(self, /) -> tuple[str]: ...
    def __hash__(self, /) -> int: ...
    def __ne__(self, value: object, /) -> bool: ...
    def __new__(cls, /, json: str) -> Lengths: ...
    def __repr__(self, /) -> str: ...
    @property
    def centre_back(self, /) -> float:
        """
        Down the centre of the back.
        """
    @property
    def centre_front(self, /) -> float:
        """
        Down the centre of the front.
        """
    @property
    def side(self, /) -> float:
        """
        Along the side seam.
        """
    def to_dict(self, /) -> dict[str, Any]:
        """
        The same as a dict.
        """

@final
class LogBand:
    """
    A band of the logarithm of the person's girth over the size's, and how fast loss grows beyond it: with the square of the
    excess, on each side with its own weight.

    The form is that of `McCulloch`, Paal and Ashdown (1998, J. Oper. Res. Soc. 49), from memory: their bands and weights are
    not known here, so that there is no default.
    """
    def __eq__(self, value: object, /) -> bool: ...
    def __getnewargs_ex__(self, /) -> tuple[tuple[()], dict[str, Any]]: ...
    def __hash__(self, /) -> int: ...
    def __ne__(self, value: object, /) -> bool: ...
    def __new__(cls, /, *, small: SupportsFloat | SupportsIndex, large: SupportsFloat | SupportsIndex, small_weight: SupportsFloat | SupportsIndex, large_weight: SupportsFloat | SupportsIndex) -> LogBand:
        """
        Raises `MeasurementError` with all the problems at once.

        >>> LogBand(small=0.02, large=0.04, small_weight=3, large_weight=1).small
        0.02
        >>> LogBand(small=-1, large=0.04, small_weight=3, large_weight=1)
        Traceback (most recent call last):
        kirtle.errors.MeasurementError: band.small: -1 is below the minimum of 0
        """
    def __repr__(self, /) -> str: ...
    @property
    def large(self, /) -> float:
        """
        The most that ln(size / person) may be, a garment too large, without loss: from 0 to 1.
        """
    @property
    def large_weight(self, /) -> float:
        """
        The weight of a garment too large: from 10⁻⁶ to 10⁶.
        """
    @property
    def small(self, /) -> float:
        """
        The most that ln(person / size) may be, a garment too small, without loss: from 0 to 1.
        """
    @property
    def small_weight(self, /) -> float:
        """
        The weight of a garment too small: from 10⁻⁶ to 10⁶.
        """

@final
class Move:
    """
    How far a point moves from one size to the next: x away from the centre line, y down from the hip line.
    """
    def __eq__(self, value: object, /) -> bool: ...
    def __getnewargs__(self, /) -> tuple[str]: ...
    def __hash__(self, /) -> int: ...
    def __ne__(self, value: object, /) -> bool: ...
    def __new__(cls, /, json: str) -> Move: ...
    def __repr__(self, /) -> str: ...
    @property
    def larger(self, /) -> str:
        """
        The larger size.
        """
    @property
    def panel(self, /) -> str:
        """
        The panel: `back` or `front`.
        """
    @property
    def point(self, /) -> str:
        """
        The point, such as `side_waist` or `dart_1_tip`.
        """
    @property
    def smaller(self, /) -> str:
        """
        The smaller size.
        """
    @property
    def step(self, /) -> list[float] | None:
        """
        How far it moves; none where only one of the sizes has it.
        """
    def to_dict(self, /) -> dict[str, Any]:
        """
        The same as a dict.
        """

@final
class Near:
    """
    A size, and by how much it misses the body.
    """
    def __eq__(self, value: object, /) -> bool: ...
    def __getnewargs__(self, /) -> tuple[str]: ...
    def __hash__(self, /) -> int: ...
    def __ne__(self, value: object, /) -> bool: ...
    def __new__(cls, /, json: str) -> Near: ...
    def __repr__(self, /) -> str: ...
    @property
    def hip(self, /) -> float:
        """
        Its hip less the body's.
        """
    @property
    def size(self, /) -> str:
        """
        The size.
        """
    def to_dict(self, /) -> dict[str, Any]:
        """
        The same as a dict.
        """
    @property
    def waist(self, /) -> float:
        """
        Its waist less the body's.
        """

@final
class Notch:
    """
    A notch: one cut, or two.
    """
    def __eq__(self, value: object, /) -> bool: ...
    def __getnewargs__(self, /) -> tuple[str]: ...
    def __hash__(self, /) -> int: ...
    def __ne__(self, value: object, /) -> bool: ...
    def __new__(cls, /, json: str) -> Notch: ...
    def __repr__(self, /) -> str: ...
    @property
    def along(self, /) -> float:
        """
        How far along its seam it lies, the same for the two of a pair.
        """
    @property
    def cuts(self, /) -> list[list[list[float]]]:
        """
        Each cut, from the cut line inwards.
        """
    @property
    def place(self, /) -> str:
        """
        What it marks: `hip_line`, `lower_side`, `opening_end` or `dart_leg`.
        """
    @property
    def seam(self, /) -> list[float]:
        """
        Where it meets the seam line.
        """
    def to_dict(self, /) -> dict[str, Any]:
        """
        The same as a dict.
        """

@final
class Panel:
    """
    Half of the back or the front: x from the centre line towards the side, y down from the waist at the side.
    """
    def __eq__(self, value: object, /) -> bool: ...
    def __getnewargs__(self, /) -> tuple[str]: ...
    def __hash__(self, /) -> int: ...
    def __ne__(self, value: object, /) -> bool: ...
    def __new__(cls, /, json: str) -> Panel: ...
    def __repr__(self, /) -> str: ...
    @property
    def area(self, /) -> float:
        """
        The cloth inside the outline, in the square of the unit.
        """
    @property
    def darts(self, /) -> list[Dart]:
        """
        The darts, from the centre to the side.
        """
    @property
    def edges(self, /) -> list[Edge]:
        """
        The outline, from the centre of the waist along waist and darts to the side, down, and back by the hem.
        """
    @property
    def seams(self, /) -> Seams:
        """
        The length of each seam.
        """
    def to_dict(self, /) -> dict[str, Any]:
        """
        The same as a dict.
        """
    @property
    def waist_lowering(self, /) -> float:
        """
        How far the centre of the waist lies below the waist at the side.
        """
    @property
    def waist_width(self, /) -> float:
        """
        Width at the waist, straight across, with the darts open.
        """
    @property
    def width(self, /) -> float:
        """
        Width at the hip line and below.
        """

@final
class Pattern:
    """
    The pieces of a draft, ready to cut; lengths are in centimetres. A notebook shows them as a drawing.

    >>> skirt = draft(Body(waist=74, hip=101, hip_depth=20.5, length=62), ease=Ease(waist=1.5, hip=5))
    >>> pattern = skirt.pattern(name="Evening class")
    >>> pattern.back.copies, pattern.front.on_fold, pattern.opening
    (2, True, 20.0)
    >>> [edge.role for edge in pattern.back.cut][:3]
    ['waist', 'waist', 'dart']
    """
    def __eq__(self, other: object, /) -> bool: ...
    def __hash__(self, /) -> int: ...
    def __reduce__(self, /) -> tuple[Any, tuple[str]]: ...
    def __repr__(self, /) -> str: ...
    def _repr_svg_(self, /) -> str: ...
    @property
    def allowances(self, /) -> dict[str, Any]:
        """
        The allowances as cut, by edge.
        """
    @property
    def back(self, /) -> Piece:
        """
        The back.
        """
    @property
    def draft(self, /) -> Draft:
        """
        The draft that it was made from.
        """
    def dxf(self, /, unit: str | None = None) -> str:
        """
        The pieces as DXF, in millimetres.
        """
    @property
    def findings(self, /) -> list[Finding]:
        """
        Cautions about cutting, beside those about the draft.
        """
    @staticmethod
    def from_json(request: str) -> Pattern:
        """
        The pattern of a request in JSON; its unit is that of every document where none is named.
        """
    @property
    def front(self, /) -> Piece:
        """
        The front.
        """
    def lay(self, /, width: float, *, folded: bool | None = None, one_way: bool | None = None, unit: str | None = None) -> Lay:
        """
        Lays the pieces on cloth of a width between its selvedges, folded lengthwise or open, as short as they fit.

        Raises `MeasurementError` for cloth narrower than a piece.

        >>> skirt = draft(Body(waist=74, hip=101, hip_depth=20.5, length=62), ease=Ease(waist=1.5, hip=5))
        >>> skirt.pattern().lay(140).to_buy_cm
        70.0
        >>> skirt.pattern().lay(50)
        Traceback (most recent call last):
        kirtle.errors.MeasurementError: cloth.width: 50 cm is narrower than the widest piece takes; the least is 60 cm
        """
    @property
    def name(self, /) -> str:
        """
        The size or body on the pieces; empty where they bear waist and hip.
        """
    @property
    def opening(self, /) -> float:
        """
        From the waist down the centre back to the end of the opening.
        """
    def pdf(self, /, *, paper: str = "A4", margin_mm: SupportsFloat | SupportsIndex = 10.0, overlap_mm: SupportsFloat | SupportsIndex = 10.0, unit: str | None = None) -> bytes:
        """
        The pattern as PDF, as `save` writes it.
        """
    @property
    def press(self, /) -> str:
        """
        The side to which the darts are pressed: `centre` or `side`.
        """
    def save(self, /, path: str | PathLike[str], *, paper: str = "A4", margin_mm: SupportsFloat | SupportsIndex = 10.0, overlap_mm: SupportsFloat | SupportsIndex = 10.0, unit: str | None = None) -> None:
        """
        Writes the pattern in the format that the end of the name tells: `.pdf`, `.svg`, `.dxf` or `.json`; whole, or not at
        all.

        `paper` is that of a PDF: `A4` to `A0`, `Letter`, `Tabloid`, a size such as `60 x 80 cm`, or a roll such as
        `roll 90 cm`. What does not fit one sheet is tiled. Raises `MeasurementError` for another name or paper too small,
        `OSError` where the file cannot be written.

        >>> skirt = draft(Body(waist=74, hip=101, hip_depth=20.5, length=62), ease=Ease(waist=1.5, hip=5))
        >>> skirt.pattern().save("skirt.pdf", paper="A4")
        >>> skirt.pattern().save("skirt.txt")
        Traceback (most recent call last):
        kirtle.errors.MeasurementError: path: "skirt.txt" is not a name that ends with .pdf, .svg, .dxf or .json
        """
    def svg(self, /, unit: str | None = None, *, fit: bool = False) -> str:
        """
        The pattern as SVG at true scale; `fit` lets it fill its place on a screen instead.
        """
    def to_dict(self, /, unit: str | None = None) -> dict[str, Any]:
        """
        The same as a dict.
        """
    def to_json(self, /, unit: str | None = None) -> str:
        """
        The pattern in JSON, as `schema("pattern")` says.
        """

@final
class Piece:
    """
    A piece, in its panel's frame: x from the centre line towards the side, y down from the waist at the side.
    """
    def __eq__(self, value: object, /) -> bool: ...
    def __getnewargs__(self, /) -> tuple[str]: ...
    def __hash__(self, /) -> int: ...
    def __ne__(self, value: object, /) -> bool: ...
    def __new__(cls, /, json: str) -> Piece: ...
    def __repr__(self, /) -> str: ...
    @property
    def area(self, /) -> float:
        """
        The cloth inside the cut line, in the square of the unit; of a piece on the fold, one half.
        """
    @property
    def copies(self, /) -> int:
        """
        How many are cut.
        """
    @property
    def cut(self, /) -> list[Edge]:
        """
        The cut line. The roof over a dart has the role of the dart.
        """
    @property
    def grain(self, /) -> list[list[float]]:
        """
        The grain line, from its upper to its lower end.
        """
    @property
    def notches(self, /) -> list[Notch]:
        """
        The notches.
        """
    @property
    def on_fold(self, /) -> bool:
        """
        Whether its centre lies on the fold.
        """
    @property
    def seam(self, /) -> list[Edge]:
        """
        The seam line, with the legs of the darts.
        """
    @property
    def straight_folds(self, /) -> int:
        """
        How many folded edges are cut straight, for want of an edge to mirror.
        """
    def to_dict(self, /) -> dict[str, Any]:
        """
        The same as a dict.
        """

@final
class Placed:
    """
    A piece on the cloth.
    """
    def __eq__(self, value: object, /) -> bool: ...
    def __getnewargs__(self, /) -> tuple[str]: ...
    def __hash__(self, /) -> int: ...
    def __ne__(self, value: object, /) -> bool: ...
    def __new__(cls, /, json: str) -> Placed: ...
    def __repr__(self, /) -> str: ...
    @property
    def grain(self, /) -> list[list[float]]:
        """
        Its grain line.
        """
    @property
    def mirrored(self, /) -> bool:
        """
        Whether it lies with its other side up.
        """
    @property
    def on_fold(self, /) -> bool:
        """
        Whether its centre lies on the fold of the cloth.
        """
    @property
    def outline(self, /) -> list[list[list[float]]]:
        """
        Its closed cut line: two points of a straight line, the four control points of a cubic.
        """
    @property
    def piece(self, /) -> str:
        """
        Which piece: `back` or `front`.
        """
    def to_dict(self, /) -> dict[str, Any]:
        """
        The same as a dict.
        """
    @property
    def turned(self, /) -> bool:
        """
        Whether its hem lies where the others' waist lies.
        """

@final
class Population:
    """
    A population from which bodies are drawn: waist and hip jointly normal, the hip depth normal and independent of them.

    Each measurement is its mean and its standard deviation; the length is one for all. Attributes are in centimetres.

    >>> Population(waist=(80, 9), hip=(102, 8), correlation=0.8, hip_depth=(20.5, 1), length=60).hip
    (102.0, 8.0)
    >>> Population(waist=(80, 9), hip=(102, 8), correlation=1.2, hip_depth=(20.5, 1), length=60)
    Traceback (most recent call last):
    kirtle.errors.MeasurementError: population.correlation: 1.2 is above the maximum of 0.999
    """
    def __eq__(self, value: object, /) -> bool: ...
    def __getnewargs_ex__(self, /) -> tuple[tuple[()], dict[str, Any]]: ...
    def __hash__(self, /) -> int: ...
    def __ne__(self, value: object, /) -> bool: ...
    def __new__(cls, /, *, waist: tuple[SupportsFloat | SupportsIndex, SupportsFloat | SupportsIndex], hip: tuple[SupportsFloat | SupportsIndex, SupportsFloat | SupportsIndex], correlation: SupportsFloat | SupportsIndex, hip_depth: tuple[SupportsFloat | SupportsIndex, SupportsFloat | SupportsIndex], length: SupportsFloat | SupportsIndex, unit: str = "cm") -> Population:
        """
        Raises `MeasurementError` with all the problems at once.
        """
    def __repr__(self, /) -> str: ...
    @staticmethod
    def ansur_women() -> Population:
        """
        Women of ANSUR II (2012, n = 1,986), by their published means, deviations and correlation; the waist is that at the
        navel. That hip depth and girths are independent is assumed, and the length of 60 cm is our own.
        """
    @property
    def correlation(self, /) -> float:
        """
        The correlation of waist and hip.
        """
    @property
    def hip(self, /) -> tuple[float, float]:
        """
        Mean and standard deviation of the hip.
        """
    @property
    def hip_depth(self, /) -> tuple[float, float]:
        """
        Mean and standard deviation of the hip depth.
        """
    @property
    def length(self, /) -> float:
        """
        The length of every skirt.
        """
    @property
    def waist(self, /) -> tuple[float, float]:
        """
        Mean and standard deviation of the waist.
        """

@final
class Problem:
    """
    One thing that is wrong with an input.
    """
    def __eq__(self, value: object, /) -> bool: ...
    def __getnewargs__(self, /) -> tuple[str]: ...
    def __hash__(self, /) -> int: ...
    def __ne__(self, value: object, /) -> bool: ...
    def __new__(cls, /, json: str) -> Problem: ...
    def __repr__(self, /) -> str: ...
    @property
    def code(self, /) -> str:
        """
        The kind of the problem.
        """
    @property
    def field(self, /) -> str:
        """
        The path of the field, such as `body.waist` or `rules.darts.back[0].length`.
        """
    @property
    def limit(self, /) -> float | str | None:
        """
        The limit that it breaks, if any.
        """
    @property
    def message(self, /) -> str:
        """
        The whole in one sentence.
        """
    def to_dict(self, /) -> dict[str, Any]:
        """
        The same as a dict.
        """
    @property
    def unit(self, /) -> str | None:
        """
        The unit of value and limit: `cm`, `in`, `mm`, `deg`, `bytes`, or none for a plain number.
        """
    @property
    def value(self, /) -> float | str | None:
        """
        The value that was given, if any.
        """

@final
class Proof:
    """
    All the checks of a draft.
    """
    def __eq__(self, value: object, /) -> bool: ...
    def __getnewargs__(self, /) -> tuple[str]: ...
    def __hash__(self, /) -> int: ...
    def __ne__(self, value: object, /) -> bool: ...
    def __new__(cls, /, json: str) -> Proof: ...
    def __repr__(self, /) -> str: ...
    @property
    def checks(self, /) -> list[Check]:
        """
        The checks.
        """
    @property
    def holds(self, /) -> bool:
        """
        Whether every check holds.
        """
    def to_dict(self, /) -> dict[str, Any]:
        """
        The same as a dict.
        """

@final
class Range:
    """
    A chart drafted with one ease and one set of rules. A notebook shows it as a nest.
    """
    def __eq__(self, value: object, /) -> bool: ...
    def __getitem__(self, name: str, /) -> Draft:
        """
        The draft of a size.

        Raises `KeyError` for a name that no size has.
        """
    def __hash__(self, /) -> int: ...
    def __len__(self, /) -> int: ...
    def __ne__(self, value: object, /) -> bool: ...
    def __repr__(self, /) -> str: ...
    def _repr_svg_(self, /) -> str: ...
    def alter(self, /, body: Body, *, tolerance_mm: SupportsFloat | SupportsIndex | None = None) -> Alteration:
        """
        Alters the printed nest for a body, on paper; `tolerance_mm` is 3 unless told.

        Raises `MeasurementError` for a body beyond the chart, or a tolerance out of range.

        >>> sizes = SizeChart.demo().draft(ease=Ease(waist=1.5, hip=5))
        >>> altered = sizes.alter(Body(waist=70, hip=100, hip_depth=20.5, length=58))
        >>> altered.holds, round(altered.cost.side_gap_mm, 1)
        (False, 7.5)
        >>> sizes.alter(Body(waist=140, hip=160, hip_depth=20.5, length=58))
        Traceback (most recent call last):
        kirtle.errors.MeasurementError: body.waist: 140 cm is beyond the chart, which ends at 112 cm
        body.hip: 160 cm is beyond the chart, which ends at 132 cm
        """
    @property
    def chart(self, /) -> SizeChart:
        """
        The chart.
        """
    @staticmethod
    def from_json(text: str) -> Range:
        """
        The sizes of a chart in JSON, drafted; it gives the ease, as `schema("chart")` says.

        Raises `MeasurementError` with all the problems at once.
        """
    def grade(self, /, unit: str = "cm") -> list[Move]:
        """
        How far each named point moves from size to size.
        """
    def pdf(self, /, *, paper: str = "A4", margin_mm: SupportsFloat | SupportsIndex = 10.0, overlap_mm: SupportsFloat | SupportsIndex = 10.0, unit: str = "cm") -> bytes:
        """
        The nest as PDF, each size on layers of its own.
        """
    def save(self, /, path: str | PathLike[str], *, paper: str = "A4", margin_mm: SupportsFloat | SupportsIndex = 10.0, overlap_mm: SupportsFloat | SupportsIndex = 10.0, unit: str = "cm") -> None:
        """
        Writes the nest, `.pdf` or `.svg`; whole, or not at all.
        """
    def svg(self, /, unit: str = "cm", *, fit: bool = False) -> str:
        """
        The nest as SVG at true scale; `fit` lets it fill its place on a screen instead.
        """
    def table(self, /, unit: str = "cm") -> list[tuple[str, KeyLengths]]:
        """
        The key lengths of each size, in the order of the chart.
        """

@disjoint_base
class Rows:
    """
    Rows that anything takes as an Arrow table: `pyarrow.table`, `polars.DataFrame`, `duckdb`, or `draft_table`.
    """
    def __arrow_c_schema__(self, /) -> Any: ...
    def __arrow_c_stream__(self, /, requested_schema: Any | None = None) -> Any:
        """
        The rows as an Arrow stream; they are not copied, and can be asked for again.
        """
    def __len__(self, /) -> int: ...
    @property
    def columns(self, /) -> list[str]:
        """
        The names of the columns.
        """

@final
class Rules:
    """
    The drafter's choices: how the panels stand, and how the suppression is shared out, by `shares` or by `darts`.

    >>> Rules(balance=0, shares=Shares(largest_dart=4)).balance
    0.0
    >>> Rules(balance=9)
    Traceback (most recent call last):
    kirtle.errors.MeasurementError: rules.balance: 9 cm is above the maximum of 5 cm
    """
    def __eq__(self, value: object, /) -> bool: ...
    def __getnewargs_ex__(self, /) -> tuple[tuple[()], dict[str, Any]]: ...
    def __hash__(self, /) -> int: ...
    def __ne__(self, value: object, /) -> bool: ...
    def __new__(cls, /, *, balance: float | None = None, centre_back_lower: float | None = None, centre_front_lower: float | None = None, side_fullness: float | None = None, shares: Shares | None = None, darts: Darts | None = None, unit: str = "cm") -> Rules: ...
    def __repr__(self, /) -> str: ...
    @property
    def balance(self, /) -> float:
        """
        Front is a quarter of the hip plus this, back a quarter less this.
        """
    @property
    def centre_back_lower(self, /) -> float:
        """
        Lowers the centre of the back waist further.
        """
    @property
    def centre_front_lower(self, /) -> float:
        """
        Lowers the centre of the front waist further.
        """
    @property
    def darts(self, /) -> Darts | None:
        """
        The given darts, where the suppression is shared out by darts.
        """
    @property
    def shares(self, /) -> Shares | None:
        """
        The shares, where the suppression is shared out by shares.
        """
    @property
    def side_fullness(self, /) -> float:
        """
        How full the side seam is between waist and hip line: its slope at the waist for that of the straight line.
        """

@final
class Seams:
    """
    The length of each seam of a panel.
    """
    def __eq__(self, value: object, /) -> bool: ...
    def __getnewargs__(self, /) -> tuple[str]: ...
    def __hash__(self, /) -> int: ...
    def __ne__(self, value: object, /) -> bool: ...
    def __new__(cls, /, json: str) -> Seams: ...
    def __repr__(self, /) -> str: ...
    @property
    def centre(self, /) -> float:
        """
        Along the centre, from waist to hem.
        """
    @property
    def hem(self, /) -> float:
        """
        Along the hem.
        """
    @property
    def side(self, /) -> float:
        """
        Along the side, from waist to hem.
        """
    def to_dict(self, /) -> dict[str, Any]:
        """
        The same as a dict.
        """
    @property
    def waist(self, /) -> float:
        """
        Along the waist, with the darts closed.
        """

@final
class Sensitivity(Rows):
    """
    The exact derivatives of every number of a draft by its inputs: an Arrow table with a row for each number (`quantity`,
    `unit`, `value`) and a column for each input by its name.

    `sensitivity["back.width", "ease.hip"]` is one of them.

    >>> skirt = draft(Body(waist=74, hip=101, hip_depth=20.5, length=62), ease=Ease(waist=1.5, hip=5))
    >>> sensitivity = skirt.sensitivity(["ease.waist", "ease.hip"])
    >>> sensitivity["back.width", "ease.hip"]
    0.25
    >>> sensitivity["back.width", "ease.knee"]
    Traceback (most recent call last):
    kirtle.errors.MeasurementError: by: "ease.knee" is not one of ease.waist, ease.hip
    """
    def __eq__(self, other: object, /) -> bool: ...
    def __getitem__(self, names: tuple[str, str], /) -> float:
        """
        The derivative of a number by an input; raises `MeasurementError` for a name that is not known.
        """
    def __hash__(self, /) -> int: ...
    def __reduce__(self, /) -> tuple[Any, tuple[Draft]]: ...
    def __repr__(self, /) -> str: ...
    @property
    def input_units(self, /) -> list[str]:
        """
        The units of the inputs: that of lengths, `deg`, or nothing for a ratio.
        """
    @property
    def inputs(self, /) -> list[str]:
        """
        The names of the inputs.
        """
    @property
    def matrix(self, /) -> list[list[float]]:
        """
        The derivatives: a row for each number, with one by each input.
        """
    @property
    def quantities(self, /) -> list[str]:
        """
        The names of the numbers.
        """
    @property
    def unit(self, /) -> str:
        """
        The unit of lengths.
        """
    @property
    def units(self, /) -> list[str]:
        """
        The units of the numbers: that of lengths, its square, or `deg`.
        """
    @property
    def values(self, /) -> list[float]:
        """
        The numbers.
        """

@final
class Shares:
    """
    Apportioning by shares. What back and front do not take, the side seam takes.

    >>> Shares(back_share=0.35, largest_dart=4).front_share
    0.2
    >>> Shares(back_share=0.6)
    Traceback (most recent call last):
    kirtle.errors.MeasurementError: rules.shares.back_share: 0.6 is above the maximum of 0.5
    """
    def __eq__(self, value: object, /) -> bool: ...
    def __getnewargs_ex__(self, /) -> tuple[tuple[()], dict[str, Any]]: ...
    def __hash__(self, /) -> int: ...
    def __ne__(self, value: object, /) -> bool: ...
    def __new__(cls, /, *, back_share: float | None = None, front_share: float | None = None, largest_dart: float | None = None, smallest_dart: float | None = None, steepest_side: float | None = None, back_inner_length: float | None = None, back_outer_length: float | None = None, front_inner_length: float | None = None, front_outer_length: float | None = None, single_place: float | None = None, inner_place: float | None = None, outer_place: float | None = None, unit: str = "cm") -> Shares: ...
    def __repr__(self, /) -> str: ...
    @property
    def back_inner_length(self, /) -> float:
        """
        Length of the back dart next to the centre, or of the only one, as a share of the hip depth. Published:
        back 11 to 14 cm, front 8 to 12 cm, for a hip depth of about 20 cm.
        """
    @property
    def back_outer_length(self, /) -> float:
        """
        Length of the back dart next to the side, as a share of the hip depth; shorter, as the seat's fullness is nearer the
        centre.
        """
    @property
    def back_share(self, /) -> float:
        """
        The back's share of the suppression. Two published worked drafts give side 0.5, back 0.3, front 0.2.
        """
    @property
    def front_inner_length(self, /) -> float:
        """
        Length of the front dart next to the centre, or of the only one, as a share of the hip depth; short, as the belly is
        high.
        """
    @property
    def front_outer_length(self, /) -> float:
        """
        Length of the front dart next to the side, as a share of the hip depth; a little shorter than its neighbour.
        """
    @property
    def front_share(self, /) -> float:
        """
        The front's share of the suppression; less than the back's, as the seat is fuller than the belly.
        """
    @property
    def inner_place(self, /) -> float:
        """
        Place of the first of two darts (published: at the thirds of the waist).
        """
    @property
    def largest_dart(self, /) -> float:
        """
        A panel's intake above this is split into two darts; two of these are the most that a panel takes (common
        practice: a larger dart pokes at its tip).
        """
    @property
    def outer_place(self, /) -> float:
        """
        Place of the second of two darts (published: at the thirds of the waist).
        """
    @property
    def single_place(self, /) -> float:
        """
        Place of a single dart, as a share of the panel's waist from the centre (published: half-way).
        """
    @property
    def smallest_dart(self, /) -> float:
        """
        A panel that would take less than this has no dart, as not worth sewing, and its share goes to the side seam.
        """
    @property
    def steepest_side(self, /) -> float:
        """
        The steepest lean of the side seam at the waist that is asked for; what is over goes to the darts.
        """

@final
class SizeChart:
    """
    Named sizes in the order of their girths; lengths are in centimetres.

    >>> SizeChart([("S", Body(waist=68, hip=92, hip_depth=20, length=60)), ("M", Body(waist=74, hip=98, hip_depth=20, length=60))]).names
    ['S', 'M']
    >>> SizeChart([("S", Body(waist=68, hip=92, hip_depth=20, length=60))])
    Traceback (most recent call last):
    kirtle.errors.MeasurementError: sizes: 1 size is given; the least is 2 sizes
    """
    def __eq__(self, value: object, /) -> bool: ...
    def __getitem__(self, name: str, /) -> Body:
        """
        The body of a size.

        Raises `KeyError` for a name that no size has.
        """
    def __hash__(self, /) -> int: ...
    def __len__(self, /) -> int: ...
    def __ne__(self, value: object, /) -> bool: ...
    def __new__(cls, /, sizes: SupportsGetItem[int, tuple[str, Body]]) -> SizeChart:
        """
        A chart from bodies by their names; the order does not matter.

        Raises `MeasurementError` with all the problems at once.
        """
    def __reduce__(self, /) -> tuple[Any, tuple[str]]: ...
    def __repr__(self, /) -> str: ...
    def between(self, /, *, waist: str | tuple[str, str, float], hip: str | tuple[str, str, float], hip_depth: float | None = None, length: float | None = None) -> Body:
        """
        The body between sizes: `waist` and `hip` are the name of a size, or `(from, to, fraction)`.

        Raises `MeasurementError` with all the problems at once.

        >>> SizeChart.demo().between(waist="38", hip=("40", "42", 0.5))
        Body(waist=72.0, hip=102.0, hip_depth=20.4, length=60.0)
        >>> SizeChart.demo().between(waist="39", hip="40")
        Traceback (most recent call last):
        kirtle.errors.MeasurementError: waist.from: "39" is none of the sizes 32, 34, 36, 38, 40, 42, 44, 46, 48, 50, 52, 54
        """
    def choose(self, /, body: Body, *, unit: str = "cm") -> Choice:
        """
        The nearest sizes of a body, and what to do between two, in `unit`.

        >>> choice = SizeChart.demo().choose(Body(waist=73, hip=101, hip_depth=20.5, length=62))
        >>> choice.overall.size, choice.advised.size
        ('40', '42')
        >>> print(choice.advice)
        Nearest is 40: its waist is 3.0 cm larger, its hip is 1.0 cm smaller. Between two take the larger, 42, as it is easier to take in than to let out: its waist is 7.0 cm larger, its hip is 3.0 cm larger. The waist is nearest to 38 and the hip to 40: blend the two, or draft this body itself.
        """
    @staticmethod
    def demo() -> SizeChart:
        """
        A chart for trying things out, on the steps of EN 13402-3.
        """
    def draft(self, /, *, ease: Ease, rules: Rules | None = None) -> Range:
        """
        Drafts every size with the same ease and rules.

        Raises `MeasurementError` with all the problems; those of a size name it.

        >>> sizes = SizeChart.demo().draft(ease=Ease(waist=1.5, hip=5))
        >>> sizes["40"].back.width
        25.25
        >>> long = Rules(darts=Darts(back=[FixedDart(intake=3, length=25, place=0.5)], front=[]))
        >>> SizeChart.demo().draft(ease=Ease(waist=1.5, hip=5), rules=long)
        Traceback (most recent call last):
        kirtle.errors.MeasurementError: size "32" rules.darts.back: a dart would end 26... cm below the waist at the side; the hip line is at 19.5 cm
        ...
        """
    @staticmethod
    def from_csv(text: str, *, unit: str = "cm") -> SizeChart:
        """
        A chart from comma-separated values with columns `name`, `waist`, `hip`, `hip_depth`, `length`.

        >>> text = SizeChart.demo().to_csv("in")
        >>> SizeChart.from_csv(text, unit="in").names[:3]
        ['32', '34', '36']
        >>> SizeChart.from_csv("name,waist,hip,hip_depth,length")
        Traceback (most recent call last):
        kirtle.errors.MeasurementError: sizes: 0 sizes are given; the least is 2 sizes
        """
    @staticmethod
    def from_json(text: str) -> SizeChart:
        """
        A chart from JSON, as `schema("chart")` says.
        """
    @property
    def names(self, /) -> list[str]:
        """
        The names of the sizes, from the smallest to the largest.
        """
    def to_csv(self, /, unit: str = "cm") -> str:
        """
        The chart as comma-separated values.
        """

@final
class Suppression:
    """
    What half the garment loses from hip to waist, and where.
    """
    def __eq__(self, value: object, /) -> bool: ...
    def __getnewargs__(self, /) -> tuple[str]: ...
    def __hash__(self, /) -> int: ...
    def __ne__(self, value: object, /) -> bool: ...
    def __new__(cls, /, json: str) -> Suppression: ...
    def __repr__(self, /) -> str: ...
    @property
    def back(self, /) -> float:
        """
        By the darts of the back.
        """
    @property
    def front(self, /) -> float:
        """
        By the darts of the front.
        """
    @property
    def side(self, /) -> float:
        """
        By the side seams of back and front together; each loses half.
        """
    def to_dict(self, /) -> dict[str, Any]:
        """
        The same as a dict.
        """
    @property
    def total(self, /) -> float:
        """
        All of it.
        """

@final
class Uncertainty(Rows):
    """
    The standard errors of every number of a draft, and an ellipse for each of its points: an Arrow table with a row for each
    number (`quantity`, `unit`, `value`, `standard_error`).

    `uncertainty["back.width"]` is the standard error of one. They are right for errors that are small beside what bends the
    draft; where darts appear within the errors, draft many bodies by `draft_table` instead.
    """
    def __eq__(self, other: object, /) -> bool: ...
    def __getitem__(self, quantity: str, /) -> float:
        """
        The standard error of a number; raises `MeasurementError` for a name that is not known.
        """
    def __hash__(self, /) -> int: ...
    def __reduce__(self, /) -> tuple[Any, tuple[Draft]]: ...
    def __repr__(self, /) -> str: ...
    @property
    def ellipses(self, /) -> list[Ellipse]:
        """
        One for each named point of back and front.
        """
    @property
    def quantities(self, /) -> list[str]:
        """
        The names of the numbers.
        """
    @property
    def standard_errors(self, /) -> list[float]:
        """
        Their standard errors.
        """
    @property
    def unit(self, /) -> str:
        """
        The unit of lengths.
        """
    @property
    def values(self, /) -> list[float]:
        """
        The numbers.
        """

def best_chart(source: Any, sizes: SupportsIndex, *, loss: str = "squared", tolerance: SupportsFloat | SupportsIndex | None = None, band: LogBand | None = None, restarts: SupportsIndex = 20, seed: SupportsIndex = 0, drop: SupportsFloat | SupportsIndex | None = None, steps: tuple[SupportsFloat | SupportsIndex, SupportsFloat | SupportsIndex] | None = None, columns: dict[str, Any] | None = None, unit: str = "cm") -> BestChart:
    """
    Seeks the sizes by waist and hip with the least mean loss for the people of a table, and a bound on what any could have.

    `loss` is `"squared"` or `"absolute"`, the miss of both girths added, or `"within"`, the share of people who are farther
    than `tolerance` from their size in waist or hip, or `"log_band"`, with a `band` that says what a garment too small or too
    large costs, for both girths added. `drop` asks for sizes with that much between hip and waist, found exactly, and only for
    `"squared"` and `"within"`; `steps` for sizes that go up by so much at waist and hip. Otherwise the best of `restarts`
    seeded starts is taken: the same `seed` gives the same chart. `source`, `columns` and `unit` are as in `fit_chart`; the
    unmeasured are left out, and counted.

    Raises `MeasurementError` with all the problems at once, and `TypeError` for what offers no stream.

    >>> best = best_chart(simulate(500, seed=1), 4, loss="within", tolerance=3)
    >>> best.bound <= best.loss, len(best.sizes)
    (True, 4)
    >>> best_chart(simulate(500, seed=1), 4, loss="within")
    Traceback (most recent call last):
    kirtle.errors.MeasurementError: tolerance: missing; give the most that a girth may miss its size
    """

def best_line(source: Any, sizes: SupportsIndex, *, girth: str, loss: str = "squared", tolerance: SupportsFloat | SupportsIndex | None = None, band: LogBand | None = None, columns: dict[str, Any] | None = None, unit: str = "cm") -> BestLine:
    """
    Finds the sizes by one girth, `"waist"` or `"hip"`, with the least mean loss for the people of a table: none are better.

    `loss` is `"squared"` or `"absolute"`, the miss of the girth, `"within"`, the share of people who are farther than
    `tolerance` from their size, or `"log_band"`, with a `band` that says what a garment too small or too large costs. `source`,
    `columns` and `unit` are as in `fit_chart`, but only this girth is read; the unmeasured are left out, and counted.

    There are fewer sizes than were asked for where more would be no better.

    Raises `MeasurementError` with all the problems at once, and `TypeError` for what offers no stream.

    >>> best_line(simulate(1000, seed=1), 3, girth="hip").sizes[0][0] < 95
    True
    >>> best_line(simulate(1000, seed=1), 0, girth="hip")
    Traceback (most recent call last):
    kirtle.errors.MeasurementError: sizes: 0 is below the minimum of 1
    """

def chart_json(chart: str) -> str:
    """
    Answers a chart in JSON with a report in JSON; see `schema("chart")` and `schema("sizes")`.

    Raises `MeasurementError` with all the problems at once.

    >>> sizes = [{"name": name, "waist": waist, "hip": waist + 24, "hip_depth": 20, "length": 60} for name, waist in [("S", 68), ("M", 74)]]
    >>> report = json.loads(chart_json(json.dumps({"unit": "cm", "sizes": sizes, "ease": {"waist": 1.5, "hip": 5}})))
    >>> [size["name"] for size in report["sizes"]]
    ['S', 'M']
    >>> chart_json('{"unit": "cm", "sizes": []}')
    Traceback (most recent call last):
    kirtle.errors.MeasurementError: sizes: 0 sizes are given; the least is 2 sizes
    """

def compare_charts(chart: SizeChart, source: Any, *, loss: str = "squared", tolerance: SupportsFloat | SupportsIndex | None = None, band: LogBand | None = None, restarts: SupportsIndex = 20, seed: SupportsIndex = 0, columns: dict[str, Any] | None = None, unit: str = "cm") -> Comparison:
    """
    Sets a chart beside the best one of as many sizes, on people by whom neither was made.

    The people of a table are parted in two by draws from `seed`: for the one part the best chart is sought as `best_chart`
    does, without a drop or steps, and on the other, held out, the two are compared. A loss on the people by whom a chart was
    made flatters it. `loss`, `tolerance`, `band` and `restarts` are as in `best_chart`; `source`, `columns` and `unit` as in
    `fit_chart`; the unmeasured are left out, and counted.

    Raises `MeasurementError` with all the problems at once, also where a part has no people, and `TypeError` for what offers no
    stream.

    >>> compared = compare_charts(SizeChart.demo(), simulate(400, seed=1), restarts=3)
    >>> compared.learnt + compared.held_out, len(compared.sizes)
    (400, 12)
    >>> compare_charts(SizeChart.demo(), simulate(0))
    Traceback (most recent call last):
    kirtle.errors.MeasurementError: waist: 0 numbers are given; the least is 1 number
    hip: 0 numbers are given; the least is 1 number
    """

def draft(body: Body, *, ease: Ease, rules: Rules | None = None) -> Draft:
    """
    Drafts the front and back of a straight skirt.

    Raises `MeasurementError` with all the problems at once: rules under which this body leaves no cloth between two
    darts, sends a dart below the hip line, or lays the side seam flat; a hem above the hip line.

    >>> draft(Body(waist=70, hip=96, hip_depth=18, length=60), ease=Ease(waist=1.5, hip=5)).back.width
    24.25
    >>> draft(Body(waist=70, hip=96, hip_depth=18, length=15), ease=Ease(waist=1.5, hip=5))
    Traceback (most recent call last):
    kirtle.errors.MeasurementError: body.length: 15 cm does not clear the hip line; the least is 19 cm
    """

def draft_json(request: str) -> str:
    """
    Drafts a request in JSON and returns the result in JSON; see `schema("request")` and `schema("result")`.

    Raises `MeasurementError` with all the problems at once; its `to_json` is as `schema("error")` says.

    >>> request = '{"unit": "cm", "body": {"waist": 70, "hip": 96, "hip_depth": 18, "length": 60}, "ease": {"waist": 0, "hip": 0}}'
    >>> json.loads(draft_json(request))["nominal"]["total"]
    13.0
    >>> draft_json("{}")
    Traceback (most recent call last):
    kirtle.errors.MeasurementError: unit: missing; give "cm" or "in"
    body: missing; give an object
    ease: missing; give an object
    """

def draft_stream(source: Any, *, columns: dict[str, Any] | None = None, ease: Ease | None = None, rules: Rules | None = None, unit: str = "cm", outlines: bool = False, threads: int | None = None, progress: Any | None = None) -> DraftStream:
    """
    Drafts every body of a table of any length as its rows are asked for, in constant memory; see `draft_table`.

    The result is read once, by whatever takes an Arrow stream.

    >>> bodies = simulate(1000, seed=1)
    >>> rows = pyarrow.RecordBatchReader.from_stream(draft_stream(bodies, ease=Ease(waist=1.5, hip=5)))
    >>> sum(batch.num_rows for batch in rows)
    1000
    """

def draft_table(source: Any, *, columns: dict[str, Any] | None = None, ease: Ease | None = None, rules: Rules | None = None, unit: str = "cm", outlines: bool = False, threads: int | None = None, progress: Any | None = None) -> DraftTable:
    """
    Drafts every body of a table: one row out for each row in, in order; refused rows carry their problems.

    `source` is anything that offers an Arrow stream: a table of pandas, polars, pyarrow or duckdb, a reader of record
    batches. `columns` says where each number comes from: the name of a column, or a number for all rows, by the path of the
    number (`"waist"`, `"ease.hip"`, `"rules.shares.back_share"`); measurements that are not named come from the columns of
    their own name. Lengths of the table, in and out, and numbers in `columns`, are in `unit`; `ease` and `rules` have their
    own.

    `outlines` adds the outlines of back and front. `threads` is the number of threads, by default as many as there are
    processors. `progress` is called now and then with the number of rows that were drafted since.

    Raises `MeasurementError` with all the problems of the columns at once, and `TypeError` for what offers no stream.

    >>> people = pyarrow.table({"WAIST": [74.0, 7.4], "hip": [101.0, 101.0]})
    >>> where = {"waist": "WAIST", "hip_depth": 20.5, "length": 62.0}
    >>> table = draft_table(people, columns=where, ease=Ease(waist=1.5, hip=5))
    >>> table
    DraftTable(rows=2, refused=1, columns=34)
    >>> pyarrow.table(table)["error_text"].to_pylist()
    [None, 'body.waist: 7.4 cm is below the minimum of 40 cm']
    >>> draft_table(people, columns={"waist": "GIRTH"}, ease=Ease(waist=1.5, hip=5))
    Traceback (most recent call last):
    kirtle.errors.MeasurementError: body.waist: "GIRTH" is not exactly one of the columns WAIST, hip
    body.hip_depth: missing; give a column, or a number from 10 to 40 cm for all rows
    body.length: missing; give a column, or a number from 15 to 150 cm for all rows
    """

def fit_chart(chart: SizeChart, source: Any, *, ease: Ease, rules: Rules | None = None, tolerance: SupportsFloat | SupportsIndex | None = None, bounds: Mapping[str, tuple[float, float]] | None = None, columns: dict[str, Any] | None = None, unit: str = "cm") -> ChartFit:
    """
    Gives each person of a table a size of the chart, and counts whom it serves: on whom the ease left, the garment's girth
    less the body's, is within bounds.

    `source` is anything that offers an Arrow stream, with columns `waist` and `hip`. `columns` says by these names where else
    numbers come from: the name of a column, or a number for all people; where it names `high_hip` and `high_hip_depth`, how
    far below the waist at the side that girth was taken, the high hip must fit, too. `bounds` are the least and the most ease
    left by girth, as in `{"waist": (0, 3), "hip": (2, 8)}`; waist and hip that it does not name are to have the ease give or
    take `tolerance`. Lengths of the table, `tolerance`, `bounds` and all results are in `unit`.

    Of the sizes that serve a person gets the nearest; where none does, the one that misses its bounds least. Whoever has a
    null or a number that is not finite counts as unmeasured and is given no size.

    Raises `MeasurementError` with all the problems at once, and `TypeError` for what offers no stream.

    >>> people = pyarrow.table({"waist": [73.0, 90.0, None], "hip": [97.0, 104.0, 99.0]})
    >>> fit = fit_chart(SizeChart.demo(), people, ease=Ease(waist=1.5, hip=5), tolerance=2)
    >>> fit.served, fit.count, fit.unmeasured
    (1, 3, 1)
    >>> pyarrow.table(fit)["size"].to_pylist()
    ['38', '44', None]
    >>> fit_chart(SizeChart.demo(), people, ease=Ease(waist=1.5, hip=5))
    Traceback (most recent call last):
    kirtle.errors.MeasurementError: bounds.waist: missing; give the least and the most ease left, or a tolerance
    bounds.hip: missing; give the least and the most ease left, or a tolerance
    """

def schema(name: str) -> dict[str, Any]:
    """
    The JSON Schema of the `request`, the `result`, the `pattern`, the `lay`, the `chart`, the `sizes` or the `error`, as a dict.

    Raises `KeyError` for any other name.

    >>> schema("result")["$id"]
    'urn:kirtle:result:1'
    >>> schema("trousers")
    Traceback (most recent call last):
    KeyError: '"trousers" is none of request, result, pattern, lay, chart, sizes, fit, best, best_line, comparison, error'
    """

def simulate(rows: SupportsIndex, *, seed: SupportsIndex = 0, start: SupportsIndex = 0, population: Population | None = None, unit: str = "cm") -> BodyTable:
    """
    Simulates bodies of a population, by default `Population.ansur_women()`: columns `waist`, `hip`, `hip_depth` and
    `length` in `unit`.

    A row depends on the seed and its number alone, so that rows from `start` on are the same in any parts. A few lie outside
    what a draft takes, and are refused there.

    Raises `MeasurementError` for more than 100,000,000 rows at once.

    >>> pyarrow.table(simulate(3, seed=7)).column_names
    ['waist', 'hip', 'hip_depth', 'length']
    >>> simulate(3, seed=7)
    BodyTable(rows=3, columns=["waist", "hip", "hip_depth", "length"])
    >>> simulate(200_000_000)
    Traceback (most recent call last):
    kirtle.errors.MeasurementError: rows: 200000000 bodies are given; the most is 100000000 bodies
    """
