"""
Compiled part of the package `kirtle`.
"""

from _typeshed import SupportsGetItem
from collections.abc import Iterator, Mapping, Sequence
from os import PathLike
from pathlib import Path
from typing import Any, Final, SupportsFloat, SupportsIndex, final
from typing_extensions import disjoint_base

__all__ = ["__version__", "Alteration", "BestChart", "BestSizes", "Body", "BodyTable", "Change", "ChartComparison", "ChartFit", "Check", "Choice", "Cost", "Dart", "Darts", "Draft", "DraftStream", "DraftTable", "Ease", "EaseByLevel", "Edge", "Ellipse", "Figure", "Finding", "FitComparison", "Fitting", "Girths", "GivenDart", "GradeIncrement", "GroupComparison", "GroupFit", "KeyLengths", "Lay", "Lengths", "Lesson", "LogBand", "Nest", "Notch", "Panel", "Pattern", "Piece", "Placed", "Population", "Problem", "Proof", "RefusedPeople", "Rows", "Rules", "Seams", "Sensitivity", "Shares", "SizeChart", "SizeDifference", "SizeRange", "Solutions", "StandardErrors", "Suppression", "Uncertainty", "Vent", "WaistPiece", "_panic", "best_chart", "best_chart_by_draft", "best_sizes", "chart_json", "compare_charts", "compare_fits", "draft", "draft_json", "draft_stream", "draft_table", "drawing_texts", "fit_chart", "format_length", "new_partial", "parse_length", "replace_by_partial", "request_changes", "schema", "simulate"]

__version__: Final[str]
"""
Version of the package, such as `1.2.0`.
"""

@final
class Alteration:
    """
    Alteration of a printed nest for one body, compared with the exact draft of the body.

    A notebook displays the alteration as a drawing.
    """
    def __eq__(self, other: object, /) -> bool: ...
    def __hash__(self, /) -> int: ...
    def __reduce__(self, /) -> tuple[Any, tuple[SizeRange]]: ...
    def __repr__(self, /) -> str: ...
    def _repr_svg_(self, /) -> str: ...
    @property
    def cost(self, /) -> Cost:
        """
        Differences of the altered pattern from the exact draft of the body, in millimetres, one for each place (waist
        line, side seam, hem and so on).
        """
    @property
    def difference_verdict(self, /) -> str:
        """
        How far the altered pattern is from the exact draft, in words, by place and by step of the alteration.
        """
    @property
    def exact(self, /) -> Draft:
        """
        Exact draft of the body.
        """
    @property
    def holds(self, /) -> bool:
        """
        Whether the largest difference of the altered pattern from the exact draft is at most the tolerance.
        """
    def instructions(self, /, unit: str | None = None, *, texts: Mapping[str, str] | None = None) -> list[str]:
        """
        Return the instructions of the alteration, one for each step, with lengths in `unit`. `texts`
        is as in `Draft.svg`.
        """
    @property
    def largest_mm(self, /) -> float:
        """
        Largest difference of the altered pattern from the exact draft, in millimetres; infinite if the numbers of darts
        differ.
        """
    def left_out(self, /, unit: str | None = None, *, texts: Mapping[str, str] | None = None) -> list[str]:
        """
        Return, in words, the changes from 0.5 mm to `min_step_mm`, which are left out, with lengths in `unit`.
        `texts` is as in `Draft.svg`.
        """
    def pdf(self, /, *, paper: str = "A4", unit: str | None = None, texts: Mapping[str, str] | None = None) -> bytes:
        """
        Return the bytes of the PDF that `save` writes with the same options.
        """
    def save(self, /, path: str | PathLike[str], *, paper: str = "A4", unit: str | None = None, texts: Mapping[str, str] | None = None) -> None:
        """
        Write the drawing of the alteration to a `.pdf`, `.svg` or `.dxf` file. A failed call leaves no partial
        file. `texts` is as in `Draft.svg`.

        Raises `InputError` for another file name or unsuitable paper, and `OSError` if writing fails.
        """
    @property
    def sewing_verdict(self, /) -> str:
        """
        Whether the altered pattern sews together, and by how much its seams differ, in words.
        """
    @property
    def sews(self, /) -> bool:
        """
        Whether the altered pattern sews together within the tolerance: the sewn waist is as long as wanted, and both
        side seams are equally long.
        """
    def svg(self, /, unit: str | None = None, *, fit: bool = False, texts: Mapping[str, str] | None = None) -> str:
        """
        Draw the printed sizes, the altered outline and the exact draft as SVG, with written lengths in `unit`, by
        default that of the chart.

        The drawing has true size. With `fit=True` it fills the width of its container instead. `texts` is as in
        `Draft.svg`.
        """
    def to_dict(self, /, unit: str | None = None) -> dict[str, Any]:
        """
        Convert the alteration to a dict: instructions, steps, differences (`cost`), verdicts and altered outlines,
        with lengths in `unit`.
        """

@final
class BestChart:
    """
    Best chart found: sizes by waist and hip with a small mean loss, and a lower bound of the mean loss. An absolute
    loss is in `unit`, a squared loss in the square of `unit`.
    """
    def __eq__(self, value: object, /) -> bool: ...
    def __getnewargs__(self, /) -> tuple[str]: ...
    def __hash__(self, /) -> int: ...
    def __ne__(self, value: object, /) -> bool: ...
    def __new__(cls, /, json: str) -> BestChart:
        """
        Restore a pickled result from its JSON.
        """
    def __repr__(self, /) -> str: ...
    @property
    def band(self, /) -> LogBand | None:
        """
        Band of the loss `log_band`.
        """
    @property
    def bound(self, /) -> float:
        """
        Proven lower bound of the mean loss, over all charts of the chosen kind and number of sizes.
        """
    @property
    def certificate(self, /) -> list[tuple[list[tuple[int, bool]], list[float]]]:
        """
        Certificate of the bound: a list of cases, to one of which every chart belongs; empty if the chart is
        exactly optimal or no certificate was computed. A case has two lists. The first has the people by whom the
        cases are split: a person's index among the measured people, from 0, and whether the charts of the case
        serve this person and all people of equal girths. The second has a Lagrange multiplier for each measured
        person. Only a loss by a tolerance has more than one case. Multipliers of an absolute loss are in `unit`, of
        a squared loss in the square of `unit`.
        """
    def chart(self, /, *, length: SupportsFloat | SupportsIndex, hip_depth: SupportsFloat | SupportsIndex | None = None) -> SizeChart:
        """
        Convert the sizes to a chart with the names 1, 2, 3, …; `length`, in `unit`, holds for all sizes, and so does
        `hip_depth`, unless the sizes have hip depths of their own.

        Raises `InputError` for a hip depth or a length out of range, and for fewer than two sizes.
        """
    @property
    def differences(self, /) -> list[tuple[float, float]] | None:
        """
        Smallest and largest difference, person minus size, at which a size serves the person: of the waist, then of
        the hip; if the loss is `within` bounds of ease.
        """
    @property
    def effective(self, /) -> float:
        """
        Effective number of measured people by Kish, (Σ weight)² / Σ weight²; without weights, their number.
        """
    @property
    def gap(self, /) -> float:
        """
        Difference between mean loss and lower bound: the most by which a better chart could lower the mean loss.
        """
    @property
    def hip_depths(self, /) -> list[float]:
        """
        Hip depth of each size, if the loss is `draft`.
        """
    @property
    def loss(self, /) -> float:
        """
        Mean loss of the measured people, each in the size with the least loss.
        """
    @property
    def loss_name(self, /) -> str:
        """
        Name of the loss: `squared`, `absolute`, `within` (share of people not served), `log_band`, or `draft`: the
        distance of the size's draft from the person's own, in `unit`.
        """
    @property
    def measured(self, /) -> int:
        """
        Number of measured people, for whom the sizes are optimised.
        """
    @property
    def refused(self, /) -> list[RefusedPeople]:
        """
        For each reason why people are left out, a field and an error code: number and mean girths of these people.
        """
    @property
    def served(self, /) -> list[float]:
        """
        For each size, if the loss is `within`: share of the measured people whom the size serves, from 0 to 1. The
        other people assigned to the size are served by none, and the size is their nearest.
        """
    @property
    def settings(self, /) -> dict[str, Any]:
        """
        Settings of the call that made the chart: version of the package, function, unit, and the given arguments.
        """
    @property
    def sizes(self, /) -> list[tuple[float, float, float]]:
        """
        For each size: waist, hip, and the share of the measured people assigned to the size, from 0 to 1.
        """
    def to_dict(self, /) -> dict[str, Any]:
        """
        Convert the result to a dict with the field names of its JSON document.
        """
    @property
    def tolerance(self, /) -> float | None:
        """
        Largest difference of a person from a size, in waist and in hip, at which the size serves the person; if the
        loss is `within` one tolerance.
        """
    @property
    def unit(self, /) -> str:
        """
        Unit of lengths in the report.
        """
    @property
    def unmeasured(self, /) -> int:
        """
        Number of people left out because a measurement or the weight is missing or out of range.
        """

@final
class BestSizes:
    """
    Best sizes by one girth: the sizes with the least mean loss. An absolute loss is in `unit`, a squared loss in
    the square of `unit`.
    """
    def __eq__(self, value: object, /) -> bool: ...
    def __getnewargs__(self, /) -> tuple[str]: ...
    def __hash__(self, /) -> int: ...
    def __ne__(self, value: object, /) -> bool: ...
    def __new__(cls, /, json: str) -> BestSizes:
        """
        Restore a pickled result from its JSON.
        """
    def __repr__(self, /) -> str: ...
    @property
    def girth(self, /) -> str:
        """
        Girth that the sizes are made by: `waist` or `hip`.
        """
    @property
    def loss(self, /) -> float:
        """
        Mean loss of the measured people: the minimum for this number of sizes.
        """
    @property
    def measured(self, /) -> int:
        """
        Number of measured people, for whom the sizes are optimised.
        """
    @property
    def refused(self, /) -> list[RefusedPeople]:
        """
        For each reason why people are left out, a field and an error code: number and mean girths of these people.
        """
    @property
    def settings(self, /) -> dict[str, Any]:
        """
        Settings of the call that made the sizes: version of the package, function, unit, and the given arguments.
        """
    @property
    def sizes(self, /) -> list[tuple[float, float, float, float]]:
        """
        For each size: girth, minimum and maximum girth of its people, and their share of all measured, from 0 to 1.
        """
    def to_dict(self, /) -> dict[str, Any]:
        """
        Convert the result to a dict with the field names of its JSON document.
        """
    @property
    def unit(self, /) -> str:
        """
        Unit of lengths in the report.
        """
    @property
    def unmeasured(self, /) -> int:
        """
        Number of people left out because the girth or the weight is missing or out of range.
        """

@final
class Body:
    """
    Measurements of the body, in centimetres.

    Drafting checks the ranges and reports every measurement out of range together.

    >>> Body(waist=28, hip=38, hip_depth=8, length=24, unit="in")
    Body(waist=28.0, hip=38.0, hip_depth=8.0, length=24.0, unit="in")
    >>> Body(waist=28, hip=38, hip_depth=8, length=24, unit="in").waist
    71.12
    >>> Body(waist=74, hip=101, hip_depth=20.5, length=62, figure=Figure(front_length=101, side_length=102)).figure
    Figure(front_length=101.0, side_length=102.0)
    >>> Body(waist=7.4, hip="101", hip_depth=20.5, length=62)
    Traceback (most recent call last):
    kirtle.InputError: body.waist: 7.4 cm is below the minimum of 40 cm
    body.hip: "101" is not a number from 50 to 220 cm
    """
    def __eq__(self, value: object, /) -> bool: ...
    def __getnewargs_ex__(self, /) -> tuple[tuple[()], dict[str, Any]]: ...
    def __hash__(self, /) -> int: ...
    def __ne__(self, value: object, /) -> bool: ...
    def __new__(cls, /, *, waist: float, hip: float, hip_depth: float, length: float, figure: Figure | None = None, unit: str = "cm") -> Body: ...
    def __repr__(self, /) -> str: ...
    @property
    def figure(self, /) -> Figure | None:
        """
        Figure of the body; `None` if no measurement of the figure is given.
        """
    @property
    def hip(self, /) -> float:
        """
        Girth at the fullest hip (ISO 8559-1, 5.3.13).
        """
    @property
    def hip_depth(self, /) -> float:
        """
        Vertical distance from the waist at the side to the line of the fullest hip. A tape laid over the
        curve of the body measures slightly more.
        """
    @property
    def length(self, /) -> float:
        """
        Vertical distance from the waist at the side to the hem; at least 1 cm more than the hip depth.
        """
    @property
    def unit(self, /) -> str:
        """
        `in` if the lengths were given in inches, otherwise `cm`; `repr` and notebooks show lengths in this unit.
        """
    @property
    def waist(self, /) -> float:
        """
        Girth at the natural waist (ISO 8559-1, 5.3.10).
        """

@final
class BodyTable(Rows):
    """
    Simulated bodies as an Arrow table, one row for each body.

    `draft_table`, `fit_chart`, `pyarrow.table` and `polars.DataFrame` accept the table.
    """
    def __repr__(self, /) -> str: ...

@final
class Change:
    """
    Number in a request that the corrections changed.
    """
    def __eq__(self, value: object, /) -> bool: ...
    def __getnewargs__(self, /) -> tuple[str]: ...
    def __hash__(self, /) -> int: ...
    def __ne__(self, value: object, /) -> bool: ...
    def __new__(cls, /, json: str) -> Change:
        """
        Restore a pickled result from its JSON.
        """
    def __repr__(self, /) -> str: ...
    @property
    def after(self, /) -> float:
        """
        Value of the number after the corrections.
        """
    @property
    def before(self, /) -> float | None:
        """
        Value of the number before the corrections; null if the request did not give the number.
        """
    @property
    def field(self, /) -> str:
        """
        Path of the number in the request, such as `ease.waist`.
        """
    def to_dict(self, /) -> dict[str, Any]:
        """
        Convert the result to a dict with the field names of its JSON document.
        """

@final
class ChartComparison:
    """
    Comparison of a given chart with the best chart of the same number of sizes, on held-out people for whom neither
    chart was made. An absolute loss is in `unit`, a squared loss in the square of `unit`.
    """
    def __eq__(self, value: object, /) -> bool: ...
    def __getnewargs__(self, /) -> tuple[str]: ...
    def __hash__(self, /) -> int: ...
    def __ne__(self, value: object, /) -> bool: ...
    def __new__(cls, /, json: str) -> ChartComparison:
        """
        Restore a pickled result from its JSON.
        """
    def __repr__(self, /) -> str: ...
    @property
    def best_loss(self, /) -> float:
        """
        Mean loss of the held-out people in the best chart, over all splits; each split has a best chart of its own.
        """
    @property
    def gain_interval(self, /) -> tuple[float, float] | None:
        """
        95 % interval of the mean gain by Student's t, if there are several splits; widened because the splits share
        people.
        """
    @property
    def gains(self, /) -> list[float]:
        """
        Gain of each split, if there are several: mean loss of the given chart minus mean loss of the best chart.
        """
    @property
    def given_loss(self, /) -> float:
        """
        Mean loss of the held-out people in the given chart, over all splits.
        """
    @property
    def groups(self, /) -> list[GroupComparison]:
        """
        Losses of each group of held-out people, if the people are grouped, by label; missing labels last.
        """
    @property
    def held_out(self, /) -> int:
        """
        Number of people of the first split who are held out for the comparison.
        """
    @property
    def refused(self, /) -> list[RefusedPeople]:
        """
        For each reason why people are left out, a field and an error code: number and mean girths of these people.
        """
    @property
    def settings(self, /) -> dict[str, Any]:
        """
        Settings of the call that compared the charts: version of the package, function, unit, and the given arguments.
        """
    @property
    def sizes(self, /) -> list[tuple[float, float, float]]:
        """
        For each size of the first split's best chart: waist, hip, and the share of the training people who are
        assigned to the size, from 0 to 1.
        """
    def to_dict(self, /) -> dict[str, Any]:
        """
        Convert the result to a dict with the field names of its JSON document.
        """
    @property
    def training(self, /) -> int:
        """
        Number of training people of the first split, for whom its best chart is optimised.
        """
    @property
    def training_loss(self, /) -> float:
        """
        Mean loss of the training people in the best chart, over all splits: too optimistic an estimate of the loss
        of other people.
        """
    @property
    def unit(self, /) -> str:
        """
        Unit of lengths in the report.
        """
    @property
    def unmeasured(self, /) -> int:
        """
        Number of people left out because a measurement or the weight is missing or out of range.
        """

@final
class ChartFit(Rows):
    """
    Fit of a chart on people: counts, and an Arrow table with one row for each person.

    Each row has `size`, `serves`, `excess`, `ease_left_waist`, `ease_left_hip` and, if measured, `ease_left_high_hip`.
    Ease left is the garment's girth minus the body's girth; excess is the largest violation of a bound; both in `unit`.
    """
    def __reduce__(self, /) -> tuple[Any, Any]:
        """
        Return what pickle restores the fit from: its counts and people as JSON, its rows as a table of pyarrow.
        """
    def __repr__(self, /) -> str: ...
    @staticmethod
    def _restore(json: str, rows: Any) -> ChartFit:
        """
        Restore a pickled fit.
        """
    @property
    def count(self, /) -> int:
        """
        Number of people, measured and unmeasured.
        """
    @property
    def groups(self, /) -> list[GroupFit]:
        """
        Share of people served in each group, in the order of the labels of the groups; empty without `by`.
        """
    @property
    def interval(self, /) -> tuple[float, float] | None:
        """
        95 % interval of `share_served`, from 0 to 1 (Wilson 1927), by Student's t; `None` without replicates.
        """
    @property
    def load_weights(self, /) -> list[tuple[float, float]]:
        """
        Sums of weights for each size: of the people assigned to the size, and of those whom the size serves; empty
        without weights.
        """
    @property
    def loads(self, /) -> list[tuple[str, int, int]]:
        """
        Load of each size: its name, the number of people assigned to it, and the number of these people whom it serves.
        """
    @property
    def refused(self, /) -> list[RefusedPeople]:
        """
        Reasons why people have no size, each with the number of people and their mean girths.
        """
    def regions(self, /, step: SupportsFloat | SupportsIndex) -> list[tuple[float, float, int | float, int | float]]:
        """
        Count people in squares of the plane of waist and hip.

        `step` is the side of a square in `unit`, at least 0.1 cm, at most 100 cm. Each item is the smallest waist
        and hip of a square, the number of its people, and the number of its served people, or sums of weights if
        people have weights. Empty squares are left out.

        Raises `InputError` for a step out of range.
        """
    @property
    def replicate_shares(self, /) -> list[float | None]:
        """
        Share served in each replicate, in the order of the replicates; `None` for a replicate without weight.
        """
    @property
    def served(self, /) -> int:
        """
        Number of people whom the size assigned to them serves.
        """
    @property
    def settings(self, /) -> dict[str, Any]:
        """
        Settings of the call that made the fit: version of the package, function, unit, and the given arguments, with
        lengths in `unit`.
        """
    @property
    def share_served(self, /) -> float | None:
        """
        Share of served people among the measured people, by weight, from 0 to 1; `None` if nobody was measured or all
        weights are 0.
        """
    @property
    def standard_error(self, /) -> float | None:
        """
        Standard error of `share_served`; `None` without replicates.
        """
    def to_dict(self, /) -> dict[str, Any]:
        """
        Convert the counts to a dict that follows `schema("fit")`.
        """
    @property
    def unit(self, /) -> str:
        """
        Unit of all lengths: `cm`, `in` or `mm`.
        """
    @property
    def unmeasured(self, /) -> int:
        """
        Number of people without a size, because a measurement or the weight is missing or out of range.
        """
    @property
    def unserved(self, /) -> dict[str, int]:
        """
        Number of unserved people for each bound of ease that the assigned size violates, such as `waist_tight`.
        """
    @property
    def unserved_weights(self, /) -> dict[str, float]:
        """
        Sum of the weights of unserved people for each bound of ease that the assigned size violates; empty without
        weights.
        """
    def worst(self, /, max: SupportsIndex = 10) -> list[tuple[int, float]]:
        """
        Return the people with the largest violations of bounds, the largest violation first.

        Each item is the row number of a person, from 0, and the person's largest violation, in `unit`; there are at
        most `max`.
        """

@final
class Check:
    """
    One measurement of the finished outlines, compared with its expected value.
    """
    def __eq__(self, value: object, /) -> bool: ...
    def __getnewargs__(self, /) -> tuple[str]: ...
    def __hash__(self, /) -> int: ...
    def __ne__(self, value: object, /) -> bool: ...
    def __new__(cls, /, json: str) -> Check:
        """
        Restore a pickled result from its JSON.
        """
    def __repr__(self, /) -> str: ...
    @property
    def at_least(self, /) -> bool:
        """
        Whether `expected` is a minimum, so that the check also holds for any greater value.
        """
    @property
    def expected(self, /) -> float:
        """
        Expected value, in `unit`; the minimum if `at_least` is true.
        """
    @property
    def holds(self, /) -> bool:
        """
        Whether the check holds: the measured value is as expected within the tolerance, or reaches the minimum.
        """
    @property
    def measured(self, /) -> float:
        """
        Measured value, in `unit`.
        """
    @property
    def name(self, /) -> str:
        """
        Name of the check, such as `sewn_waist`.
        """
    @property
    def panel(self, /) -> str:
        """
        Panel that was measured: `back`, `front`, or `both` together.
        """
    def to_dict(self, /) -> dict[str, Any]:
        """
        Convert the result to a dict with the field names of its JSON document.
        """
    @property
    def tolerance(self, /) -> float:
        """
        Maximum difference between `measured` and `expected`, in `unit`.
        """
    @property
    def unit(self, /) -> str:
        """
        Unit of `measured`, `expected` and `tolerance`: `cm`, `in`, `deg`, or `count`.
        """

@final
class Choice:
    """
    Size of a chart chosen for a body, and the sizes that give waist and hip of the body's pattern.
    """
    def __eq__(self, value: object, /) -> bool: ...
    def __getnewargs__(self, /) -> tuple[str]: ...
    def __hash__(self, /) -> int: ...
    def __ne__(self, value: object, /) -> bool: ...
    def __new__(cls, /, json: str) -> Choice:
        """
        Restore a pickled result from its JSON.
        """
    def __repr__(self, /) -> str: ...
    @property
    def advice(self, /) -> str:
        """
        Advice in plain English on the size to take and on what is altered, with the rule.
        """
    @property
    def advised(self, /) -> SizeDifference | None:
        """
        Size to take; null if the girth that decides is outside the chart by more than `tolerance`.
        """
    @property
    def by(self, /) -> str:
        """
        Girth by which the size is chosen: `hip`, `waist` or `both`.
        """
    @property
    def hip(self, /) -> SizeDifference:
        """
        Size that gives the hip: the advised size, or the size to whose hip the advised size is blended.
        """
    @property
    def hip_by(self, /) -> float:
        """
        Change to make to the hip girth of the chosen pattern: positive lets out, negative takes in, 0 keeps the
        hip.
        """
    @property
    def individual(self, /) -> bool:
        """
        Whether an individual draft is better: no size is advised, or too much of the pattern changes.
        """
    @property
    def outside(self, /) -> bool:
        """
        Whether the body's waist or hip is outside the chart: below the smallest or above the largest size.
        """
    @property
    def sizes_apart(self, /) -> int:
        """
        Number of steps in the chart between the sizes that give waist and hip; 0 if one size gives both.
        """
    def to_dict(self, /) -> dict[str, Any]:
        """
        Convert the result to a dict with the field names of its JSON document.
        """
    @property
    def tolerance(self, /) -> float:
        """
        Largest amount by which the body's girth may exceed a size's girth for the size to be chosen.
        """
    @property
    def waist(self, /) -> SizeDifference:
        """
        Size that gives the waist: the advised size, or the size to whose waist the advised size is blended.
        """
    @property
    def waist_by(self, /) -> float:
        """
        Change to make to the waist girth of the chosen pattern: positive lets out, negative takes in, 0 keeps the
        waist.
        """

@final
class Cost:
    """
    Differences between an altered pattern and the exact draft, in millimetres, one for each place.
    """
    def __eq__(self, value: object, /) -> bool: ...
    def __getnewargs__(self, /) -> tuple[str]: ...
    def __hash__(self, /) -> int: ...
    def __ne__(self, value: object, /) -> bool: ...
    def __new__(cls, /, json: str) -> Cost:
        """
        Restore a pickled result from its JSON.
        """
    def __repr__(self, /) -> str: ...
    @property
    def centre_gap_mm(self, /) -> float:
        """
        Largest distance between the altered and the exact centre line, in millimetres.
        """
    @property
    def dart_gap_mm(self, /) -> float | None:
        """
        Largest distance between corresponding dart tips or ends of dart mouths, in millimetres; missing if the numbers
        of darts differ.
        """
    @property
    def hem_gap_mm(self, /) -> float:
        """
        Largest distance between the altered and the exact hem, in millimetres.
        """
    @property
    def hip_girth_mm(self, /) -> float:
        """
        Hip of the whole altered garment minus wanted hip (body plus ease), in millimetres; negative if too small.
        """
    @property
    def sewn_waist_mm(self, /) -> float:
        """
        Sewn waist of the whole altered garment minus wanted waist (body plus ease), in millimetres; negative if too
        small.
        """
    @property
    def side_gap_mm(self, /) -> float:
        """
        Largest distance between the altered and the exact side seam, in millimetres.
        """
    @property
    def side_mismatch_mm(self, /) -> float:
        """
        Length of the altered front side seam minus length of the altered back side seam, in millimetres.
        """
    def to_dict(self, /) -> dict[str, Any]:
        """
        Convert the result to a dict with the field names of its JSON document.
        """
    @property
    def waist_gap_mm(self, /) -> float:
        """
        Largest distance between the altered and the exact waist line, in millimetres.
        """

@final
class Dart:
    """
    Dart of a panel. Points are (x, y) in the coordinates of the panel.
    """
    def __eq__(self, value: object, /) -> bool: ...
    def __getnewargs__(self, /) -> tuple[str]: ...
    def __hash__(self, /) -> int: ...
    def __ne__(self, value: object, /) -> bool: ...
    def __new__(cls, /, json: str) -> Dart:
        """
        Restore a pickled result from its JSON.
        """
    def __repr__(self, /) -> str: ...
    @property
    def centre(self, /) -> float:
        """
        Distance from the centre line of the panel to the centre of the dart.
        """
    @property
    def half_angle_deg(self, /) -> float:
        """
        Angle between a leg and the centre line of the dart, in degrees.
        """
    @property
    def inner(self, /) -> list[float]:
        """
        Point at which the dart leg nearer the centre line meets the waist.
        """
    @property
    def intake(self, /) -> float:
        """
        Intake of the dart: width of the mouth.
        """
    @property
    def leg(self, /) -> float:
        """
        Length of each leg of the dart.
        """
    @property
    def length(self, /) -> float:
        """
        Length of the dart from mouth to tip, along the centre of the dart.
        """
    @property
    def outer(self, /) -> list[float]:
        """
        Point at which the dart leg nearer the side seam meets the waist.
        """
    @property
    def tip(self, /) -> list[float]:
        """
        Point at the tip of the dart.
        """
    def to_dict(self, /) -> dict[str, Any]:
        """
        Convert the result to a dict with the field names of its JSON document.
        """

@final
class Darts:
    """
    Given darts of back and front. The side seam takes the rest of the suppression.

    Each list has at most 3 darts, from the centre to the side.

    >>> given = Darts(back=[GivenDart(intake=4, length=13, place=0.5)], front=[])
    >>> body = Body(waist=74, hip=101, hip_depth=20.5, length=62)
    >>> len(draft(body, ease=Ease(waist=1.5, hip=5), rules=Rules(darts=given)).front.darts)
    0
    >>> Darts(back=[GivenDart(intake=1, length=12, place=0.5)] * 4, front=[])
    Traceback (most recent call last):
    kirtle.InputError: rules.darts.back: 4 darts are given, at most 3 darts allowed
    """
    def __eq__(self, value: object, /) -> bool: ...
    def __getnewargs_ex__(self, /) -> tuple[tuple[()], dict[str, Any]]: ...
    def __hash__(self, /) -> int: ...
    def __ne__(self, value: object, /) -> bool: ...
    def __new__(cls, /, *, back: SupportsGetItem[int, GivenDart], front: SupportsGetItem[int, GivenDart]) -> Darts:
        """
        Create the lists of given darts.

        Raises `InputError` for a list with more than 3 darts.
        """
    def __repr__(self, /) -> str: ...
    @property
    def back(self, /) -> list[GivenDart]:
        """
        Given darts of the back panel, from the centre to the side.
        """
    @property
    def front(self, /) -> list[GivenDart]:
        """
        Given darts of the front panel, from the centre to the side.
        """

@final
class Draft:
    """
    Draft of a straight skirt: back and front panel with darts. Lengths are in centimetres.

    A notebook displays the draft as a drawing.

    >>> skirt = draft(Body(waist=74, hip=101, hip_depth=20.5, length=62), ease=Ease(waist=1.5, hip=5))
    >>> round(skirt.suppression.total, 2), [round(dart.intake, 2) for dart in skirt.back.darts]
    (15.41, [2.31, 2.31])
    >>> skirt.proof.holds, skirt.findings
    (True, [])
    """
    def __eq__(self, other: object, /) -> bool: ...
    def __hash__(self, /) -> int: ...
    def __new__(cls, /, body: Body, *, ease: Ease, rules: Rules | None = None) -> Draft:
        """
        Draft the front and back of a straight skirt from a body, as the function `draft` does.
        """
    def __reduce__(self, /) -> tuple[Any, tuple[str]]: ...
    def __repr__(self, /) -> str: ...
    def _repr_svg_(self, /) -> str: ...
    @property
    def back(self, /) -> Panel:
        """
        Back panel, half of the back of the garment.
        """
    @property
    def body(self, /) -> Body:
        """
        Body measurements of the draft.
        """
    def distance_to(self, /, other: Draft, *, unit: str | None = None) -> float:
        """
        Return the root mean square distance between corresponding points of two drafts, in `unit`.

        The points divide the sewn waist of each panel, and its side seam from the waist to the hip line, into eight
        equal parts. The drafts lie on each other at centre line and hip line. A wider dart moves the points
        between the dart and the side. The skirt below the hip line does not count.

        >>> draft_with = lambda hip_depth: draft(Body(waist=74, hip=101, hip_depth=hip_depth, length=62), ease=Ease(waist=1.5, hip=5))
        >>> round(draft_with(20.5).distance_to(draft_with(21.5)), 1)
        0.8
        """
    @property
    def document_unit(self, /) -> str:
        """
        Default unit of every method that takes a `unit`: the unit of the request or the body, `cm` or `in`.
        """
    @property
    def ease(self, /) -> Ease:
        """
        Ease of the draft.
        """
    def ease_by_level(self, /, *, high_hip: SupportsFloat | SupportsIndex | None = None, high_hip_depth: SupportsFloat | SupportsIndex | None = None, step: SupportsFloat | SupportsIndex | None = None, unit: str | None = None) -> EaseByLevel:
        """
        Compute the ease at levels from the waist to the hem: the garment's girth minus the body's girth.

        `step` is the distance between levels, by default 1 cm. `high_hip` is a girth of the body between waist and
        hip, measured `high_hip_depth` below the waist at the side, by default that of the figure. Without a high hip,
        the body follows a natural spline from waist to hip. All lengths are in `unit`.

        Raises `InputError` with all the problems at once.

        >>> skirt = draft(Body(waist=74, hip=101, hip_depth=20.5, length=62), ease=Ease(waist=1.5, hip=5))
        >>> ease = skirt.ease_by_level(high_hip=94, high_hip_depth=10)
        >>> [round(number, 2) for number in ease.tightest]
        [2.92, 1.29]
        >>> skirt.ease_by_level(high_hip=94)
        Traceback (most recent call last):
        kirtle.InputError: high_hip_depth: missing: give a number from 1 to 39 cm
        """
    @property
    def findings(self, /) -> list[Finding]:
        """
        Cautions about the draft, such as too little ease for sitting; a trial garment decides. Their numbers are in
        centimetres, their messages in `document_unit`.
        """
    @staticmethod
    def from_json(request: str | bytes) -> Draft:
        """
        Draft a request in JSON that follows `schema("request")`.

        The unit of the request becomes `document_unit`. The fields `cutting` and `cloth` of the request are
        ignored.

        Raises `InputError` with all the problems at once.
        """
    @property
    def front(self, /) -> Panel:
        """
        Front panel, half of the front of the garment.
        """
    def girth_at(self, /, level: SupportsFloat | SupportsIndex, *, unit: str | None = None) -> float:
        """
        Return the girth of the garment at a level, with the darts closed.

        The level is the distance below the waist at the side, from 0 to the hem. Both lengths are in `unit`.

        Raises `InputError` for a level above the waist or below the hem.

        >>> skirt = draft(Body(waist=74, hip=101, hip_depth=20.5, length=62), ease=Ease(waist=1.5, hip=5))
        >>> round(skirt.girth_at(10), 1)
        98.4
        >>> skirt.girth_at(63)
        Traceback (most recent call last):
        kirtle.InputError: level: 63 cm is outside the garment; give a level from 0 to 62 cm
        """
    @property
    def girths(self, /) -> Girths:
        """
        Girths of the garment at waist, hip and hem.
        """
    @property
    def left_in_side(self, /) -> float:
        """
        Suppression of half the garment that the side seam takes beyond its limit, because no dart has room; usually 0.
        """
    @property
    def lengths(self, /) -> Lengths:
        """
        Finished lengths of the garment from waist to hem, at centre back, centre front and side seam.
        """
    def lesson(self, /, unit: str | None = None, *, name: str | None = None, texts: Mapping[str, str] | None = None) -> Lesson:
        """
        Return the lesson of the draft: how to draw the draft by hand.

        Lengths in its texts are in `unit`: `cm`, `in` (to the sixteenth) or `in 1/8` (to the eighth), as in every
        method that prints lengths. `texts` maps keys of `drawing_texts` to templates in another language. `name`,
        such as a size or a person, is printed in the title and at the foot of each page.
        """
    @property
    def nominal(self, /) -> Suppression:
        """
        Nominal suppression of half the garment: half the difference between the garment's hip girth and waist girth,
        shared out to side seam and darts by the rules.
        """
    def pattern(self, /, *, preset: str | None = None, name: str | None = None, notes: Sequence[str] | None = None, waist: float | None = None, side: float | None = None, hem: float | None = None, centre_back: float | None = None, opening: float | None = None, press: str | None = None, unfolded: bool | None = None, pieces: Sequence[str] | None = None, waistband_width: float | None = None, underlap: float | None = None, facing_depth: float | None = None, vent: float | None = None, vent_width: float | None = None, unit: str | None = None) -> Pattern:
        """
        Make the pattern: the pieces of the draft with seam allowances, ready to cut.

        `preset`, by default `trial`, has the allowances that are not passed: `trial` those of a trial garment,
        `garment` those of a garment, `none` no allowances. `waist`, `side`, `hem` and `centre_back` are allowances.
        `opening` is the length of the opening from the waist down the centre back. `press` is the direction in
        which the darts are pressed, `centre` or `side`. `name` is printed on the pieces; `notes` are printed on the sheet, one per line. Lengths are in `unit`, by
        default in `document_unit`; in either unit a preset has round numbers. `unfolded=True` draws front and front
        facing whole, with both halves, instead of one half to place on the fold.

        `pieces` adds a waistband or facings to back and front: `("back", "front", "waistband")`. `waistband_width`
        is the finished width of the waistband, `underlap` its length beyond the waist. `facing_depth` is the depth
        of the facings, square to the waist. `vent` is the height of a vent at the centre back, `vent_width` the
        width of its extension.

        Raises `InputError` with all the problems at once.

        >>> skirt = draft(Body(waist=74, hip=101, hip_depth=20.5, length=62), ease=Ease(waist=1.5, hip=5))
        >>> skirt.pattern(preset="garment", hem=5, press="side").allowances
        {'waist': 1.0, 'side': 1.5, 'hem': 5.0, 'centre_back': 2.0}
        >>> skirt.pattern(unfolded=True).front.on_fold
        False
        >>> skirt.pattern(hem=-1, press="up")
        Traceback (most recent call last):
        kirtle.InputError: cutting.allowances.hem: -1 cm is below the minimum of 0 cm
        cutting.press: "up" is not "centre" or "side"
        """
    def pdf(self, /, *, paper: str = "A4", margin_mm: SupportsFloat | SupportsIndex = 10.0, overlap_mm: SupportsFloat | SupportsIndex = 10.0, unit: str | None = None, texts: Mapping[str, str] | None = None) -> bytes:
        """
        Return the bytes of a PDF of back and front at true size, without allowances. The options are as in
        `Pattern.save`.
        """
    @property
    def proof(self, /) -> Proof:
        """
        Proof of the draft: independent measurements of the finished outlines, compared with the input.
        """
    def quantities(self, /, *, unit: str | None = None) -> dict[str, float]:
        """
        Return all quantities of the draft as a dict from name to value.

        Quantities are lengths and coordinates of points in `unit`, areas in square `unit`, angles in degrees, and ratios.
        Where a quantity is asked for by name, the name of its column in `draft_table` will do, and that of an attribute
        with the same number, such as `girths.hem`.

        >>> body = Body(waist=70, hip=96, hip_depth=18, length=60)
        >>> draft(body, ease=Ease(waist=1.5, hip=5)).quantities().get("nominal.total")
        14.75
        """
    @property
    def rules(self, /) -> Rules:
        """
        Rules of the draft.
        """
    def save(self, /, path: str | PathLike[str], *, paper: str = "A4", margin_mm: SupportsFloat | SupportsIndex = 10.0, overlap_mm: SupportsFloat | SupportsIndex = 10.0, unit: str | None = None, texts: Mapping[str, str] | None = None) -> None:
        """
        Write back and front, without allowances, to a file that ends with `.pdf`, `.svg` or `.dxf`. The options are as in
        `Pattern.save`.

        Raises `InputError` for another file name or unsuitable paper, and `OSError` if writing fails.

        >>> skirt = draft(Body(waist=74, hip=101, hip_depth=20.5, length=62), ease=Ease(waist=1.5, hip=5))
        >>> skirt.save("skirt.svg")
        >>> skirt.save("skirt.txt")
        Traceback (most recent call last):
        kirtle.InputError: path: "skirt.txt" is not a name that ends with .pdf, .svg or .dxf
        """
    def seek(self, /, input: str, quantity: str, value: SupportsFloat | SupportsIndex, *, level: SupportsFloat | SupportsIndex | None = None, between: tuple[SupportsFloat | SupportsIndex, SupportsFloat | SupportsIndex] | None = None, unit: str | None = None) -> Solutions:
        """
        Find the values of one input, such as `ease.hip`, for which a quantity of the draft equals `value`.

        All other inputs stay unchanged. `quantity` is a name from `quantities`, the number of darts `back.darts` or
        `front.darts`, or `girth`: the girth of the garment at `level`, a distance below the waist at the side. The
        search covers the whole range of the input, or the range `between`, a pair of values. Lengths are in `unit`.

        Raises `InputError` for an unknown name, for a `between` outside the input's range, and if there is no
        solution.

        >>> skirt = draft(Body(waist=74, hip=101, hip_depth=20.5, length=62), ease=Ease(waist=1.5, hip=5))
        >>> solutions = skirt.seek("ease.hip", "front.darts", 1)
        >>> round(solutions.value, 6), len(solutions.draft.front.darts)
        (4.08514, 1)
        >>> skirt.seek("ease.hip", "back.width", 90)
        Traceback (most recent call last):
        kirtle.InputError: value: 90 cm cannot be reached: ease.hip from -10 to 60 cm gives 21.75 to 39.25 cm
        """
    def sensitivity(self, /, by: str | Sequence[str] | None = None, *, unit: str | None = None) -> Sensitivity:
        """
        Compute the exact derivatives of every quantity of the draft with respect to its inputs.

        `by` is the name of an input, such as `ease.hip`, or several; the default is all inputs. Lengths are in `unit`. The
        derivatives hold while the number of darts and the active limits of the rules do not change.

        Raises `InputError` for an unknown name of an input.

        >>> skirt = draft(Body(waist=74, hip=101, hip_depth=20.5, length=62), ease=Ease(waist=1.5, hip=5))
        >>> skirt.sensitivity(["ease.hip"])["front.width", "ease.hip"]
        0.25
        >>> skirt.sensitivity(["ease.knee"])
        Traceback (most recent call last):
        kirtle.InputError: by: "ease.knee" is not one of 24 names: did you mean ease.hip, ease.waist or ...
        """
    @property
    def suppression(self, /) -> Suppression:
        """
        Suppression of half the garment as drafted: the width that its side seam and darts take in from hip to waist.
        """
    def svg(self, /, unit: str | None = None, *, fit: bool = False, texts: Mapping[str, str] | None = None) -> str:
        """
        Draw back and front as SVG, with written lengths in `unit`, by default in the draft's own `document_unit`.

        The drawing has true size. With `fit=True` it fills the width of its container instead. `texts` maps keys of
        `drawing_texts` to templates in another language.

        Raises `InputError` for an unknown key, and for a template that cannot be printed.

        >>> skirt = draft(Body(waist=74, hip=101, hip_depth=20.5, length=62), ease=Ease(waist=1.5, hip=5))
        >>> "Saum 25,5 cm" in skirt.svg(texts={"hem_length": "Saum {length}", "decimal_mark": ","})
        True
        >>> skirt.svg(texts={"hem_length": "Saum {Länge}", "hm": "Saum"})
        Traceback (most recent call last):
        kirtle.InputError: texts.hem_length: "Saum {Länge}" is not a text with the placeholder {length}
        texts.hm: unknown field; known fields are the keys of the English texts
        """
    def to_dict(self, /, unit: str | None = None) -> dict[str, Any]:
        """
        Return the result as a dict that follows `schema("result")`, with lengths in `unit`, by default in the
        draft's own `document_unit`.
        """
    def to_json(self, /, unit: str | None = None) -> str:
        """
        Return the result in JSON that follows `schema("result")`, with lengths in `unit`, by default in the draft's
        own `document_unit`.
        """
    def to_request(self, /, unit: str | None = None) -> str:
        """
        Return the request in JSON that follows `schema("request")` and gives this draft, to be stored: `from_json`
        reads it.

        Lengths are in `unit`, by default in the draft's own `document_unit`, which keeps every number as it was
        given.

        >>> skirt = draft(Body(waist=74, hip=101, hip_depth=20.5, length=62), ease=Ease(waist=1.5, hip=5))
        >>> Draft.from_json(skirt.to_request()) == skirt
        True
        """
    def uncertainty(self, /, errors: StandardErrors | Mapping[str, float], *, drafts: SupportsIndex = 1000, seed: SupportsIndex = 0, unit: str | None = None) -> Uncertainty:
        """
        Compute the standard error of every quantity of the draft, and an error ellipse for every point.

        `errors` are the standard errors of inputs, or a mapping for `StandardErrors`, propagated to first order by
        exact derivatives. In addition, the skirt is drafted `drafts` times, 100 to 100,000, with random errors:
        their spread includes changes of the number of darts, which first order does not. Equal seeds give equal
        spreads. Lengths are in `unit`, those of a mapping as well.

        Raises `InputError` for an unknown name of an input, or for `drafts` out of range.

        >>> skirt = draft(Body(waist=74, hip=101, hip_depth=20.5, length=62), ease=Ease(waist=1.5, hip=5))
        >>> skirt.uncertainty({"body.hip": 0.8})["front.width"]
        0.2
        >>> skirt.uncertainty(StandardErrors.iso_20685(), drafts=20_000).note
        'of 20000 drafts with random errors, ... % have another number of darts than this draft: rely on the spread, not on the standard errors; not measured on this body, so without effect: every measurement of the figure'
        >>> skirt.uncertainty(StandardErrors({"body.knee": 0.8}))
        Traceback (most recent call last):
        kirtle.InputError: by: "body.knee" is not one of 24 names: did you mean body.hip, body.waist or ...
        """
    def vary(self, /, values: Mapping[str, float], *, unit: str | None = None) -> Draft:
        """
        Draft again with other values of some inputs, such as `{"ease.hip": 6}`; all other inputs stay unchanged.

        The names are those of `sensitivity().inputs`, of measurements of a figure that the body lacks, such as
        `body.figure.front_hip`, and `rules.shares.back_darts` and `front_darts` for a number of darts. Lengths are in
        `unit`. A rule that the figure replaces is refused.

        Raises `InputError` for an unknown name, and with all the problems of the draft at once.

        >>> skirt = draft(Body(waist=74, hip=101, hip_depth=20.5, length=62), ease=Ease(waist=1.5, hip=5))
        >>> skirt.vary({"ease.hip": 6, "rules.balance": 0}).front.width
        26.75
        >>> len(skirt.vary({"rules.shares.back_darts": 1}).back.darts)
        1
        >>> skirt.vary({"ease.knee": 6})
        Traceback (most recent call last):
        kirtle.InputError: values: "ease.knee" is not one of 33 names: did you mean ease.hip, ease.waist or ...
        """

@final
class DraftStream:
    """
    Drafts of a table, as an Arrow stream that can be read once.

    `pyarrow.RecordBatchReader.from_stream(drafts)` reads the rows.
    """
    def __arrow_c_schema__(self, /) -> Any:
        """
        Return the schema of the drafts as an Arrow capsule.
        """
    def __arrow_c_stream__(self, /, requested_schema: Any | None = None) -> Any:
        """
        Return the drafts as an Arrow stream.

        Raises `ValueError` at every call after the first.
        """
    def __repr__(self, /) -> str: ...
    @property
    def columns(self, /) -> list[str]:
        """
        Names of the columns, in the order of the stream.
        """

@final
class DraftTable(Rows):
    """
    Drafts of a table, as an Arrow table with one row for each body.

    `pyarrow.table(drafts)`, `polars.DataFrame(drafts)` or `pandas.DataFrame.from_arrow(drafts)` reads the rows.
    """
    def __repr__(self, /) -> str: ...
    @property
    def refused(self, /) -> int:
        """
        Number of rows that could not be drafted.
        """

@final
class Ease:
    """
    Ease: girth of the garment minus girth of the body, over the whole girth, in centimetres.

    The drafter chooses the ease, so there is no default. Negative ease is for cloth that stretches.

    >>> Ease(waist=1.5, hip=5) == Ease(waist=15, hip=50, unit="mm")
    True
    >>> Ease(waist=1.5, hip=500)
    Traceback (most recent call last):
    kirtle.InputError: ease.hip: 500 cm is above the maximum of 60 cm
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
        Ease added to the whole hip girth.
        """
    @property
    def unit(self, /) -> str:
        """
        `in` if the lengths were given in inches, otherwise `cm`; `repr` and notebooks show lengths in this unit.
        """
    @property
    def waist(self, /) -> float:
        """
        Ease added to the whole waist girth.
        """

@final
class EaseByLevel(Rows):
    """
    Ease at levels from the waist to the hem, as an Arrow table.

    Each row has `level`, the distance below the waist at the side, the girths `garment` and `body`, and `ease`, the
    garment's girth minus the body's girth. All lengths are in `unit`.

    >>> skirt = draft(Body(waist=74, hip=101, hip_depth=20.5, length=62), ease=Ease(waist=1.5, hip=5))
    >>> ease = skirt.ease_by_level(step=10)
    >>> ease.levels
    [0.0, 10.0, 20.0, 20.5, 30.0, 40.0, 50.0, 60.0, 62.0]
    >>> [round(number, 1) for number in ease.ease]
    [1.5, 6.2, 5.0, 5.0, 5.0, 5.0, 5.0, 5.0, 5.0]
    """
    def __eq__(self, other: object, /) -> bool: ...
    def __hash__(self, /) -> int: ...
    def __reduce__(self, /) -> tuple[Any, tuple[Draft]]: ...
    def __repr__(self, /) -> str: ...
    @property
    def body(self, /) -> list[float]:
        """
        Girth of the body at each level; below the hip line the hip girth.
        """
    @property
    def ease(self, /) -> list[float]:
        """
        Ease at each level: the garment's girth minus the body's girth.
        """
    @property
    def findings(self, /) -> list[Finding]:
        """
        Cautions about too little ease for sitting, a hem too narrow for walking, and levels where the garment is
        narrower than the body; a trial garment decides.
        """
    @property
    def garment(self, /) -> list[float]:
        """
        Girth of the garment at each level.
        """
    @property
    def hip_line(self, /) -> float:
        """
        Level of the hip line: its distance below the waist at the side.
        """
    @property
    def levels(self, /) -> list[float]:
        """
        Distance of each level below the waist at the side, in ascending order.
        """
    @property
    def loosest(self, /) -> tuple[float, float]:
        """
        Level of the greatest ease between waist and hip line, and the ease at this level.
        """
    @property
    def tightest(self, /) -> tuple[float, float]:
        """
        Level of the least ease between waist and hip line, and the ease at this level.
        """
    @property
    def unit(self, /) -> str:
        """
        Unit of all lengths: `cm` or `in`.
        """

@final
class Edge:
    """
    Edge of a closed outline. Each edge ends at the first point of the next edge.
    """
    def __eq__(self, value: object, /) -> bool: ...
    def __getnewargs__(self, /) -> tuple[str]: ...
    def __hash__(self, /) -> int: ...
    def __ne__(self, value: object, /) -> bool: ...
    def __new__(cls, /, json: str) -> Edge:
        """
        Restore a pickled result from its JSON.
        """
    def __repr__(self, /) -> str: ...
    @property
    def length(self, /) -> float:
        """
        Length of the edge, along the curve.
        """
    @property
    def points(self, /) -> list[list[float]]:
        """
        Points (x, y) along the outline: two ends of a straight line, or four control points of a cubic Bézier
        curve.
        """
    @property
    def role(self, /) -> str:
        """
        Role of the edge: `waist`, `dart`, `side`, `hem` or `centre`.
        """
    def to_dict(self, /) -> dict[str, Any]:
        """
        Convert the result to a dict with the field names of its JSON document.
        """

@final
class Ellipse:
    """
    Error ellipse of a point, with semi-axes one standard error long.

    Coordinates are those of the panel, in the unit of the `Uncertainty` that contains the ellipse.
    """
    def __eq__(self, value: object, /) -> bool: ...
    def __hash__(self, /) -> int: ...
    def __ne__(self, value: object, /) -> bool: ...
    def __repr__(self, /) -> str: ...
    @property
    def angle_deg(self, /) -> float:
        """
        Angle in degrees from the x axis to the longer axis of the ellipse, positive towards the y axis.
        """
    @property
    def centre(self, /) -> tuple[float, float]:
        """
        Coordinates of the point in the draft, which are the centre of the ellipse.
        """
    @staticmethod
    def growth(probability: SupportsFloat | SupportsIndex) -> float:
        """
        Return the factor by which to multiply the semi-axes, so that the ellipse contains the point with the given
        probability.

        The factor holds for normally distributed errors. The probability is from 0 to 0.999999.

        Raises `InputError` for a probability out of range.

        >>> round(Ellipse.growth(0.95), 4)
        2.4477
        >>> Ellipse.growth(1)
        Traceback (most recent call last):
        kirtle.InputError: probability: 1 is above the maximum of 0.999999
        """
    @property
    def panel(self, /) -> str:
        """
        Panel of the point: `back` or `front`.
        """
    @property
    def point(self, /) -> str:
        """
        Name of the point, such as `side_hip` or `dart_1_tip`.
        """
    @property
    def semi_axes(self, /) -> tuple[float, float]:
        """
        Lengths of the semi-axes, the longer first.
        """

@final
class Figure:
    """
    Figure of a body: how the body stands and where it is full, in centimetres. Every measurement may be missing.

    The three lengths end at the floor, or at any level line. Only differences between lengths count: how much lower
    or higher one place of the waist lies than another. A single length is refused.

    >>> Figure(front_length=100.5, side_length=101).front_length
    100.5
    >>> Figure(front_length=100.5)
    Traceback (most recent call last):
    kirtle.InputError: body.figure.front_length: has no effect alone: give body.figure.side_length or body.figure.back_length, too
    """
    def __eq__(self, value: object, /) -> bool: ...
    def __getnewargs_ex__(self, /) -> tuple[tuple[()], dict[str, Any]]: ...
    def __hash__(self, /) -> int: ...
    def __ne__(self, value: object, /) -> bool: ...
    def __new__(cls, /, *, front_length: float | None = None, side_length: float | None = None, back_length: float | None = None, front_hip: float | None = None, front_waist: float | None = None, high_hip: float | None = None, high_hip_depth: float | None = None, unit: str = "cm") -> Figure: ...
    def __repr__(self, /) -> str: ...
    @property
    def back_length(self, /) -> float | None:
        """
        Vertical distance from the waist at the centre back to the floor (straight down, not over the seat).
        """
    @property
    def front_hip(self, /) -> float | None:
        """
        Arc over the front at the hip line, from side seam to side seam; 0.35 to 0.65 of the hip. The arc replaces
        the rule `balance`: front and back get ease in proportion to their arcs.
        """
    @property
    def front_length(self, /) -> float | None:
        """
        Vertical distance from the waist at the centre front to the floor (straight down, not over the belly).
        """
    @property
    def front_waist(self, /) -> float | None:
        """
        Arc over the front at the waist, from side seam to side seam; 0.35 to 0.65 of the waist. The arc decides how
        back and front darts share the suppression that the side seams do not take; front and back get ease in
        proportion to their arcs.
        """
    @property
    def high_hip(self, /) -> float | None:
        """
        Girth at the high hip, where the belly or the upper hip is fullest; needs `high_hip_depth`. At the high hip
        the skirt has at least the smaller of the eases at waist and hip: if need be by a fuller side seam, then by
        shorter darts.
        """
    @property
    def high_hip_depth(self, /) -> float | None:
        """
        Vertical distance from the waist at the side to the level of the high hip; at least 1 cm less than the hip
        depth.
        """
    @property
    def side_length(self, /) -> float | None:
        """
        Vertical distance from the waist at the side to the floor.
        """
    @property
    def unit(self, /) -> str:
        """
        `in` if the lengths were given in inches, otherwise `cm`; `repr` and notebooks show lengths in this unit.
        """

@final
class Finding:
    """
    One caution about a valid draft or pattern.
    """
    def __eq__(self, value: object, /) -> bool: ...
    def __getnewargs__(self, /) -> tuple[str]: ...
    def __hash__(self, /) -> int: ...
    def __ne__(self, value: object, /) -> bool: ...
    def __new__(cls, /, json: str) -> Finding:
        """
        Restore a pickled result from its JSON.
        """
    def __repr__(self, /) -> str: ...
    @property
    def code(self, /) -> str:
        """
        Kind of the finding, such as `narrow_hem`.
        """
    @property
    def limit(self, /) -> float:
        """
        Limit that the measured value breaks, in `unit`.
        """
    @property
    def measured(self, /) -> float:
        """
        Measured value, in `unit`.
        """
    @property
    def message(self, /) -> str:
        """
        Caution in words, with the values and with advice; in English, unless other texts are given.
        """
    @property
    def panel(self, /) -> str:
        """
        Panel that the finding concerns: `back`, `front`, or `both` for the whole garment.
        """
    def to_dict(self, /) -> dict[str, Any]:
        """
        Convert the result to a dict with the field names of its JSON document.
        """
    @property
    def unit(self, /) -> str:
        """
        Unit of `measured` and `limit`: `cm`, `in`, `deg` or `count`.
        """
    @property
    def values(self, /) -> dict[str, float | str]:
        """
        Other values of the message by name: a length in `unit`, or the key of one of the texts, such as `add_hip_ease`.
        """

@final
class FitComparison:
    """
    Comparison of two fits of the same people: numbers of people, unweighted, whom the chart of each serves, and the
    difference of the shares, by weight.
    """
    def __eq__(self, value: object, /) -> bool: ...
    def __getnewargs__(self, /) -> tuple[str]: ...
    def __hash__(self, /) -> int: ...
    def __ne__(self, value: object, /) -> bool: ...
    def __new__(cls, /, json: str) -> FitComparison:
        """
        Restore a pickled result from its JSON.
        """
    def __repr__(self, /) -> str: ...
    @property
    def both(self, /) -> int:
        """
        Number of people whom both charts serve.
        """
    @property
    def difference(self, /) -> float | None:
        """
        Share served by the second chart minus share served by the first, by weight; null if nobody is measured.
        """
    @property
    def interval(self, /) -> tuple[float, float] | None:
        """
        95 % interval of the difference: ± t standard errors, by Student's t; null without replicates.
        """
    @property
    def neither(self, /) -> int:
        """
        Number of measured people whom neither chart serves.
        """
    @property
    def only_first(self, /) -> int:
        """
        Number of people whom only the first chart serves.
        """
    @property
    def only_second(self, /) -> int:
        """
        Number of people whom only the second chart serves.
        """
    @property
    def standard_error(self, /) -> float | None:
        """
        Standard error of the difference from the replicates, each of which gives both fits the same weights; null
        without replicates.
        """
    def to_dict(self, /) -> dict[str, Any]:
        """
        Convert the result to a dict with the field names of its JSON document.
        """

@final
class Fitting:
    """
    History of corrections to a draft after fittings of a trial garment.

    `print` shows the record of the fittings, and a notebook displays the record as tables.
    """
    def __eq__(self, other: object, /) -> bool: ...
    def __hash__(self, /) -> int: ...
    def __new__(cls, /, draft: Draft | Pattern) -> Fitting:
        """
        Create a history with a draft, or with the draft of a pattern, and no corrections.

        With a pattern the history keeps how the pieces are cut, and the cloth and the ruler of its request.
        """
    def __reduce__(self, /) -> tuple[Any, tuple[str]]: ...
    def __repr__(self, /) -> str: ...
    def __str__(self, /) -> str: ...
    def _repr_html_(self, /) -> str: ...
    @property
    def changes(self, /) -> list[Change]:
        """
        Inputs that the corrections of the last fitting changed, with their values before and after.
        """
    def correct(self, /, corrections: dict[str, Any] | Sequence[dict[str, Any]], *, unit: str | None = None) -> Fitting:
        """
        Return a new history with the corrections of one fitting, applied to the draft.

        A correction is a dict as in `schema("request")`: `{"what": "waist", "by": -1, "at": "side"}` or `{"what":
        "dart_length", "by": 1, "at": "back 1"}`, `by` in `unit`, by default the `document_unit` of the draft. At
        waist and hip `by` is the whole girth: 0.5 pinned double at both side seams is 2. The order of the
        corrections does not matter.

        Raises `InputError` with all the problems at once.

        >>> skirt = draft(Body(waist=74, hip=101, hip_depth=20.5, length=62), ease=Ease(waist=1.5, hip=5))
        >>> fitted = Fitting(skirt).correct([{"what": "waist", "by": -1, "at": "side"}])
        >>> fitted.changes[0]
        Change(field="ease.waist", before=1.5, after=0.5)
        >>> fitted.undo().draft == skirt
        True
        >>> Fitting(skirt).correct({"what": "knee", "by": 1})
        Traceback (most recent call last):
        kirtle.InputError: corrections[0].what: "knee" is not "waist" or "hip" or "hip_line" or "centre_back" or "centre_front" or "length" or "side_fullness" or "balance" or "dart_place" or "dart_length" or "dart_intake"
        """
    @property
    def draft(self, /) -> Draft:
        """
        Draft with all corrections applied.
        """
    def fitting_record(self, /, unit: str | None = None) -> str:
        """
        Return the record of all fittings as text: corrections, changed inputs and changed lengths of the pattern,
        in `unit`, by default as the draft prints them.

        >>> skirt = draft(Body(waist=74, hip=101, hip_depth=20.5, length=62), ease=Ease(waist=1.5, hip=5))
        >>> print(Fitting(skirt).correct([{"what": "length", "by": 2}]).fitting_record())
        Fitting 1 (cm)                                     requested
        length                                                    +2
        <BLANKLINE>
        Input (cm)                                 before      after
        length                                         62         64
        <BLANKLINE>
        Pattern (cm)                               before      after
        along the side seam                          62.4       64.4
        back, centre seam or fold                    61.2       63.2
        front, centre seam or fold                   61.0       63.0
        <BLANKLINE>
        """
    @staticmethod
    def from_json(document: str | bytes) -> Fitting:
        """
        Open a history that `to_json` has stored: draft its `request`, and apply the corrections of its `rounds` again.

        Raises `InputError` with all the problems at once.
        """
    @property
    def measurements(self, /) -> list[Change]:
        """
        Measurements of the figure that equal corrections of the last fitting: with these measurements, and with the
        darts as corrected, the body gets the corrected draft without these corrections. If no length to the floor is
        measured, the lengths end at the hem.
        """
    def pattern(self, /) -> Pattern:
        """
        Make the pattern of the corrected draft, cut as the pattern with which the history began, or as for a trial
        garment if it began with a draft.

        Raises `InputError` for a corrected draft that cannot be cut like this.

        >>> skirt = draft(Body(waist=74, hip=101, hip_depth=20.5, length=62), ease=Ease(waist=1.5, hip=5))
        >>> fitting = Fitting(skirt.pattern(preset="garment", opening=40))
        >>> Fitting.from_json(fitting.to_json()).correct({"what": "length", "by": 2}).pattern().allowances["hem"]
        4.0
        >>> fitting.correct([{"what": "length", "by": -12}] * 2).pattern()
        Traceback (most recent call last):
        kirtle.InputError: cutting.opening: 40 cm is longer than the centre back seam of ...
        """
    def to_dict(self, /, unit: str | None = None) -> dict[str, Any]:
        """
        Convert the history to a dict that follows `schema("fitting")`, with lengths in `unit`, as in `to_json`.

        >>> skirt = draft(Body(waist=74, hip=101, hip_depth=20.5, length=62), ease=Ease(waist=1.5, hip=5))
        >>> Fitting(skirt).correct([{"what": "length", "by": 2}]).to_dict()["rounds"][0]["changes"]
        [{'field': 'body.length', 'before': 62.0, 'after': 64.0}]
        """
    def to_json(self, /, unit: str | None = None) -> str:
        """
        Return the history in JSON that follows `schema("fitting")`, with lengths in `unit`, by default the
        `document_unit` of the draft. Its `request` has `cutting`, `cloth` and `ruler` of the pattern.
        """
    def undo(self, /) -> Fitting:
        """
        Return a new history without the corrections of the last fitting.
        """

@final
class Girths:
    """
    Finished girths of the garment, all around.
    """
    def __eq__(self, value: object, /) -> bool: ...
    def __getnewargs__(self, /) -> tuple[str]: ...
    def __hash__(self, /) -> int: ...
    def __ne__(self, value: object, /) -> bool: ...
    def __new__(cls, /, json: str) -> Girths:
        """
        Restore a pickled result from its JSON.
        """
    def __repr__(self, /) -> str: ...
    @property
    def hem(self, /) -> float:
        """
        Girth of the garment at the hem.
        """
    @property
    def hip(self, /) -> float:
        """
        Girth of the garment at the hip line.
        """
    def to_dict(self, /) -> dict[str, Any]:
        """
        Convert the result to a dict with the field names of its JSON document.
        """
    @property
    def waist(self, /) -> float:
        """
        Girth of the garment along the sewn waist.
        """

@final
class GivenDart:
    """
    Dart of given size and position, as a handbook gives it.

    Exactly one of `place` and `centre` gives the position on the waist: `place` as a share of the panel's waist, from
    0.05 to 0.95, or `centre` as a distance. Both count from the centre line. Lengths are in `unit`; attributes are in
    centimetres.

    >>> GivenDart(intake=3, length=13, place=0.5)
    GivenDart(intake=3.0, length=13.0, place=0.5)
    >>> GivenDart(intake=3, length=13)
    Traceback (most recent call last):
    kirtle.InputError: dart.place: missing: give a number from 0.05 to 0.95
    """
    def __eq__(self, value: object, /) -> bool: ...
    def __getnewargs_ex__(self, /) -> tuple[tuple[()], dict[str, Any]]: ...
    def __hash__(self, /) -> int: ...
    def __ne__(self, value: object, /) -> bool: ...
    def __new__(cls, /, *, intake: float, length: float, place: float | None = None, centre: float | None = None, unit: str = "cm") -> GivenDart:
        """
        Create a dart of given size.

        Raises `InputError` with all the problems at once.
        """
    def __repr__(self, /) -> str: ...
    @property
    def centre(self, /) -> float | None:
        """
        Position of the dart's centre as a distance from the centre line, in centimetres; `None` if `place` is set.
        """
    @property
    def intake(self, /) -> float:
        """
        Width of the dart's mouth at the waist, in centimetres.
        """
    @property
    def length(self, /) -> float:
        """
        Length of the dart from mouth to tip along its centre, in centimetres.
        """
    @property
    def place(self, /) -> float | None:
        """
        Position of the dart's centre as a share of the panel's waist, from the centre line; `None` if `centre` is set.
        """

@final
class GradeIncrement:
    """
    Movement of a named point of a panel from one size to the next larger size.
    """
    def __eq__(self, value: object, /) -> bool: ...
    def __getnewargs__(self, /) -> tuple[str]: ...
    def __hash__(self, /) -> int: ...
    def __ne__(self, value: object, /) -> bool: ...
    def __new__(cls, /, json: str) -> GradeIncrement:
        """
        Restore a pickled result from its JSON.
        """
    def __repr__(self, /) -> str: ...
    @property
    def larger(self, /) -> str:
        """
        Name of the larger size.
        """
    @property
    def panel(self, /) -> str:
        """
        Panel of the point: `back` or `front`.
        """
    @property
    def point(self, /) -> str:
        """
        Name of the point, such as `side_waist` or `dart_1_tip`.
        """
    @property
    def smaller(self, /) -> str:
        """
        Name of the smaller size.
        """
    @property
    def step(self, /) -> list[float] | None:
        """
        Movement (x, y) of the point: x away from the centre line, y downwards relative to the hip line; null if
        only one of the two sizes has the point.
        """
    def to_dict(self, /) -> dict[str, Any]:
        """
        Convert the result to a dict with the field names of its JSON document.
        """

@final
class GroupComparison:
    """
    Comparison of a given chart with the best chart, for one group of the held-out people. The best chart is
    searched for the training people of all groups together.
    """
    def __eq__(self, value: object, /) -> bool: ...
    def __getnewargs__(self, /) -> tuple[str]: ...
    def __hash__(self, /) -> int: ...
    def __ne__(self, value: object, /) -> bool: ...
    def __new__(cls, /, json: str) -> GroupComparison:
        """
        Restore a pickled result from its JSON.
        """
    def __repr__(self, /) -> str: ...
    @property
    def best_loss(self, /) -> float:
        """
        Mean loss of the group's held-out people in the best chart, over all splits; each split has a best chart of
        its own. 0 if nobody of the group is held out.
        """
    @property
    def gain_interval(self, /) -> tuple[float, float] | None:
        """
        95 % interval of the mean gain by Student's t, if there are several splits; widened because the splits share
        people.
        """
    @property
    def gains(self, /) -> list[float]:
        """
        Gain of each split that holds out people of the group, if there are several: mean loss of the given chart
        minus mean loss of the best chart.
        """
    @property
    def given_loss(self, /) -> float:
        """
        Mean loss of the group's held-out people in the given chart, over all splits; 0 if nobody is held out.
        """
    @property
    def group(self, /) -> str | None:
        """
        Label of the group; null for people without a label.
        """
    @property
    def held_out(self, /) -> int:
        """
        Number of people of the group who are held out in the first split.
        """
    def to_dict(self, /) -> dict[str, Any]:
        """
        Convert the result to a dict with the field names of its JSON document.
        """

@final
class GroupFit:
    """
    Group of the people of a survey: numbers of all, unmeasured and served people, and the share served of the
    measured, with its standard error.
    """
    def __eq__(self, value: object, /) -> bool: ...
    def __getnewargs__(self, /) -> tuple[str]: ...
    def __hash__(self, /) -> int: ...
    def __ne__(self, value: object, /) -> bool: ...
    def __new__(cls, /, json: str) -> GroupFit:
        """
        Restore a pickled result from its JSON.
        """
    def __repr__(self, /) -> str: ...
    @property
    def count(self, /) -> int:
        """
        Number of people in the group, measured or not.
        """
    @property
    def group(self, /) -> str | None:
        """
        Label of the group; null for people without a label.
        """
    @property
    def interval(self, /) -> tuple[float, float] | None:
        """
        95 % interval of `share_served`, Wilson's score interval by Student's t; null without a standard
        error.
        """
    @property
    def replicate_shares(self, /) -> list[float | None]:
        """
        Share served in each replicate, if replicates are given; null for a replicate without weight in the group.
        """
    @property
    def served(self, /) -> int:
        """
        Number of people in the group who are served.
        """
    @property
    def share_served(self, /) -> float | None:
        """
        Share of the group's measured people, by weight, who are served, from 0 to 1; null if nobody is measured
        or all weights are 0.
        """
    @property
    def standard_error(self, /) -> float | None:
        """
        Standard error of `share_served`; null without replicates or share.
        """
    def to_dict(self, /) -> dict[str, Any]:
        """
        Convert the result to a dict with the field names of its JSON document.
        """
    @property
    def unmeasured(self, /) -> int:
        """
        Number of people in the group without a size.
        """

@final
class KeyLengths:
    """
    Key lengths of a drafted size.
    """
    def __eq__(self, value: object, /) -> bool: ...
    def __getnewargs__(self, /) -> tuple[str]: ...
    def __hash__(self, /) -> int: ...
    def __ne__(self, value: object, /) -> bool: ...
    def __new__(cls, /, json: str) -> KeyLengths:
        """
        Restore a pickled result from its JSON.
        """
    def __repr__(self, /) -> str: ...
    @property
    def back_darts(self, /) -> list[float]:
        """
        Intake of each back dart, from the centre line to the side seam.
        """
    @property
    def back_width(self, /) -> float:
        """
        Width of the back panel at the hip line.
        """
    @property
    def centre_back(self, /) -> float:
        """
        Length of the centre back from waist to hem.
        """
    @property
    def centre_front(self, /) -> float:
        """
        Length of the centre front from waist to hem.
        """
    @property
    def front_darts(self, /) -> list[float]:
        """
        Intake of each front dart, from the centre line to the side seam.
        """
    @property
    def front_width(self, /) -> float:
        """
        Width of the front panel at the hip line.
        """
    @property
    def side_edge(self, /) -> float:
        """
        Suppression by the side edge of one panel, as drafted.
        """
    @property
    def side_seam(self, /) -> float:
        """
        Length of the side seam from waist to hem, along the curve.
        """
    @property
    def suppression(self, /) -> float:
        """
        Suppression of half the garment between hip and waist, as drafted.
        """
    def to_dict(self, /) -> dict[str, Any]:
        """
        Convert the result to a dict with the field names of its JSON document.
        """

@final
class Lay:
    """
    Lay: the pieces of a pattern placed on cloth. Lengths are in centimetres.

    A notebook displays the lay as a drawing.
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
    def from_json(request: str | bytes) -> Lay:
        """
        Draft a request in JSON that follows `schema("request")`, and lay its pattern on the `cloth` of the request.

        Raises `InputError` with all the problems at once.
        """
    @property
    def length(self, /) -> float:
        """
        Length of cloth that the lay takes, in centimetres.
        """
    @property
    def one_way(self, /) -> bool:
        """
        Whether all pieces point the same way along the cloth.
        """
    def pdf(self, /, *, paper: str = "A4", margin_mm: SupportsFloat | SupportsIndex = 10.0, unit: str | None = None, texts: Mapping[str, str] | None = None) -> bytes:
        """
        Return the bytes of the PDF that `save` writes with the same options.
        """
    @property
    def placed(self, /) -> list[Placed]:
        """
        Pieces with their positions on the cloth.
        """
    def save(self, /, path: str | PathLike[str], *, paper: str = "A4", margin_mm: SupportsFloat | SupportsIndex = 10.0, unit: str | None = None, texts: Mapping[str, str] | None = None) -> None:
        """
        Write the lay to a file that ends with `.pdf`, `.svg`, `.dxf` or `.json`. A failed call leaves no partial file.

        A PDF is one page of `paper`, upright or sideways, at a scale of 1 : 5 or smaller, which the title states.
        An SVG is at 1 : 5. A DXF is at true size, for a cutter: all pieces, in layers as in the DXF of a pattern, at
        their places on the open cloth, front and front facing whole. `texts` is as in `Draft.svg`.

        Raises `InputError` for another file name, unknown paper, or a DXF of folded cloth, and `OSError` if writing fails.
        """
    @property
    def selvedge(self, /) -> float:
        """
        Width of the strip along each selvedge that no piece covers, in centimetres.
        """
    def svg(self, /, unit: str | None = None, *, fit: bool = False, texts: Mapping[str, str] | None = None) -> str:
        """
        Draw the lay as SVG, with written lengths in `unit`, by default in the draft's `document_unit`.

        The drawing is at 1 : 5. With `fit=True` it fills the width of its container instead.
        `texts` is as in `Draft.svg`.
        """
    @property
    def to_buy_cm(self, /) -> float:
        """
        Length of cloth to buy in centimetres, rounded up to a multiple of 10 cm.
        """
    @property
    def to_buy_yd(self, /) -> float:
        """
        Length of cloth to buy in yards, rounded up to an eighth of a yard.
        """
    def to_dict(self, /, unit: str | None = None) -> dict[str, Any]:
        """
        Convert the lay to a dict that follows `schema("lay")`, with lengths in `unit`, by default in the draft's
        `document_unit`.
        """
    def to_json(self, /, unit: str | None = None) -> str:
        """
        Return the lay in JSON that follows `schema("lay")`, with lengths in `unit`, by default in the draft's
        `document_unit`.
        """
    def true_size_svg(self, /, unit: str | None = None, *, texts: Mapping[str, str] | None = None) -> str:
        """
        Draw the lay at true size as SVG, with the lines of the DXF that `save` writes. `unit` and `texts` are as in `svg`.

        Raises `InputError` if the cloth is folded.
        """
    @property
    def waste(self, /) -> float:
        """
        Share of the area `width` times `length` that no piece covers, from 0 to 1.
        """
    @property
    def width(self, /) -> float:
        """
        Width of the open cloth between the selvedges, in centimetres.
        """

@final
class Lengths:
    """
    Finished lengths of the garment from waist to hem.
    """
    def __eq__(self, value: object, /) -> bool: ...
    def __getnewargs__(self, /) -> tuple[str]: ...
    def __hash__(self, /) -> int: ...
    def __ne__(self, value: object, /) -> bool: ...
    def __new__(cls, /, json: str) -> Lengths:
        """
        Restore a pickled result from its JSON.
        """
    def __repr__(self, /) -> str: ...
    @property
    def centre_back(self, /) -> float:
        """
        Length of the centre back from waist to hem.
        """
    @property
    def centre_front(self, /) -> float:
        """
        Length of the centre front from waist to hem.
        """
    @property
    def side(self, /) -> float:
        """
        Length of the side seam from waist to hem, along the curve.
        """
    def to_dict(self, /) -> dict[str, Any]:
        """
        Convert the result to a dict with the field names of its JSON document.
        """

@final
class Lesson:
    """
    Lesson: how to draw a draft by hand, in numbered steps with the numbers of its body.

    A notebook displays the lesson as Markdown; `save` writes a PDF with a figure beside each step.

    >>> lesson = draft(Body(waist=74, hip=101, hip_depth=20.5, length=62), ease=Ease(waist=1.5, hip=5)).lesson()
    >>> lesson.back[2]
    'Mark the ends of the waist: from D in 3.8 to G at the side, and from A down 0.8 to H at the centre.'
    >>> lesson.save("lesson.pdf")
    >>> lesson.save("lesson.txt")
    Traceback (most recent call last):
    kirtle.InputError: path: "lesson.txt" is not a name that ends with .pdf or .md
    """
    def __eq__(self, value: object, /) -> bool: ...
    def __hash__(self, /) -> int: ...
    def __ne__(self, value: object, /) -> bool: ...
    def __reduce__(self, /) -> tuple[Any, tuple[str, dict[str, str]]]: ...
    def __repr__(self, /) -> str: ...
    def _repr_markdown_(self, /) -> str: ...
    @property
    def back(self, /) -> list[str]:
        """
        Steps that draw the back, as sentences.
        """
    @property
    def distance_mm(self, /) -> float:
        """
        Largest distance of a point or curve of the pattern drawn by hand from the exact draft, in millimetres.
        """
    @property
    def draft(self, /) -> Draft:
        """
        Draft that the steps draw.
        """
    @staticmethod
    def from_json(request: str | bytes, texts: Mapping[str, str] | None = None) -> Lesson:
        """
        Draft a request in JSON that follows `schema("request")`, and return its lesson, with the ruler and the name
        of the request. `texts` is as in `Draft.svg`.

        Raises `InputError` with all the problems at once.
        """
    @property
    def front(self, /) -> list[str]:
        """
        Steps that draw the front, as sentences.
        """
    @property
    def name(self, /) -> str:
        """
        Name in the title and at the foot of each page, such as a size or a person; may be empty.
        """
    def pdf(self, /) -> bytes:
        """
        Return the bytes of the PDF that `save` writes.
        """
    def save(self, /, path: str | PathLike[str]) -> None:
        """
        Write the lesson to a `.pdf` file on A4, or to a `.md` file as Markdown. A failed call leaves no partial
        file.

        Raises `InputError` for another file name, and `OSError` if writing fails.
        """
    @property
    def side_mm(self, /) -> float:
        """
        Side seam of the pattern drawn by hand minus that of the draft, in millimetres.
        """
    def to_markdown(self, /) -> str:
        """
        Return the lesson as Markdown, without figures.
        """
    @property
    def waist_mm(self, /) -> float:
        """
        Sewn waist of the pattern drawn by hand minus that of the draft, all around, in millimetres.
        """

@final
class LogBand:
    """
    Loss band for x = ln(person's girth / size's girth). The loss is `small_weight` × (x − `small`)² for x above
    `small`, `large_weight` × (−x − `large`)² for −x above `large`, and zero in between.

    The form is that of `McCulloch`, Paal and Ashdown (1998, J. Oper. Res. Soc. 49), quoted from memory. There is no
    default, because their bands and weights are not available here.
    """
    def __eq__(self, value: object, /) -> bool: ...
    def __getnewargs_ex__(self, /) -> tuple[tuple[()], dict[str, Any]]: ...
    def __hash__(self, /) -> int: ...
    def __ne__(self, value: object, /) -> bool: ...
    def __new__(cls, /, *, small: SupportsFloat | SupportsIndex, large: SupportsFloat | SupportsIndex, small_weight: SupportsFloat | SupportsIndex, large_weight: SupportsFloat | SupportsIndex) -> LogBand:
        """
        Create a loss band for x = ln(girth of the person / girth of the size). The loss is `small_weight` × (x −
        `small`)² for x above `small`, `large_weight` × (−x − `large`)² for −x above `large`, and 0 in between.

        Raises `InputError` with all the problems at once.

        >>> LogBand(small=0.02, large=0.04, small_weight=3, large_weight=1).small
        0.02
        >>> LogBand(small=-1, large=0.04, small_weight=3, large_weight=1)
        Traceback (most recent call last):
        kirtle.InputError: band.small: -1 is below the minimum of 0
        """
    def __repr__(self, /) -> str: ...
    @property
    def large(self, /) -> float:
        """
        Largest ln(size / person) without loss, if the garment is too large: from 0 to 1.
        """
    @property
    def large_weight(self, /) -> float:
        """
        Weight of the loss if the garment is too large: from 10⁻⁶ to 10⁶.
        """
    @property
    def small(self, /) -> float:
        """
        Largest ln(person / size) without loss, if the garment is too small: from 0 to 1.
        """
    @property
    def small_weight(self, /) -> float:
        """
        Weight of the loss if the garment is too small: from 10⁻⁶ to 10⁶.
        """

@final
class Nest:
    """
    Nest: sizes of a range as patterns, cut alike and drawn on each other.

    A notebook displays the nest as a drawing.
    """
    def __eq__(self, other: object, /) -> bool: ...
    def __hash__(self, /) -> int: ...
    def __reduce__(self, /) -> tuple[Any, tuple[SizeRange]]: ...
    def __repr__(self, /) -> str: ...
    def _repr_svg_(self, /) -> str: ...
    def dxf(self, /, unit: str | None = None, *, texts: Mapping[str, str] | None = None) -> str:
        """
        Return the nest as DXF, with coordinates in millimetres and written lengths in `unit`. Each size is a layer.
        `texts` is as in `Draft.svg`.
        """
    @property
    def name(self, /) -> str:
        """
        Name printed on the nest; empty if no name is printed.
        """
    @property
    def names(self, /) -> list[str]:
        """
        Names of the sizes, from the smallest to the largest.
        """
    def pdf(self, /, *, paper: str = "A4", margin_mm: SupportsFloat | SupportsIndex = 10.0, overlap_mm: SupportsFloat | SupportsIndex = 10.0, unit: str | None = None, texts: Mapping[str, str] | None = None) -> bytes:
        """
        Return the bytes of a PDF of the nest at true size. Each size is a layer. The options are as in
        `Pattern.save`.
        """
    def save(self, /, path: str | PathLike[str], *, paper: str = "A4", margin_mm: SupportsFloat | SupportsIndex = 10.0, overlap_mm: SupportsFloat | SupportsIndex = 10.0, unit: str | None = None, texts: Mapping[str, str] | None = None) -> None:
        """
        Write the nest to a `.pdf`, `.svg` or `.dxf` file. A failed call leaves no partial file.

        `paper`, `margin_mm`, `overlap_mm` and `texts` are as in `Pattern.save`.

        Raises `InputError` for another file name or unsuitable paper, and `OSError` if writing fails.
        """
    def svg(self, /, unit: str | None = None, *, fit: bool = False, texts: Mapping[str, str] | None = None) -> str:
        """
        Draw the nest as SVG, with written lengths in `unit`, by default that of the nest. Each size is a layer,
        such as `Size 38`.

        The drawing has true size. With `fit=True` it fills the width of its container instead. `texts` is as in
        `Draft.svg`.
        """

@final
class Notch:
    """
    Notch of a pattern piece, made of one or two cuts.
    """
    def __eq__(self, value: object, /) -> bool: ...
    def __getnewargs__(self, /) -> tuple[str]: ...
    def __hash__(self, /) -> int: ...
    def __ne__(self, value: object, /) -> bool: ...
    def __new__(cls, /, json: str) -> Notch:
        """
        Restore a pickled result from its JSON.
        """
    def __repr__(self, /) -> str: ...
    @property
    def along(self, /) -> float:
        """
        Distance of the notch along the seam: from the waist down a side or centre seam, or from the centre along
        the waist with the darts closed. Notches that are sewn together have equal distances.
        """
    @property
    def cuts(self, /) -> list[list[list[float]]]:
        """
        Ends (x, y) of each cut: one on the cut line, the other inside, or outside if the allowance is too narrow.
        """
    @property
    def place(self, /) -> str:
        """
        Feature that the notch marks: `hip_line`, `lower_side`, `opening_end`, `vent_top`, `dart_leg`; on a
        waistband also `centre_back`, `centre_front` and `side_seam`.
        """
    @property
    def seam(self, /) -> list[float]:
        """
        Point (x, y) at which the notch meets the seam line.
        """
    def to_dict(self, /) -> dict[str, Any]:
        """
        Convert the result to a dict with the field names of its JSON document.
        """

@final
class Panel:
    """
    Panel: half of the back or of the front. Coordinates: x from the centre line towards the side seam, y downwards
    from the waist at the side seam.
    """
    def __eq__(self, value: object, /) -> bool: ...
    def __getnewargs__(self, /) -> tuple[str]: ...
    def __hash__(self, /) -> int: ...
    def __ne__(self, value: object, /) -> bool: ...
    def __new__(cls, /, json: str) -> Panel:
        """
        Restore a pickled result from its JSON.
        """
    def __repr__(self, /) -> str: ...
    @property
    def area(self, /) -> float:
        """
        Area inside the outline, without the open darts, in the square of the unit.
        """
    @property
    def darts(self, /) -> list[Dart]:
        """
        Darts of the panel, from the centre line to the side seam.
        """
    @property
    def edges(self, /) -> list[Edge]:
        """
        Edges of the closed outline in order: waist and darts from centre to side, side seam, hem, centre line.
        """
    @property
    def seams(self, /) -> Seams:
        """
        Length of each seam of the panel.
        """
    def to_dict(self, /) -> dict[str, Any]:
        """
        Convert the result to a dict with the field names of its JSON document.
        """
    @property
    def waist_lowering(self, /) -> float:
        """
        Vertical distance of the waist at the centre line below the waist at the side seam; negative if above.
        """
    @property
    def waist_width(self, /) -> float:
        """
        Straight width of the panel at the waist from centre line to side seam, with the darts open.
        """
    @property
    def width(self, /) -> float:
        """
        Width of the panel at the hip line and below.
        """

@final
class Pattern:
    """
    Pattern: the pieces of a draft with seam allowances, ready to cut. Lengths are in centimetres.

    A notebook displays the pattern as a drawing.

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
    def allowances(self, /) -> dict[str, float]:
        """
        Seam allowances as cut, in centimetres: a dict with `waist`, `side`, `hem` and `centre_back`.
        """
    @property
    def back(self, /) -> Piece:
        """
        Back piece.
        """
    @property
    def cautions(self, /) -> list[Finding]:
        """
        All cautions about draft and pattern, to show to a customer. A vent replaces the caution about a narrow hem.
        """
    @property
    def draft(self, /) -> Draft:
        """
        Draft from which the pattern is made.
        """
    def dxf(self, /, unit: str | None = None, *, texts: Mapping[str, str] | None = None) -> str:
        """
        Return the pieces as DXF, with coordinates in millimetres and written lengths in `unit`. `texts` is as in
        `Draft.svg`.
        """
    @property
    def findings(self, /) -> list[Finding]:
        """
        Cautions about cutting the pattern; those about the draft, in the same units, are in `draft.findings`.
        """
    @staticmethod
    def from_json(request: str | bytes) -> Pattern:
        """
        Draft a request in JSON that follows `schema("request")`, and make its pattern.

        The unit of the request becomes the default unit of the pattern's documents and drawings.

        Raises `InputError` with all the problems at once.
        """
    @property
    def front(self, /) -> Piece:
        """
        Front piece.
        """
    def lay(self, /, width: float, *, folded: bool | None = None, one_way: bool | None = None, selvedge: float | None = None, unit: str | None = None) -> Lay:
        """
        Lay the pieces on the shortest length of cloth that a search finds.

        `width` is the width of the open cloth between the selvedges, in `unit`. `folded=True` folds the cloth
        lengthwise. `one_way=True` lays all pieces in the same direction, for cloth with a nap or a print.
        No piece lies within `selvedge` of a selvedge: 1 cm or 3/8 in unless given.

        Raises `InputError` for cloth narrower than a piece.

        >>> skirt = draft(Body(waist=74, hip=101, hip_depth=20.5, length=62), ease=Ease(waist=1.5, hip=5))
        >>> skirt.pattern().lay(140).to_buy_cm
        70.0
        >>> skirt.pattern().lay(50)
        Traceback (most recent call last):
        kirtle.InputError: cloth.width: 50 cm is too narrow for the widest piece; the minimum is 62 cm
        """
    @property
    def name(self, /) -> str:
        """
        Name of the size or person that is printed on the pieces; if empty, the pieces show waist and hip of the body
        instead.
        """
    @property
    def opening(self, /) -> float:
        """
        Length of the zip opening from the waist down the centre back, in centimetres.
        """
    def pdf(self, /, *, paper: str = "A4", margin_mm: SupportsFloat | SupportsIndex = 10.0, overlap_mm: SupportsFloat | SupportsIndex = 10.0, unit: str | None = None, texts: Mapping[str, str] | None = None) -> bytes:
        """
        Return the bytes of the PDF that `save` writes with the same options.
        """
    @property
    def press(self, /) -> str:
        """
        Direction in which the darts are pressed: `centre` or `side`.
        """
    @property
    def proof(self, /) -> Proof | None:
        """
        Proof that waistband or facings are as long as the sewn waist; `None` without such pieces.
        """
    def save(self, /, path: str | PathLike[str], *, paper: str = "A4", margin_mm: SupportsFloat | SupportsIndex = 10.0, overlap_mm: SupportsFloat | SupportsIndex = 10.0, unit: str | None = None, texts: Mapping[str, str] | None = None) -> None:
        """
        Write the pattern to a `.pdf`, `.svg`, `.dxf` or `.json` file. A failed call leaves no partial file.

        `paper` is the paper of a PDF: `A4` to `A0`, `Letter`, `Legal`, `Tabloid`, a size such as `60 x 80 cm`, or a roll
        such as `roll 90 cm`. A pattern larger than one sheet is tiled: `margin_mm` is the blank margin of each
        sheet, `overlap_mm` the overlap of neighbouring sheets, both in millimetres. `texts` is as in `Draft.svg`.

        Raises `InputError` for another file name or unsuitable paper, and `OSError` if writing fails.

        >>> skirt = draft(Body(waist=74, hip=101, hip_depth=20.5, length=62), ease=Ease(waist=1.5, hip=5))
        >>> skirt.pattern().save("skirt.pdf", paper="A4")
        >>> skirt.pattern().save("skirt.txt")
        Traceback (most recent call last):
        kirtle.InputError: path: "skirt.txt" is not a name that ends with .pdf, .svg, .dxf or .json
        """
    def svg(self, /, unit: str | None = None, *, fit: bool = False, texts: Mapping[str, str] | None = None) -> str:
        """
        Draw the pattern as SVG, with written lengths in `unit`, by default in the draft's `document_unit`.

        The drawing has true size. With `fit=True` it fills the width of its container instead. `texts` is as in
        `Draft.svg`.
        """
    def to_dict(self, /, unit: str | None = None) -> dict[str, Any]:
        """
        Convert the pattern to a dict that follows `schema("pattern")`, with lengths in `unit`, by default in the
        draft's `document_unit`.
        """
    def to_json(self, /, unit: str | None = None) -> str:
        """
        Return the pattern in JSON that follows `schema("pattern")`, with lengths in `unit`, by default in the
        draft's `document_unit`.
        """
    def to_request(self, /, unit: str | None = None) -> str:
        """
        Return the request in JSON that follows `schema("request")` and gives this pattern, to be stored:
        `from_json` reads it. Lengths are in `unit`, by default in the draft's `document_unit`.
        """
    @property
    def waist_pieces(self, /) -> list[WaistPiece]:
        """
        Pieces that finish the waist: none, one waistband, or the facings of back and front.
        """

@final
class Piece:
    """
    Pattern piece. Coordinates: x from the centre line to the side, y downwards from the waist at the side seam.
    """
    def __eq__(self, value: object, /) -> bool: ...
    def __getnewargs__(self, /) -> tuple[str]: ...
    def __hash__(self, /) -> int: ...
    def __ne__(self, value: object, /) -> bool: ...
    def __new__(cls, /, json: str) -> Piece:
        """
        Restore a pickled result from its JSON.
        """
    def __repr__(self, /) -> str: ...
    @property
    def area(self, /) -> float:
        """
        Area inside the cut line, in the square of the unit; for a piece on the fold, the area of one half.
        """
    @property
    def copies(self, /) -> int:
        """
        Number of times that the piece is cut.
        """
    @property
    def cut(self, /) -> list[Edge]:
        """
        Edges of the closed cut line; the roof over a dart has the role `dart`.
        """
    @property
    def grain(self, /) -> list[list[float]]:
        """
        Grain line of the piece: upper end and lower end, each as (x, y).
        """
    @property
    def notches(self, /) -> list[Notch]:
        """
        Notches of the piece.
        """
    @property
    def on_fold(self, /) -> bool:
        """
        Whether the centre line of the piece lies on the fold of the cloth.
        """
    @property
    def seam(self, /) -> list[Edge]:
        """
        Edges of the closed seam line, including the legs of the darts.
        """
    @property
    def straight_folds(self, /) -> int:
        """
        Number of folds, of allowances and darts, at which the cut edge is straight because the waist next to the
        fold is too short or too curved to mirror.
        """
    def to_dict(self, /) -> dict[str, Any]:
        """
        Convert the result to a dict with the field names of its JSON document.
        """
    @property
    def vent(self, /) -> Vent | None:
        """
        Vent of the back piece; absent for the front, and for a back without vent.
        """

@final
class Placed:
    """
    Pattern piece at a position on the cloth.
    """
    def __eq__(self, value: object, /) -> bool: ...
    def __getnewargs__(self, /) -> tuple[str]: ...
    def __hash__(self, /) -> int: ...
    def __ne__(self, value: object, /) -> bool: ...
    def __new__(cls, /, json: str) -> Placed:
        """
        Restore a pickled result from its JSON.
        """
    def __repr__(self, /) -> str: ...
    @property
    def grain(self, /) -> list[list[float]]:
        """
        Grain line of the piece on the cloth: two ends, each as (x, y).
        """
    @property
    def mirrored(self, /) -> bool:
        """
        Whether the paper piece lies face down on the cloth, its printed side below.
        """
    @property
    def on_fold(self, /) -> bool:
        """
        Whether the centre line of the piece lies on the fold of the cloth.
        """
    @property
    def outline(self, /) -> list[list[list[float]]]:
        """
        Closed cut line of the piece on the cloth, as points (x, y): two per straight line, four control points per
        cubic Bézier curve. A front on unfolded cloth has both halves.
        """
    @property
    def piece(self, /) -> str:
        """
        Name of the piece: `back`, `front`, `waistband`, `back_facing` or `front_facing`.
        """
    def to_dict(self, /) -> dict[str, Any]:
        """
        Convert the result to a dict with the field names of its JSON document.
        """
    @property
    def turned(self, /) -> bool:
        """
        Whether the piece lies upside down: with the hem where an unturned piece has the waist.
        """

@final
class Population:
    """
    Population of simulated bodies.

    Waist and hip are jointly normal with a correlation; the hip depth is normal and independent of waist and hip. Each
    of `waist`, `hip` and `hip_depth` is a mean and a standard deviation; `length` is the same for everyone. Lengths are
    in `unit`; attributes are in centimetres.

    >>> Population(waist=(80, 9), hip=(102, 8), correlation=0.8, hip_depth=(20.5, 1), length=60).hip
    (102.0, 8.0)
    >>> Population(waist=(80, 9), hip=(102, 8), correlation=1.2, hip_depth=(20.5, 1), length=60)
    Traceback (most recent call last):
    kirtle.InputError: population.correlation: 1.2 is above the maximum of 0.999
    """
    def __eq__(self, value: object, /) -> bool: ...
    def __getnewargs_ex__(self, /) -> tuple[tuple[()], dict[str, Any]]: ...
    def __hash__(self, /) -> int: ...
    def __ne__(self, value: object, /) -> bool: ...
    def __new__(cls, /, *, waist: tuple[SupportsFloat | SupportsIndex, SupportsFloat | SupportsIndex], hip: tuple[SupportsFloat | SupportsIndex, SupportsFloat | SupportsIndex], correlation: SupportsFloat | SupportsIndex, hip_depth: tuple[SupportsFloat | SupportsIndex, SupportsFloat | SupportsIndex], length: SupportsFloat | SupportsIndex, unit: str = "cm") -> Population:
        """
        Create a population from means, standard deviations and a correlation from −0.999 to 0.999.

        Raises `InputError` with all the problems at once.
        """
    def __repr__(self, /) -> str: ...
    @staticmethod
    def ansur_women() -> Population:
        """
        Return the population of the women of ANSUR II (2012, n = 1,986).

        Means, standard deviations and correlation are published; the waist was measured at the navel. An
        independent hip depth and a length of 60 cm are assumptions of this package.
        """
    @property
    def correlation(self, /) -> float:
        """
        Correlation of waist and hip.
        """
    @property
    def hip(self, /) -> tuple[float, float]:
        """
        Mean and standard deviation of the hip, in centimetres.
        """
    @property
    def hip_depth(self, /) -> tuple[float, float]:
        """
        Mean and standard deviation of the hip depth, in centimetres.
        """
    @property
    def length(self, /) -> float:
        """
        Length of the skirt, the same for every body, in centimetres.
        """
    @property
    def waist(self, /) -> tuple[float, float]:
        """
        Mean and standard deviation of the waist, in centimetres.
        """

@final
class Problem:
    """
    One error in an input: code, field, value, limit and message.

    A program that writes its own messages, in another language, needs no English text: `minimum`, `maximum` and
    `choices` state the valid values as data.
    """
    def __eq__(self, value: object, /) -> bool: ...
    def __getnewargs__(self, /) -> tuple[str]: ...
    def __hash__(self, /) -> int: ...
    def __ne__(self, value: object, /) -> bool: ...
    def __new__(cls, /, json: str) -> Problem:
        """
        Restore a pickled result from its JSON.
        """
    def __repr__(self, /) -> str: ...
    @property
    def choices(self, /) -> list[str]:
        """
        Valid texts or field names, if only those of a list are valid; empty otherwise.
        """
    @property
    def code(self, /) -> str:
        """
        Error code.
        """
    @property
    def field(self, /) -> str:
        """
        Path of the wrong field, such as `body.waist` or `rules.darts.back[0].length`.
        """
    @property
    def limit(self, /) -> float | str | None:
        """
        Limit that the value exceeds or falls below, or a description of the valid values, if there is one.
        """
    @property
    def maximum(self, /) -> float | None:
        """
        Largest valid number in `unit`, if there is one.
        """
    @property
    def message(self, /) -> str:
        """
        Error message for people: path of the field, a colon, and `text`.
        """
    @property
    def minimum(self, /) -> float | None:
        """
        Smallest valid number in `unit`, if there is one.
        """
    @property
    def text(self, /) -> str:
        """
        Error message for people, without the path of the field: one sentence with value and limit.
        """
    def to_dict(self, /) -> dict[str, Any]:
        """
        Convert the result to a dict with the field names of its JSON document.
        """
    @property
    def unit(self, /) -> str | None:
        """
        Unit of every number of the problem: `cm`, `in`, `mm`, `deg`, `bytes`, or what is counted, such as `darts`; none
        for a number without unit or a text.
        """
    @property
    def value(self, /) -> float | str | None:
        """
        Value given for the field, if there is one.
        """

@final
class Proof:
    """
    All checks of the finished outlines of a draft.
    """
    def __eq__(self, value: object, /) -> bool: ...
    def __getnewargs__(self, /) -> tuple[str]: ...
    def __hash__(self, /) -> int: ...
    def __ne__(self, value: object, /) -> bool: ...
    def __new__(cls, /, json: str) -> Proof:
        """
        Restore a pickled result from its JSON.
        """
    def __repr__(self, /) -> str: ...
    @property
    def checks(self, /) -> list[Check]:
        """
        Checks in order: whole garment, figure of the body, back panel, front panel.
        """
    @property
    def holds(self, /) -> bool:
        """
        Whether every check holds.
        """
    def to_dict(self, /) -> dict[str, Any]:
        """
        Convert the result to a dict with the field names of its JSON document.
        """

@final
class RefusedPeople:
    """
    People without a size for one reason: their mean girths, and the mean girths of the people with a size. A person
    counts once for each refused value. Means are not weighted, as refused people may have no weight.
    """
    def __eq__(self, value: object, /) -> bool: ...
    def __getnewargs__(self, /) -> tuple[str]: ...
    def __hash__(self, /) -> int: ...
    def __ne__(self, value: object, /) -> bool: ...
    def __new__(cls, /, json: str) -> RefusedPeople:
        """
        Restore a pickled result from its JSON.
        """
    def __repr__(self, /) -> str: ...
    @property
    def accepted_hip(self, /) -> float | None:
        """
        Mean hip of the people with a size; null if nobody has a size.
        """
    @property
    def accepted_waist(self, /) -> float | None:
        """
        Mean waist of the people with a size; null if nobody has a size.
        """
    @property
    def code(self, /) -> str:
        """
        Reason: `missing`, `not_finite`, `below_minimum`, `above_maximum`, or why a draft is refused.
        """
    @property
    def field(self, /) -> str:
        """
        Refused field: `waist`, `hip`, `high_hip`, `high_hip_depth`, `weight`, `hip_depth`, or an input of a draft.
        """
    @property
    def hip(self, /) -> float | None:
        """
        Mean of the hips that were measured for these people; null if no hip was.
        """
    @property
    def people(self, /) -> int:
        """
        Number of people whose value is refused for this reason.
        """
    def to_dict(self, /) -> dict[str, Any]:
        """
        Convert the result to a dict with the field names of its JSON document.
        """
    @property
    def waist(self, /) -> float | None:
        """
        Mean of the waists that were measured for these people; null if no waist was.
        """

@disjoint_base
class Rows:
    """
    Arrow table: rows with named columns.

    `pyarrow.table`, `polars.DataFrame`, `duckdb` and `draft_table` read the object as a table and copy no data.
    """
    def __arrow_c_schema__(self, /) -> Any:
        """
        Return the schema of the table as an Arrow capsule.
        """
    def __arrow_c_stream__(self, /, requested_schema: Any | None = None) -> Any:
        """
        Return the rows as an Arrow stream, without a copy. Each call returns a new stream over all rows.
        """
    def __len__(self, /) -> int:
        """
        Return the number of rows.
        """
    @property
    def columns(self, /) -> list[str]:
        """
        Names of the columns, in the order of the table.
        """
    @property
    def settings(self, /) -> dict[str, Any]:
        """
        Settings of the call that made the table, as in its metadata `kirtle.settings`: version of the package, function,
        unit, and the given arguments, with lengths in the unit. Empty if the table has none.
        """

@final
class Rules:
    """
    Rules of construction: the proportions of the panels, and the apportionment of the suppression.

    Either `shares` or given `darts` apportion the suppression; the default is `Shares()`.

    >>> Rules(balance=0, shares=Shares(back_darts=1)).balance
    0.0
    >>> Rules(balance=9)
    Traceback (most recent call last):
    kirtle.InputError: rules.balance: 9 cm is above the maximum of 5 cm
    """
    def __eq__(self, value: object, /) -> bool: ...
    def __getnewargs_ex__(self, /) -> tuple[tuple[()], dict[str, Any]]: ...
    def __hash__(self, /) -> int: ...
    def __ne__(self, value: object, /) -> bool: ...
    def __new__(cls, /, *, balance: float | None = None, centre_back_lower: float | None = None, centre_front_lower: float | None = None, centre_back_in: float | None = None, side_fullness: float | None = None, shares: Shares | None = None, darts: Darts | None = None, unit: str = "cm") -> Rules:
        """
        Create rules; each rule that is not passed has its default.

        Raises `InputError` with all the problems at once, and for `shares` together with `darts`.
        """
    def __repr__(self, /) -> str: ...
    @property
    def balance(self, /) -> float:
        """
        Width moved from the back panel to the front panel at the hip, in centimetres; 0 makes the panels equally wide.
        """
    @property
    def centre_back_in(self, /) -> float:
        """
        Distance by which the centre back seam lies further in at the waist than at the hip line, in centimetres.
        """
    @property
    def centre_back_lower(self, /) -> float:
        """
        Lowering of the waist at the centre back, in centimetres, in addition to the lowering that square corners or
        the figure give.
        """
    @property
    def centre_front_lower(self, /) -> float:
        """
        Lowering of the waist at the centre front, in centimetres, in addition to the lowering that square corners or
        the figure give.
        """
    @property
    def darts(self, /) -> Darts | None:
        """
        Given darts; `None` if the rules have shares.
        """
    @property
    def shares(self, /) -> Shares | None:
        """
        Shares of the suppression; `None` if the rules have given darts.
        """
    @property
    def side_fullness(self, /) -> float:
        """
        Slope of the side seam from the vertical at the waist, divided by the slope of its chord to the hip line.
        """

@final
class Seams:
    """
    Length of each seam of a panel.
    """
    def __eq__(self, value: object, /) -> bool: ...
    def __getnewargs__(self, /) -> tuple[str]: ...
    def __hash__(self, /) -> int: ...
    def __ne__(self, value: object, /) -> bool: ...
    def __new__(cls, /, json: str) -> Seams:
        """
        Restore a pickled result from its JSON.
        """
    def __repr__(self, /) -> str: ...
    @property
    def centre(self, /) -> float:
        """
        Length of the panel's centre line from waist to hem.
        """
    @property
    def hem(self, /) -> float:
        """
        Length of the panel's hem.
        """
    @property
    def side(self, /) -> float:
        """
        Length of the panel's side seam from waist to hem, along the curve.
        """
    def to_dict(self, /) -> dict[str, Any]:
        """
        Convert the result to a dict with the field names of its JSON document.
        """
    @property
    def waist(self, /) -> float:
        """
        Length of the panel's waist, with the darts closed.
        """

@final
class Sensitivity(Rows):
    """
    Exact derivatives of every quantity of a draft with respect to its inputs, as an Arrow table.

    Each row has `quantity`, `unit` and `value`, and one column for each input. `sensitivity["back.width", "ease.hip"]`
    is one derivative. Lengths are in `unit`, areas in square `unit`, angles in degrees.

    >>> skirt = draft(Body(waist=74, hip=101, hip_depth=20.5, length=62), ease=Ease(waist=1.5, hip=5))
    >>> sensitivity = skirt.sensitivity(["ease.waist", "ease.hip"])
    >>> sensitivity["back.width", "ease.hip"]
    0.25
    >>> sensitivity["back.width", "ease.knee"]
    Traceback (most recent call last):
    kirtle.InputError: by: "ease.knee" is not one of ease.waist, ease.hip
    """
    def __eq__(self, other: object, /) -> bool: ...
    def __getitem__(self, names: tuple[str, str], /) -> float:
        """
        Return the derivative of a quantity with respect to an input, both given by name.

        Raises `InputError` for an unknown name.
        """
    def __hash__(self, /) -> int: ...
    def __reduce__(self, /) -> tuple[Any, tuple[Draft]]: ...
    def __repr__(self, /) -> str: ...
    @property
    def input_units(self, /) -> list[str]:
        """
        Unit of each input: `cm` or `in` for a length, `deg` for an angle, empty for a ratio.
        """
    @property
    def inputs(self, /) -> list[str]:
        """
        Names of the inputs, such as `ease.hip`, in the order of the columns of `matrix`.
        """
    @property
    def matrix(self, /) -> list[list[float]]:
        """
        Matrix of derivatives: one row for each quantity, one column for each input.
        """
    @property
    def quantities(self, /) -> list[str]:
        """
        Names of the quantities, such as `back.width`, in the order of the rows.
        """
    def row(self, /, quantity: str) -> int:
        """
        Return the row of a quantity, given by one of its names.

        Raises `InputError` for an unknown name.

        >>> skirt = draft(Body(waist=74, hip=101, hip_depth=20.5, length=62), ease=Ease(waist=1.5, hip=5))
        >>> rates = skirt.sensitivity("body.waist")
        >>> rates.quantities[rates.row("back_dart1_intake")], rates.quantities[rates.row("girths.hem")]
        ('back.darts[0].intake', 'hem_girth')
        >>> rates.row("hem")
        Traceback (most recent call last):
        kirtle.InputError: quantity: "hem" is not one of 92 names: did you mean hem_girth, ...
        """
    @property
    def unit(self, /) -> str:
        """
        Unit of all lengths: `cm` or `in`.
        """
    @property
    def units(self, /) -> list[str]:
        """
        Unit of each quantity: `cm` or `in` for a length, `cm²` or `in²` for an area, `deg` for an angle.
        """
    @property
    def values(self, /) -> list[float]:
        """
        Value of each quantity in the draft.
        """

@final
class Shares:
    """
    Apportionment by shares: the side seams take the suppression that the darts of back and front do not
    take.

    >>> Shares(back_share=0.35, back_darts=3).front_darts
    'auto'
    >>> Shares(back_share=0.6)
    Traceback (most recent call last):
    kirtle.InputError: rules.shares.back_share: 0.6 is above the maximum of 0.5
    """
    def __eq__(self, value: object, /) -> bool: ...
    def __getnewargs_ex__(self, /) -> tuple[tuple[()], dict[str, Any]]: ...
    def __hash__(self, /) -> int: ...
    def __ne__(self, value: object, /) -> bool: ...
    def __new__(cls, /, *, back_share: float | None = None, front_share: float | None = None, back_largest_dart: float | None = None, front_largest_dart: float | None = None, smallest_dart: float | None = None, steepest_side: float | None = None, back_inner_length: float | None = None, back_outer_length: float | None = None, front_inner_length: float | None = None, front_outer_length: float | None = None, single_place: float | None = None, inner_place: float | None = None, outer_place: float | None = None, back_darts: str | int | None = None, front_darts: str | int | None = None, unit: str = "cm") -> Shares: ...
    def __repr__(self, /) -> str: ...
    @property
    def back_darts(self, /) -> str | int:
        """
        Number of back darts.
        """
    @property
    def back_inner_length(self, /) -> float:
        """
        Length of a single back dart, or of the back dart nearer the centre, as a share of the hip depth.
        Published lengths are 11 to 14 cm at the back and 8 to 12 cm at the front, for a hip depth of about
        20 cm.
        """
    @property
    def back_largest_dart(self, /) -> float:
        """
        Largest intake of one back dart: a back with more intake gets two darts, unless their number is
        chosen, and the side seams take what its darts have no room for. Common practice, because a larger
        dart pokes at its tip.
        """
    @property
    def back_outer_length(self, /) -> float:
        """
        Length of the back dart nearer the side, as a share of the hip depth; shorter than the dart nearer
        the centre, because the seat is fullest near the centre.
        """
    @property
    def back_share(self, /) -> float:
        """
        Share of the suppression for the back darts. Two published worked drafts give side 0.5, back 0.3,
        front 0.2.
        """
    @property
    def front_darts(self, /) -> str | int:
        """
        Number of front darts.
        """
    @property
    def front_inner_length(self, /) -> float:
        """
        Length of a single front dart, or of the front dart nearer the centre, as a share of the hip depth;
        short, because the belly is high.
        """
    @property
    def front_largest_dart(self, /) -> float:
        """
        Largest intake of one front dart; has the effect on the front that `back_largest_dart` has on the back.
        """
    @property
    def front_outer_length(self, /) -> float:
        """
        Length of the front dart nearer the side, as a share of the hip depth; slightly shorter than the
        dart nearer the centre.
        """
    @property
    def front_share(self, /) -> float:
        """
        Share of the suppression for the front darts; less than at the back, because the seat is fuller than
        the belly.
        """
    @property
    def inner_place(self, /) -> float:
        """
        Position of the inner of two darts, as a share of the panel's waist from the centre line (published:
        one third).
        """
    @property
    def outer_place(self, /) -> float:
        """
        Position of the outer of two darts, as a share of the panel's waist from the centre line (published:
        two thirds).
        """
    @property
    def single_place(self, /) -> float:
        """
        Position of a single dart, as a share of the panel's waist from the centre line (published: the
        middle).
        """
    @property
    def smallest_dart(self, /) -> float:
        """
        Smallest intake worth sewing: a panel with less intake gets no dart, unless their number is chosen,
        and the side seams take its share.
        """
    @property
    def steepest_side(self, /) -> float:
        """
        Largest angle between the side seam and the vertical at the waist, in degrees; the darts take the
        suppression beyond the angle.
        """
    @property
    def unit(self, /) -> str:
        """
        `in` if the lengths were given in inches, otherwise `cm`; `repr` and notebooks show lengths in this unit.
        """

@final
class SizeChart:
    """
    Chart of named sizes in ascending order of the sum of waist and hip. Lengths are in centimetres.

    >>> SizeChart([("S", Body(waist=68, hip=92, hip_depth=20, length=60)), ("M", Body(waist=74, hip=98, hip_depth=20, length=60))]).names
    ['S', 'M']
    >>> SizeChart([("S", Body(waist=68, hip=92, hip_depth=20, length=60))])
    Traceback (most recent call last):
    kirtle.InputError: sizes: 1 size is given, at least 2 sizes needed
    """
    def __eq__(self, other: object, /) -> bool: ...
    def __getitem__(self, name: str, /) -> Body:
        """
        Return the body of the size called `name`.

        Raises `KeyError` for an unknown name.
        """
    def __hash__(self, /) -> int: ...
    def __iter__(self, /) -> Iterator[str]:
        """
        Return an iterator over the names of the sizes, from the smallest to the largest.
        """
    def __len__(self, /) -> int:
        """
        Return the number of sizes.
        """
    def __new__(cls, /, sizes: SupportsGetItem[int, tuple[str, Body]]) -> SizeChart:
        """
        Create a chart from pairs of a name and a body, in any order.

        Raises `InputError` with all the problems at once.
        """
    def __reduce__(self, /) -> tuple[Any, tuple[str]]: ...
    def __repr__(self, /) -> str: ...
    def between(self, /, *, waist: str | tuple[str, str] | tuple[str, str, float], hip: str | tuple[str, str] | tuple[str, str, float], hip_depth: float | None = None, length: float | None = None, unit: str | None = None) -> Body:
        """
        Return a body between sizes of the chart, given in `unit`.

        `waist` and `hip` are each the name of a size, two names for half-way between, or two names and a fraction
        from 0 to 1: 0.25 is a quarter of the way from the first size to the second. `hip_depth` and `length`, in
        `unit`, replace the values of the sizes.

        Raises `InputError` with all the problems at once.

        >>> SizeChart.demo().between(waist="38", hip=("40", "42"))
        Body(waist=72.0, hip=102.0, hip_depth=20.4, length=60.0)
        >>> SizeChart.demo().between(waist="39", hip="40")
        Traceback (most recent call last):
        kirtle.InputError: waist.from: there is no size "39"; the sizes are 32, 34, 36, 38, 40, 42, 44, 46, 48, 50, 52, 54
        """
    def choose(self, /, body: Body, *, by: str = "hip", tolerance: float | None = None, ease: Ease | None = None, unit: str | None = None) -> Choice:
        """
        Choose a size for a body, with advice in words; lengths are in `unit`.

        `by` is the girth by which the size is chosen: `hip`, `waist` or `both`. The smaller of two sizes is taken
        if this girth of the body is at most `tolerance` larger than that of the size, by default 1 cm. With `ease`
        the advice has the ease that is left.

        Raises `InputError` for an unknown girth or a tolerance out of range.

        >>> chart = SizeChart.demo()
        >>> choice = chart.choose(Body(waist=73, hip=101, hip_depth=20.5, length=62), ease=Ease(waist=1.5, hip=5))
        >>> print(choice.advice)
        Take size 40, by the hip, and blend it to the waist of size 38. The hip of size 40 leaves 4.0 cm of ease instead of 5.0 cm. The waist of size 40 is 3.0 cm too large. The waist of size 38 leaves 0.5 cm of ease instead of 1.5 cm. Rule: take the larger of two sizes, unless the hip of the body is at most 1.0 cm larger than the hip of the smaller size.
        >>> chart.between(waist=choice.waist.size, hip=choice.hip.size)
        Body(waist=72.0, hip=100.0, hip_depth=20.3, length=60.0)
        >>> chart.choose(Body(waist=73, hip=101, hip_depth=20.5, length=62), by="knee")
        Traceback (most recent call last):
        kirtle.InputError: choose.by: "knee" is not "hip" or "waist" or "both"
        """
    @staticmethod
    def demo() -> SizeChart:
        """
        Return an example chart of 12 sizes, with the increments of EN 13402-3.
        """
    def draft(self, /, *, ease: Ease, rules: Rules | None = None) -> SizeRange:
        """
        Draft every size of the chart with the same ease and rules.

        Raises `InputError` with all the problems at once; each problem names its size.

        >>> sizes = SizeChart.demo().draft(ease=Ease(waist=1.5, hip=5))
        >>> sizes["40"].back.width
        25.25
        >>> long = Rules(darts=Darts(back=[GivenDart(intake=3, length=25, place=0.5)], front=[]))
        >>> SizeChart.demo().draft(ease=Ease(waist=1.5, hip=5), rules=long)
        Traceback (most recent call last):
        kirtle.InputError: size "32" rules.darts.back: a dart tip would lie 26... cm below the side end of the waist, but the hip line lies only 19.5 cm below that end: use a shorter dart
        ...
        """
    @staticmethod
    def from_csv(text: str | bytes, *, unit: str = "cm") -> SizeChart:
        """
        Create a chart from comma-separated values with the columns `name`, `waist`, `hip`, `hip_depth` and
        `length`.

        Raises `InputError` with all the problems at once.

        >>> text = SizeChart.demo().to_csv("in")
        >>> SizeChart.from_csv(text, unit="in").names[:3]
        ['32', '34', '36']
        >>> SizeChart.from_csv("name,waist,hip,hip_depth,length")
        Traceback (most recent call last):
        kirtle.InputError: sizes: 0 sizes are given, at least 2 sizes needed
        """
    @staticmethod
    def from_json(text: str | bytes) -> SizeChart:
        """
        Create a chart from JSON that follows `schema("chart")`.

        Raises `InputError` with all the problems at once.
        """
    @property
    def names(self, /) -> list[str]:
        """
        Names of the sizes, from the smallest to the largest.
        """
    def to_csv(self, /, unit: str | None = None) -> str:
        """
        Return the chart as comma-separated values, which `from_csv` reads with the same `unit`.
        """
    def to_json(self, /, unit: str | None = None) -> str:
        """
        Return the chart as JSON that follows `schema("chart")`, which `from_json` reads, with lengths in `unit`.
        """
    @property
    def unit(self, /) -> str:
        """
        Unit in which the lengths were given, `cm` or `in`: the default unit of every method of the chart, and of its
        bodies, drafts, nests and alterations. Notebooks show lengths in this unit.
        """

@final
class SizeDifference:
    """
    Difference between a size and a body, positive where the size is larger.
    """
    def __eq__(self, value: object, /) -> bool: ...
    def __getnewargs__(self, /) -> tuple[str]: ...
    def __hash__(self, /) -> int: ...
    def __ne__(self, value: object, /) -> bool: ...
    def __new__(cls, /, json: str) -> SizeDifference:
        """
        Restore a pickled result from its JSON.
        """
    def __repr__(self, /) -> str: ...
    @property
    def hip(self, /) -> float:
        """
        Hip of the size minus hip of the measured body.
        """
    @property
    def size(self, /) -> str:
        """
        Name of the size.
        """
    def to_dict(self, /) -> dict[str, Any]:
        """
        Convert the result to a dict with the field names of its JSON document.
        """
    @property
    def waist(self, /) -> float:
        """
        Waist of the size minus waist of the measured body.
        """

@final
class SizeRange:
    """
    Drafts of all sizes of a chart, with one ease and one set of rules.

    A notebook displays the drafts as a nest: all sizes on one drawing.
    """
    def __eq__(self, other: object, /) -> bool: ...
    def __getitem__(self, name: str, /) -> Draft:
        """
        Return the draft of the size called `name`.

        Raises `KeyError` for an unknown name.
        """
    def __hash__(self, /) -> int: ...
    def __iter__(self, /) -> Iterator[str]:
        """
        Return an iterator over the names of the sizes, from the smallest to the largest.
        """
    def __len__(self, /) -> int:
        """
        Return the number of drafts.
        """
    def __reduce__(self, /) -> tuple[Any, tuple[SizeChart]]: ...
    def __repr__(self, /) -> str: ...
    def _repr_svg_(self, /) -> str: ...
    def alter(self, /, body: Body, *, tolerance_mm: SupportsFloat | SupportsIndex | None = None, min_step_mm: SupportsFloat | SupportsIndex | None = None) -> Alteration:
        """
        Alter the printed nest on paper for one body, and compare the result with the exact draft of the body.

        `tolerance_mm`, from 0.1 to 50 mm, by default 3 mm, is the largest difference of seams that sew together,
        and of a pattern that is close to the exact draft. Changes of at most `min_step_mm`, from 0 to 20 mm, by
        default 3 mm, are left out.

        Raises `InputError` for a body outside the chart or a limit out of range.

        >>> sizes = SizeChart.demo().draft(ease=Ease(waist=1.5, hip=5))
        >>> altered = sizes.alter(Body(waist=70, hip=100, hip_depth=20.5, length=58))
        >>> altered.sews, altered.holds, round(altered.cost.side_gap_mm, 1)
        (True, False, 5.3)
        >>> sizes.alter(Body(waist=140, hip=160, hip_depth=20.5, length=58))
        Traceback (most recent call last):
        kirtle.InputError: body.waist: 140 cm is outside the size chart, which ends at 112 cm: draft this body individually
        body.hip: 160 cm is outside the size chart, which ends at 132 cm: draft this body individually
        """
    @property
    def chart(self, /) -> SizeChart:
        """
        Chart of the sizes.
        """
    @staticmethod
    def from_json(text: str | bytes) -> SizeRange:
        """
        Draft all sizes of a chart in JSON that follows `schema("chart")` and contains `ease`.

        Raises `InputError` with all the problems at once.
        """
    def grade(self, /, unit: str | None = None) -> list[GradeIncrement]:
        """
        Return the grade increments in `unit`: how far each named point moves from one size to the next larger size.
        """
    def nest(self, /, sizes: str | Sequence[str] | None = None, *, preset: str = "none", name: str | None = None, notes: Sequence[str] | None = None, waist: float | None = None, side: float | None = None, hem: float | None = None, centre_back: float | None = None, opening: float | None = None, press: str | None = None, unfolded: bool | None = None, pieces: Sequence[str] | None = None, waistband_width: float | None = None, underlap: float | None = None, facing_depth: float | None = None, vent: float | None = None, vent_width: float | None = None, unit: str | None = None) -> Nest:
        """
        Return the nest of chosen sizes: their patterns, cut alike and drawn on each other.

        `sizes` is one or more names of sizes, or rows of sizes such as `36-44`; by default all sizes. `preset` is
        `trial`, `garment`, or `none` for no allowances; `name` is the name of the nest. The other options are as in
        `Draft.pattern`, with lengths in `unit`. The waistbands of all sizes are aligned at the centre front, the
        facings at the waist of the centre line.

        Raises `InputError` with all the problems at once.

        >>> sizes = SizeChart.demo().draft(ease=Ease(waist=1.5, hip=5))
        >>> sizes.nest(["36-40", "44"], preset="garment", hem=5, pieces=("back", "front", "waistband")).names
        ['36', '38', '40', '44']
        >>> sizes.nest(["39"])
        Traceback (most recent call last):
        kirtle.InputError: sizes: there is no size "39"; the sizes are 32, 34, 36, 38, 40, 42, 44, 46, 48, 50, 52, 54
        """
    def table(self, /, unit: str | None = None) -> list[tuple[str, KeyLengths]]:
        """
        Return the name and the key lengths of each size, in the order of the chart, with lengths in `unit`.
        """

@final
class Solutions:
    """
    Values of one input for which a draft has the wanted quantity, number of darts or girth, found by `Draft.seek`.

    Lengths are in `unit`, the unit of the call.
    """
    def __eq__(self, other: object, /) -> bool: ...
    def __hash__(self, /) -> int: ...
    def __reduce__(self, /) -> tuple[Any, tuple[Draft]]: ...
    def __repr__(self, /) -> str: ...
    @property
    def draft(self, /) -> Draft:
        """
        Draft with the input at `value`.
        """
    @property
    def input(self, /) -> str:
        """
        Name of the input, such as `ease.hip`.
        """
    @property
    def interval(self, /) -> tuple[float, float]:
        """
        Smallest and largest solution of the interval of solutions around `value`; equal for an isolated solution.
        """
    @property
    def others(self, /) -> list[float]:
        """
        One solution of each other interval of solutions, in ascending order; empty if there is no other interval.
        """
    @property
    def unit(self, /) -> str:
        """
        Unit of all lengths: `cm` or `in`.
        """
    @property
    def value(self, /) -> float:
        """
        Solution nearest to the value of the input in the original draft.
        """

@final
class StandardErrors:
    """
    Standard errors of the inputs of a draft, with or without correlation.

    The mapping gives the standard error of each input by name, such as `body.waist`, in `unit`, by default the unit of
    `Draft.uncertainty`. The errors are independent; `with_covariance` gives correlated errors.

    Raises `InputError` for a negative standard error or one that is not finite.

    >>> StandardErrors({"body.waist": 0.5, "body.hip": 0.7})
    StandardErrors({'body.waist': 0.5, 'body.hip': 0.7})
    >>> StandardErrors({"body.waist": -0.5})
    Traceback (most recent call last):
    kirtle.InputError: errors.body.waist: -0.5 is below the minimum of 0
    """
    def __eq__(self, value: object, /) -> bool: ...
    def __hash__(self, /) -> int: ...
    def __ne__(self, value: object, /) -> bool: ...
    def __new__(cls, /, errors: Mapping[str, float], *, unit: str | None = None) -> StandardErrors:
        """
        Create independent errors from a mapping of input names to standard errors.
        """
    def __reduce__(self, /) -> tuple[Any, Any]: ...
    def __repr__(self, /) -> str: ...
    @property
    def covariance(self, /) -> list[list[float]]:
        """
        Covariance matrix of the inputs: one row and one column for each name.
        """
    @staticmethod
    def iso_20685(unit: str = "cm") -> StandardErrors:
        """
        Return standard errors equal to the largest differences that ISO 20685 allows between two methods of
        measuring.

        These are 0.9 cm for girths, 0.5 cm for depths and 0.4 cm for lengths to the floor, converted to `unit`;
        arcs over the front get 0.9 cm (an assumption). An error of a measurement that a body lacks has no effect.
        """
    @property
    def names(self, /) -> list[str]:
        """
        Names of the inputs that have a standard error.
        """
    @property
    def unit(self, /) -> str | None:
        """
        Unit of the errors of lengths, `cm`, `in` or `mm`; `None` for the unit of `Draft.uncertainty`.
        """
    @staticmethod
    def with_covariance(names: SupportsGetItem[int, str], rows: Sequence[Sequence[float]], *, unit: str | None = None) -> StandardErrors:
        """
        Create correlated errors from a covariance matrix.

        `names` are the names of the inputs, `rows` the rows of the matrix, in the same order.

        Raises `InputError` for a matrix that is not symmetric and positive semidefinite.

        >>> names = ["body.waist", "body.hip"]
        >>> StandardErrors.with_covariance(names, [[0.25, 0.2], [0.2, 0.49]]).names
        ['body.waist', 'body.hip']
        >>> StandardErrors.with_covariance(names, [[0.25, 0.4], [0.4, 0.49]])
        Traceback (most recent call last):
        kirtle.InputError: covariance: not a covariance matrix: the variance of +0.80 body.waist -0.60 body.hip would be negative, -0.048
        """

@final
class Suppression:
    """
    Suppression of half the garment: the width that side seam and darts remove between hip and waist.
    """
    def __eq__(self, value: object, /) -> bool: ...
    def __getnewargs__(self, /) -> tuple[str]: ...
    def __hash__(self, /) -> int: ...
    def __ne__(self, value: object, /) -> bool: ...
    def __new__(cls, /, json: str) -> Suppression:
        """
        Restore a pickled result from its JSON.
        """
    def __repr__(self, /) -> str: ...
    @property
    def back(self, /) -> float:
        """
        Suppression by the darts of the back panel.
        """
    @property
    def front(self, /) -> float:
        """
        Suppression by the darts of the front panel.
        """
    @property
    def side(self, /) -> float:
        """
        Suppression by the side seam of half the garment; the side edges of back and front take half of it each.
        """
    def to_dict(self, /) -> dict[str, Any]:
        """
        Convert the result to a dict with the field names of its JSON document.
        """
    @property
    def total(self, /) -> float:
        """
        Total suppression of half the garment.
        """

@final
class Uncertainty(Rows):
    """
    Standard errors of every quantity of a draft as an Arrow table, and the error ellipses of its points.

    Each row has `quantity`, `unit`, `value`, `standard_error`, `spread` and `mean`; one standard error is
    `uncertainty["back.width"]`, one spread `uncertainty["back.width", "spread"]`. The table's metadata has the unit of
    lengths, `kirtle.unit`, and `note`, `kirtle.note`.

    Propagation is to first order, so the standard errors are accurate for small errors of inputs. If `note` says that
    the number of darts changes within the errors, rely on `spread`, which is simulated.
    """
    def __eq__(self, other: object, /) -> bool: ...
    def __getitem__(self, quantity: str | tuple[str, str], /) -> float:
        """
        Return the standard error of a quantity, given by name; with `uncertainty["back.width", "spread"]`, its
        spread, and with `"mean"` its mean over the drafts with random errors.

        Where `note` is not empty, a standard error may be far too small: take mean and spread.

        Raises `InputError` for an unknown name.
        """
    def __hash__(self, /) -> int: ...
    def __reduce__(self, /) -> tuple[Any, tuple[Draft]]: ...
    def __repr__(self, /) -> str: ...
    @property
    def drafts(self, /) -> int:
        """
        Number of drafts with random errors that `spread` and `other_darts` come from.
        """
    @property
    def ellipses(self, /) -> list[Ellipse]:
        """
        Error ellipse of each named point of back and front.
        """
    @property
    def mean(self, /) -> list[float]:
        """
        Mean of each quantity over those drafts with random errors that have the quantity.
        """
    @property
    def note(self, /) -> str:
        """
        Shares of drafts with random errors that have another number of darts or are refused, measurements without an
        error, and errors of measurements that the body lacks, in words; empty if there are none.
        """
    @property
    def other_darts(self, /) -> int:
        """
        Number of drafts with random errors that have another number of darts than the draft.
        """
    @property
    def quantities(self, /) -> list[str]:
        """
        Names of the quantities, such as `back.width`, in the order of the rows.
        """
    @property
    def refused(self, /) -> int:
        """
        Number of drafts with random errors that are refused: an input is out of range, or the draft cannot be sewn.
        """
    @property
    def spread(self, /) -> list[float]:
        """
        Standard deviation of each quantity over those drafts with random errors that have the quantity.
        """
    @property
    def standard_errors(self, /) -> list[float]:
        """
        Standard error of each quantity.
        """
    @property
    def unit(self, /) -> str:
        """
        Unit of all lengths: `cm` or `in`.
        """
    @property
    def values(self, /) -> list[float]:
        """
        Value of each quantity in the draft.
        """

@final
class Vent:
    """
    Vent at the lower end of the centre back, as lines on the back piece.
    """
    def __eq__(self, value: object, /) -> bool: ...
    def __getnewargs__(self, /) -> tuple[str]: ...
    def __hash__(self, /) -> int: ...
    def __ne__(self, value: object, /) -> bool: ...
    def __new__(cls, /, json: str) -> Vent:
        """
        Restore a pickled result from its JSON.
        """
    def __repr__(self, /) -> str: ...
    @property
    def fold(self, /) -> list[list[float]]:
        """
        Ends (x, y) of the fold at the centre back, from the top of the vent to the hem.
        """
    @property
    def stitching(self, /) -> list[list[float]]:
        """
        Ends (x, y) of the line of stitches across the top, from the centre back to the edge of the extension.
        """
    def to_dict(self, /) -> dict[str, Any]:
        """
        Convert the result to a dict with the field names of its JSON document.
        """

@final
class WaistPiece:
    """
    Pattern piece that finishes the waist. Coordinates of a facing are those of its panel with the darts closed. In
    a waistband y runs along its length from one end at the centre back, x from the edge that is sewn to the waist.
    """
    def __eq__(self, value: object, /) -> bool: ...
    def __getnewargs__(self, /) -> tuple[str]: ...
    def __hash__(self, /) -> int: ...
    def __ne__(self, value: object, /) -> bool: ...
    def __new__(cls, /, json: str) -> WaistPiece:
        """
        Restore a pickled result from its JSON.
        """
    def __repr__(self, /) -> str: ...
    @property
    def area(self, /) -> float:
        """
        Area inside the cut line, in the square of the unit; for a piece on the fold, the area of one half.
        """
    @property
    def copies(self, /) -> int:
        """
        Number of times that the piece is cut.
        """
    @property
    def cut(self, /) -> list[Edge]:
        """
        Edges of the closed cut line.
        """
    @property
    def fold(self, /) -> list[list[float]] | None:
        """
        Line along which the waistband is folded, as two points (x, y); null for a facing.
        """
    @property
    def grain(self, /) -> list[list[float]]:
        """
        Grain line of the piece: upper end and lower end, each as (x, y).
        """
    @property
    def name(self, /) -> str:
        """
        Name of the piece: `waistband`, `back_facing` or `front_facing`.
        """
    @property
    def notches(self, /) -> list[Notch]:
        """
        Notches of the piece.
        """
    @property
    def on_fold(self, /) -> bool:
        """
        Whether the centre line of the piece lies on the fold of the cloth.
        """
    @property
    def seam(self, /) -> list[Edge]:
        """
        Edges of the closed seam line: those sewn to the waist have the role `waist`, a facing's lower edge `hem`.
        """
    @property
    def straight_folds(self, /) -> int:
        """
        Number of folds, of allowances and darts, at which the cut edge is straight because the waist next to the
        fold is too short or too curved to mirror.
        """
    def to_dict(self, /) -> dict[str, Any]:
        """
        Convert the result to a dict with the field names of its JSON document.
        """

def _panic() -> None:
    """
    Panic as a fault in the Rust code would. For tests only.
    """

def best_chart(source: Any, sizes: SupportsIndex, *, loss: str = "squared", tolerance: SupportsFloat | SupportsIndex | None = None, bounds: Mapping[str, tuple[float, float]] | None = None, ease: Ease | None = None, band: LogBand | None = None, grid: SupportsFloat | SupportsIndex | None = None, fixed: SupportsGetItem[int, tuple[SupportsFloat | SupportsIndex, SupportsFloat | SupportsIndex]] | None = None, drop: float | Sequence[float] | Mapping[float, int] | None = None, drop_classes: SupportsIndex | None = None, min_share: SupportsFloat | SupportsIndex = 0.0, steps: tuple[SupportsFloat | SupportsIndex, SupportsFloat | SupportsIndex] | None = None, restarts: SupportsIndex = 20, seed: SupportsIndex = 0, certify: bool = True, target_gap: SupportsFloat | SupportsIndex = 0.0, time_limit: SupportsFloat | SupportsIndex | None = None, columns: dict[str, Any] | None = None, unit: str = "cm") -> BestChart:
    """
    Search for the sizes by waist and hip with the least mean loss for the people of a table, and a bound of that loss.

    `loss` is a function of the differences between a person's girths and the size's girths: `"squared"`, `"absolute"`
    or `"log_band"` with a `band`, each summed over waist and hip, or `"within"` with a `tolerance`, whose mean is the
    share of people farther than `tolerance` from their size in waist or hip. Instead of one tolerance, `"within"` takes
    the `bounds` of the ease left by garments with an `ease`, as `fit_chart` does, each for waist and hip: the people
    served are then those whom `fit_chart` counts as served. `bounds` are in `unit`; `ease` keeps its own unit.

    `grid` allows only sizes whose waist and hip are multiples of this length, from 0.1 to 20 cm: 1 for whole
    centimetres, 2 for even ones. `fixed` are pairs of waist and hip of sizes that the chart must have; they count among
    `sizes`. The bound then holds for all charts under these constraints.

    `drop` gives the difference of hip and waist of every size: one for all sizes, a list from which each size has one,
    or a dict of drops, each with its largest number of sizes. `drop_classes` is a number of drops that the search
    chooses; the bound then holds for any drops. `min_share` is the smallest share of the people, from 0 to 1, that each
    size has: of the people it serves, if the loss is `"within"`, otherwise of those assigned to it. Fixed sizes have any
    drop and any share. With these, waists lie on the `grid`, by default 1 cm, or 1/2 in with `unit="in"`; but for one drop alone, the
    result is exactly optimal for the losses `"squared"` and `"within"`. `steps` fixes the increments of waist and hip
    from size to size, without other constraints.

    The search is a heuristic: it keeps the best result of `restarts` random starts. Equal seeds give equal charts.
    `source`, `columns` and `unit` are as in `fit_chart`, with the sampling weights in `columns`. Unmeasured people are
    left out and counted by reason in `refused`.

    The bound has a `certificate`, from which it can be recomputed. `certify=False` skips the certificate: the call is
    faster and its bound, that of one girth, weaker. A certified search stops early once loss minus bound is at most
    `target_gap` times the loss, from 0 to 1; equal arguments give equal charts. It also stops after `time_limit`
    seconds, from 0.001 to 1,000,000, with the chart and the bound found so far, which then depend on the machine.

    Raises `InputError` with all the problems at once, and `TypeError` for a source without an Arrow stream.

    >>> best = best_chart(simulate(500, seed=1), 4, loss="within", tolerance=3)
    >>> best.bound <= best.loss, len(best.sizes)
    (True, 4)
    >>> whole = best_chart(simulate(500, seed=1), 4, loss="within", tolerance=3, grid=1, fixed=[(72, 96)])
    >>> whole.sizes[0][:2], best.loss <= whole.loss
    ((72.0, 96.0), True)
    >>> classes = best_chart(simulate(500, seed=1), 4, loss="within", tolerance=3, drop={14: 2, 20: 2}, min_share=0.05)
    >>> sorted(hip - waist for waist, hip, _ in classes.sizes), min(classes.served) >= 0.05
    ([14.0, 14.0, 20.0, 20.0], True)
    >>> best_chart(simulate(500, seed=1), 4, loss="within")
    Traceback (most recent call last):
    kirtle.InputError: tolerance: missing: give the largest difference between a person's girth and a size's girth at which the size serves the person
    """

def best_chart_by_draft(source: Any, sizes: SupportsIndex, *, ease: Ease, rules: Rules | None = None, grid: SupportsFloat | SupportsIndex | None = None, drop: float | Sequence[float] | Mapping[float, int] | None = None, drop_classes: SupportsIndex | None = None, min_share: SupportsFloat | SupportsIndex = 0.0, restarts: SupportsIndex = 20, seed: SupportsIndex = 0, certify: bool = True, target_gap: SupportsFloat | SupportsIndex = 0.0, time_limit: SupportsFloat | SupportsIndex | None = None, columns: dict[str, Any] | None = None, unit: str = "cm") -> BestChart:
    """
    Search for the sizes by waist, hip and hip depth whose drafts lie nearest to the own drafts of the people of a table:
    the sizes that are altered least. Also computes a bound.

    The loss of a person is the distance of the size's draft from the person's own draft, `Draft.distance_to`; the mean
    loss is in `unit`. All drafts have the same `ease` and `rules`. The table has the columns `waist`, `hip` and
    `hip_depth`; `columns` maps each to the name of another column or to one number for everyone. People who are not
    measured, or whose own draft is refused, are left out and counted by reason in `refused`.

    The waist of each size is a multiple of `grid`, by default 1 cm or 1/2 in; so is its hip, unless it follows from a `drop`. Its
    hip depth is a multiple of half the grid. Each size has a person in one of the eight cells of the grid around it. A
    size whose draft is refused is not allowed. `drop`, `drop_classes` and `min_share`, the settings of the search and the
    result are as in `best_chart`; the result has `hip_depths`, and `chart()` needs only a length. There may be 30 million
    pairs of a person and an allowed size: a wider grid, or a sample of the people, has fewer.

    Raises `InputError` with all the problems at once, and `TypeError` for a source without an Arrow stream.

    >>> best = best_chart_by_draft(simulate(100, seed=1), 3, ease=Ease(waist=1.5, hip=5), grid=4)
    >>> best.bound <= best.loss < 2, len(best.hip_depths)
    (True, 3)
    >>> best.chart(length=60)["1"].hip_depth == best.hip_depths[0]
    True
    >>> best_chart_by_draft(simulate(100, seed=1), 3, ease=Ease(waist=1.5, hip=5), grid=0)
    Traceback (most recent call last):
    kirtle.InputError: grid: 0 cm is below the minimum of 0.1 cm
    """

def best_sizes(source: Any, sizes: SupportsIndex, *, girth: str, loss: str = "squared", tolerance: SupportsFloat | SupportsIndex | None = None, band: LogBand | None = None, columns: dict[str, Any] | None = None, unit: str = "cm") -> BestSizes:
    """
    Find the sizes by one girth with the least mean loss for the people of a table. The result is optimal.

    `girth` is `"waist"` or `"hip"`. `loss` is a function of the difference between a person's girth and the size's
    girth: `"squared"`, `"absolute"`, `"within"` with a `tolerance`, whose mean is the share of people farther than
    `tolerance` from their size, or `"log_band"` with a `band`. `source`, `columns` and `unit` are as in `fit_chart`,
    but the table needs only the column of the girth. Unmeasured people are left out and counted by reason in `refused`.

    The result has fewer sizes than `sizes` if more sizes do not lower the loss.

    Raises `InputError` with all the problems at once, and `TypeError` for a source without an Arrow stream.

    >>> best_sizes(simulate(1000, seed=1), 3, girth="hip").sizes[0][0] < 95
    True
    >>> best_sizes(simulate(1000, seed=1), 0, girth="hip")
    Traceback (most recent call last):
    kirtle.InputError: sizes: 0 is below the minimum of 1
    """

def chart_json(chart: str | bytes) -> str:
    """
    Answer a request on a chart of sizes in JSON, and return the report in JSON.

    The documents follow `schema("chart")` and `schema("sizes")`.

    Raises `InputError` with all the problems at once.

    >>> sizes = [{"name": name, "waist": waist, "hip": waist + 24, "hip_depth": 20, "length": 60} for name, waist in [("S", 68), ("M", 74)]]
    >>> report = json.loads(chart_json(json.dumps({"unit": "cm", "sizes": sizes, "ease": {"waist": 1.5, "hip": 5}})))
    >>> [size["name"] for size in report["sizes"]]
    ['S', 'M']
    >>> chart_json('{"unit": "cm", "sizes": []}')
    Traceback (most recent call last):
    kirtle.InputError: sizes: 0 sizes are given, at least 2 sizes needed
    """

def compare_charts(chart: SizeChart, source: Any, *, loss: str = "squared", tolerance: SupportsFloat | SupportsIndex | None = None, bounds: Mapping[str, tuple[float, float]] | None = None, ease: Ease | None = None, band: LogBand | None = None, grid: SupportsFloat | SupportsIndex | None = None, fixed: SupportsGetItem[int, tuple[SupportsFloat | SupportsIndex, SupportsFloat | SupportsIndex]] | None = None, drop: float | Sequence[float] | Mapping[float, int] | None = None, drop_classes: SupportsIndex | None = None, min_share: SupportsFloat | SupportsIndex = 0.0, splits: SupportsIndex = 1, by: str | None = None, restarts: SupportsIndex = 20, seed: SupportsIndex = 0, certify: bool = True, time_limit: SupportsFloat | SupportsIndex | None = None, columns: dict[str, Any] | None = None, unit: str = "cm") -> ChartComparison:
    """
    Compare a chart with the best chart of the same number of sizes, on people that neither chart was fitted to.

    `seed` splits the people of the table at random into two parts, each about half. `best_chart`, without `steps`,
    searches a chart for the first part, the training people. The charts are compared on the second part, the
    held-out people, as the loss on the training people is too optimistic.

    The losses of one split vary by chance: with several `splits`, from 1 to 1000, the losses are means over the splits,
    and `gain_interval` is a 95 % interval, by Student's t, of the gain: the loss of the given chart minus the loss of
    the best chart. Fewer than ten splits give a wide interval: at least ten splits are advised. Sizes and numbers of
    people are those of the first split.

    Each split costs a `best_chart` of half of the people, with its `certify` and with a `time_limit` of its own: some
    seconds for thousands of people. `certify=False` takes a fraction of that.

    `by` is the column of a group, such as an age band: `groups` of the result has the losses of each group, in charts
    for all groups together. The arguments of the loss, the constraints and `restarts` are as in `best_chart`; `source`,
    `columns` and `unit` are as in `fit_chart`, with the sampling weights in `columns`; `ease` keeps its own unit.
    Unmeasured people are left out and counted by reason in `refused`.

    Raises `InputError` with all the problems at once, also for a part without people, and `TypeError` for a source
    without an Arrow stream.

    >>> comparison = compare_charts(SizeChart.demo(), simulate(400, seed=1), restarts=3)
    >>> comparison.training + comparison.held_out, len(comparison.sizes)
    (400, 12)
    >>> compare_charts(SizeChart.demo(), simulate(0))
    Traceback (most recent call last):
    kirtle.InputError: waist: 0 numbers are given, at least 1 number needed
    hip: 0 numbers are given, at least 1 number needed
    """

def compare_fits(first: ChartFit, second: ChartFit) -> FitComparison:
    """
    Compare whom two charts serve among the same people: two results of `fit_chart` for one table, in one unit and order.

    They may differ in chart, ease, rules or bounds; people without a size must be the same in both.

    `difference` is the share served in the second fit minus that in the first, by weight. With replicates, its standard
    error and 95 % interval compare both charts on the same people in each replicate, as the intervals of the two fits do
    not. The numbers of people are not weighted.

    Raises `InputError` for fits of other people, or with other replicates.

    >>> people, options = simulate(1000, seed=1), {"ease": Ease(waist=1.5, hip=5), "bootstrap": 200}
    >>> narrow, wide = (fit_chart(SizeChart.demo(), people, tolerance=tolerance, **options) for tolerance in (2, 3))
    >>> comparison = compare_fits(narrow, wide)
    >>> comparison.only_first, comparison.difference == (comparison.only_second - comparison.only_first) / wide.count
    (0, True)
    >>> compare_fits(narrow, fit_chart(SizeChart.demo(), simulate(1000, seed=2), tolerance=2, **options))
    Traceback (most recent call last):
    kirtle.InputError: second: cannot be given together with first, a fit of other people
    """

def draft(body: Body, *, ease: Ease, rules: Rules | None = None) -> Draft:
    """
    Draft the front and back of a straight skirt from a body. The unit in which the body was given becomes the unit of
    the draft's documents and drawings.

    Raises `InputError` with all the problems at once, such as a hem above the hip line, darts without cloth between
    them, a dart tip below the hip line, or a side seam that is too flat.

    >>> draft(Body(waist=70, hip=96, hip_depth=18, length=60), ease=Ease(waist=1.5, hip=5)).back.width
    24.25
    >>> draft(Body(waist=70, hip=96, hip_depth=18, length=15), ease=Ease(waist=1.5, hip=5))
    Traceback (most recent call last):
    kirtle.InputError: body.length: 15 cm is too short: the hem must lie below the hip line; the minimum is 19 cm
    """

def draft_json(request: str | bytes, *, texts: Mapping[str, str] | None = None) -> str:
    """
    Draft a request in JSON and return the result in JSON.

    The documents follow `schema("request")` and `schema("result")`. The cautions of the result are worded with `texts`,
    as in `Draft.svg`.

    Raises `InputError` with all the problems at once; `InputError.to_json` follows `schema("error")`.

    >>> request = '{"unit": "cm", "body": {"waist": 70, "hip": 96, "hip_depth": 18, "length": 60}, "ease": {"waist": 0, "hip": 0}}'
    >>> json.loads(draft_json(request))["nominal"]["total"]
    13.0
    >>> draft_json("{}")
    Traceback (most recent call last):
    kirtle.InputError: unit: missing: give "cm" or "in"
    body: missing: give a JSON object
    ease: missing: give a JSON object
    """

def draft_stream(source: Any, *, columns: dict[str, Any] | None = None, ease: Ease | None = None, rules: Rules | None = None, keep: str | Sequence[str] | None = None, unit: str = "cm", outlines: bool = False, threads: int | None = None, progress: Any | None = None) -> DraftStream:
    """
    Draft the bodies of a table of any length, block by block, in constant memory.

    Arguments and columns are those of `draft_table`. The bodies are drafted while the stream is read; it can be
    read only once.

    >>> bodies = simulate(1000, seed=1)
    >>> rows = pyarrow.RecordBatchReader.from_stream(draft_stream(bodies, ease=Ease(waist=1.5, hip=5)))
    >>> sum(batch.num_rows for batch in rows)
    1000
    """

def draft_table(source: Any, *, columns: dict[str, Any] | None = None, ease: Ease | None = None, rules: Rules | None = None, keep: str | Sequence[str] | None = None, unit: str = "cm", outlines: bool = False, threads: int | None = None, progress: Any | None = None) -> DraftTable:
    """
    Draft every body of a table, one output row for each input row, in order. A panel is half of the back or front.

    A row that cannot be drafted has its problems in the lists `error_codes` and `error_fields` and in `error_text`;
    a draft has its cautions in the lists `findings` and `finding_panels`. A table is refused if waist or hip is out
    of range in more than nine tenths of its first 65,536 rows, but in range in another unit.

    `source` is any object with an Arrow stream, such as a table of pandas, polars, pyarrow or duckdb, a dataset of
    pyarrow, or an iterable of its record batches. `columns` maps the path of an input, such as `waist`, `ease.hip`
    or `rules.shares.back_share`, to the name of a column or to one number for all rows. A measurement that is
    missing in `columns` comes from the column of its own name. Lengths of both tables and numbers in `columns` are
    in `unit`; `ease` and `rules` have their own unit.

    `keep` names columns of the source that stand first in the result, unchanged, such as an identifier; `"all"`
    keeps all. `outlines=True` adds the outlines of back and front. `threads` is the number of threads, by default
    the number of processors. After each block of rows `progress` is called with the number of rows in the block.

    Raises `InputError` with all problems of the columns, and `TypeError` for a source without an Arrow stream.

    >>> people = pyarrow.table({"WAIST": [74.0, 7.4], "hip": [101.0, 101.0]})
    >>> columns = {"waist": "WAIST", "hip_depth": 20.5, "length": 62.0}
    >>> table = draft_table(people, columns=columns, ease=Ease(waist=1.5, hip=5))
    >>> table
    DraftTable(rows=2, refused=1, columns=35)
    >>> draft_table(people, columns=columns, ease=Ease(waist=1.5, hip=5), keep=["WAIST"]).columns[:2]
    ['WAIST', 'suppression_total']
    >>> pyarrow.table(table)["error_text"].to_pylist()
    [None, 'body.waist: 7.4 cm is below the minimum of 40 cm']
    >>> draft_table(people, columns={"waist": "GIRTH"}, ease=Ease(waist=1.5, hip=5))
    Traceback (most recent call last):
    kirtle.InputError: body.waist: "GIRTH" is not the name of exactly one column; the columns are WAIST, hip
    body.hip_depth: missing: give a column, or a number from 10 to 40 cm for all rows
    body.length: missing: give a column, or a number from 15 to 150 cm for all rows
    """

def drawing_texts(translation: str | bytes | None = None) -> dict[str, str]:
    """
    Return the texts of drawings, lessons and cautions: the English template of each key, with placeholders in braces.

    The argument `texts` of a method that draws maps some or all of these keys to templates in another language. Missing
    texts stay English, and a template need not use every placeholder.

    With `translation`, a text in JSON that follows `schema("texts")`, its templates replace the English ones. Raises
    `InputError` with all the problems of the translation at once.

    >>> drawing_texts()["hem_length"]
    'hem {length}'
    >>> drawing_texts('{"hem_length": "Saum {length}"}')["hem_length"]
    'Saum {length}'
    >>> drawing_texts('{"hem_length": 3}')
    Traceback (most recent call last):
    kirtle.InputError: texts.hem_length: 3 is not a text
    """

def fit_chart(chart: SizeChart, source: Any, *, ease: Ease, rules: Rules | None = None, tolerance: SupportsFloat | SupportsIndex | None = None, bounds: Mapping[str, tuple[float, float]] | None = None, columns: dict[str, Any] | None = None, by: str | None = None, replicates: SupportsGetItem[int, str] | None = None, replicate_factor: SupportsFloat | SupportsIndex | None = None, degrees_of_freedom: SupportsIndex | None = None, bootstrap: SupportsIndex | None = None, seed: SupportsIndex = 0, keep: str | Sequence[str] | None = None, unit: str = "cm", progress: Any | None = None) -> ChartFit:
    """
    Assign each person of a table to a size of a chart, and count the people that the chart serves.

    A size serves a person if the garment's girth minus the body's girth, the ease left, is within bounds. `bounds`
    gives the minimum and maximum ease left of each girth, as in `{"waist": (0, 3), "hip": (2, 8)}`. Waist or hip
    without bounds has the bounds `ease` ± `tolerance`.

    `source` is any object with an Arrow stream, with the columns `waist` and `hip`. `columns` maps `waist` or `hip` to
    the name of another column or to one number for everyone. If `columns` has `high_hip` and `high_hip_depth`, the
    distance of the high hip below the waist at the side, then `bounds` for the high hip apply too. Lengths of the
    table, `tolerance`, `bounds` and results are in `unit`: `"cm"`, `"in"` or `"mm"`. `ease` keeps its own unit, as in
    `Ease(waist=15, hip=50, unit="mm")`.

    A person gets the nearest size that serves, or else the size with the least violation of its bounds. A person with a
    number that is missing or out of range gets no size and is counted by reason in `refused`: a null or NaN, or a girth
    that no body has, such as 999, −9 or 0 (a waist is from 40 to 200 cm, a hip from 50 to 220 cm).

    If `columns` has `weight`, the column of sampling weights from 0 to 10⁹, shares are weighted; a person with a
    missing or negative weight is refused, and a person of weight 0 counts among the people, but not in shares. `by` is
    the column of a group, such as an age band: `groups` of the result has the share served of each group.

    Standard errors and 95 % intervals of shares come from a bootstrap with `bootstrap` replicates and `seed`, for
    simple random samples, or from the columns `replicates` of replicate weights, for any design. The variance is then
    `replicate_factor` × Σ (share of replicate − share)². The factor is 1/R for R balanced replicates, 1/(R (1 − k)²)
    with Fay's k, (R − 1)/R for the jackknife of one stratum. Intervals use Student's t with R degrees of freedom, or the
    `degrees_of_freedom` of the replicate weights, from 1 to 10,000, such as the number of clusters minus that of strata.

    `keep` names columns of the table that stand first in the rows of the result, such as an identifier; `"all"` keeps
    all. As each batch of the table is read, `progress` is called with its number of rows.

    Raises `InputError` with all the problems at once, and `TypeError` for a source without an Arrow stream.

    >>> people = pyarrow.table({"waist": [73.0, 90.0, None], "hip": [97.0, 104.0, 99.0]})
    >>> fit = fit_chart(SizeChart.demo(), people, ease=Ease(waist=1.5, hip=5), tolerance=2)
    >>> fit.served, fit.count, fit.unmeasured
    (1, 3, 1)
    >>> pyarrow.table(fit)["size"].to_pylist()
    ['38', '44', None]
    >>> [(refused.field, refused.code, refused.people) for refused in fit.refused]
    [('waist', 'missing', 1)]
    >>> people = people.append_column("age", [["20-39", "40-59", "40-59"]])
    >>> fit = fit_chart(SizeChart.demo(), people, ease=Ease(waist=1.5, hip=5), tolerance=2, by="age")
    >>> [(group.group, group.share_served) for group in fit.groups]
    [('20-39', 1.0), ('40-59', 0.0)]
    >>> fit_chart(SizeChart.demo(), people, ease=Ease(waist=1.5, hip=5))
    Traceback (most recent call last):
    kirtle.InputError: bounds.waist: missing: give the minimum and maximum ease, or a tolerance
    bounds.hip: missing: give the minimum and maximum ease, or a tolerance
    """

def format_length(value: SupportsFloat | SupportsIndex, ruler: str) -> str:
    """
    Return a length in the unit of a ruler, rounded to its step: `cm` to the millimetre, `in` to 1/16 in, `in 1/8`.

    Raises `InputError` for an unknown ruler.

    >>> format_length(72.46, "cm"), format_length(29.13, "in 1/8")
    ('72.5', '29 1/8')
    >>> format_length(72.5, "ell")
    Traceback (most recent call last):
    kirtle.InputError: unit: "ell" is not "cm" or "in" or "in 1/8"
    """

def new_partial(path: str | PathLike[str]) -> Path:
    """
    Create an empty partial file in the folder of `path`; the caller writes it and then calls `replace_by_partial`.

    Raises `InputError` for a device or a pipe, and `OSError` if no file can be created.
    """

def parse_length(text: str, unit: str, *, field: str = "length") -> float:
    """
    Return the length that a text gives, in `unit`, `"cm"`, `"in"` or `"mm"`.

    The text is a number with a decimal point or comma, or with a fraction, as on a tape: `29.5`, `29 1/2`, `29-1/2`,
    `29½`. It may end with a unit: `cm`, `mm`, `in` or `"`, also as `CM` or `in.`.

    Raises `InputError` with the problem of `field` for another text. No range is checked.

    >>> parse_length("29 1/8", "in"), parse_length("29 1/8 in", "cm")
    (29.125, 73.9775)
    >>> parse_length("29 1/0", "in", field="waist")
    Traceback (most recent call last):
    kirtle.InputError: waist: "29 1/0" is not a length such as 74, 29.5 or 29 1/2
    """

def replace_by_partial(path: str | PathLike[str], partial: str | PathLike[str]) -> None:
    """
    Rename `partial`, a file from `new_partial`, to `path`. A link stays a link, and an earlier file's permissions are
    kept.

    Raises `OSError` if renaming fails.
    """

def request_changes(before: str | bytes, after: str | bytes) -> dict[str, Any]:
    """
    Return the fields of two requests in JSON that differ: for each the values before and after, `None` for a field that
    a request does not have.

    `to_request` of a draft or a pattern gives its request. Lengths keep their units: requests in one unit compare best.

    Raises `InputError` with all the problems of a request at once.

    >>> skirt = draft(Body(waist=74, hip=101, hip_depth=20.5, length=62), ease=Ease(waist=1.5, hip=5))
    >>> request_changes(skirt.pattern(hem=4).to_request(), skirt.pattern(hem=6, vent=20).to_request())
    {'cutting.allowances.hem': [4.0, 6.0], 'cutting.vent': [None, 20.0], 'cutting.vent_width': [None, 4.0]}
    >>> request_changes("{}", skirt.to_request())
    Traceback (most recent call last):
    kirtle.InputError: unit: missing: give "cm" or "in"
    body: missing: give a JSON object
    ease: missing: give a JSON object
    """

def schema(name: str) -> dict[str, Any]:
    """
    Return the JSON Schema of a document as a dict.

    The name is `request`, `result`, `pattern`, `lay`, `fitting`, `chart`, `sizes`, `fit`, `best_chart`, `best_sizes`,
    `comparison`, `texts` or `error`.

    Raises `KeyError` for any other name.

    >>> schema("result")["$id"]
    'urn:kirtle:result:1'
    >>> schema("trousers")
    Traceback (most recent call last):
    KeyError: '"trousers" is not one of request, result, pattern, lay, fitting, chart, sizes, fit, best_chart, best_sizes, comparison, texts, error'
    """

def simulate(rows: SupportsIndex, *, seed: SupportsIndex = 0, start: SupportsIndex = 0, population: Population | None = None, unit: str = "cm") -> BodyTable:
    """
    Simulate bodies of a population, by default `Population.ansur_women()`.

    The table has the columns `waist`, `hip`, `hip_depth` and `length`, in `unit`. Each row depends only on the seed and
    the row number, counted from `start`, so several calls with consecutive starts give the same rows as one call. A few
    bodies are outside the ranges of a draft and cannot be drafted.

    Raises `InputError` for more than 100,000,000 rows.

    >>> pyarrow.table(simulate(3, seed=7)).column_names
    ['waist', 'hip', 'hip_depth', 'length']
    >>> simulate(3, seed=7)
    BodyTable(rows=3, columns=["waist", "hip", "hip_depth", "length"])
    >>> simulate(200_000_000)
    Traceback (most recent call last):
    kirtle.InputError: rows: 200000000 bodies are given, at most 100000000 bodies allowed
    """
