"""Kirtle drafts the straight skirt: from body measurements to front and back panels with a proof of every seam length.

>>> import kirtle
>>> body = kirtle.Body(waist=70, hip=96, hip_depth=18, length=60)
>>> draft = kirtle.draft(body, ease=kirtle.Ease(waist=1.5, hip=5))
>>> draft.front.width, len(draft.back.darts), draft.proof.holds
(26.25, 2, True)
"""

import contextlib as _contextlib
import sys as _sys

from ._kirtle import *
from ._kirtle import __version__
from .result_tables import TABLES as _TABLES
from .table_formats import Table
from .text_tables import compare_drafts, darts_by_ease, table
from .exceptions import InputError, InternalError

__all__ = [
    "Alteration",
    "BestChart",
    "BestSizes",
    "Body",
    "BodyTable",
    "Change",
    "ChartComparison",
    "ChartFit",
    "Check",
    "Choice",
    "Cost",
    "Dart",
    "Darts",
    "Draft",
    "DraftStream",
    "DraftTable",
    "Ease",
    "EaseByLevel",
    "Edge",
    "Ellipse",
    "Figure",
    "Finding",
    "FitComparison",
    "Fitting",
    "GivenDart",
    "Girths",
    "GradeIncrement",
    "GroupComparison",
    "GroupFit",
    "InputError",
    "InternalError",
    "KeyLengths",
    "Lay",
    "Lengths",
    "Lesson",
    "LogBand",
    "Nest",
    "Notch",
    "Panel",
    "Pattern",
    "Piece",
    "Placed",
    "Population",
    "Problem",
    "Proof",
    "RefusedPeople",
    "Rows",
    "Rules",
    "Seams",
    "Sensitivity",
    "Shares",
    "SizeChart",
    "SizeDifference",
    "SizeRange",
    "Solutions",
    "StandardErrors",
    "Suppression",
    "Table",
    "Uncertainty",
    "Vent",
    "WaistPiece",
    "__version__",
    "best_chart",
    "best_chart_by_draft",
    "best_sizes",
    "chart_json",
    "compare_charts",
    "compare_drafts",
    "compare_fits",
    "darts_by_ease",
    "draft",
    "draft_json",
    "draft_stream",
    "draft_table",
    "drawing_texts",
    "fit_chart",
    "format_length",
    "parse_length",
    "request_changes",
    "schema",
    "simulate",
    "table",
]


def _html_of_result(result: object) -> str | None:
    """Return a result for a notebook: as an HTML table, or as a small picture with its main numbers; None if its drawing says all."""
    from .result_pictures import PICTURES  # Imported where a notebook displays a result.

    html: str | None = PICTURES.get(type(result), lambda one: table(one).html())(result)
    return html


for _shown in _TABLES:
    setattr(_shown, "_repr_html_", _html_of_result)
setattr(Sensitivity, "_ipython_key_completions_", lambda rates: [(name, by) for name in rates.quantities for by in rates.inputs])
setattr(Uncertainty, "_ipython_key_completions_", lambda errors: errors.quantities)
if _shell := getattr(_sys.modules.get("IPython"), "get_ipython", lambda: None)():
    from .completion import install as _install

    with _contextlib.suppress(ImportError, AttributeError):  # A shell with another interface for completion is left as it is.
        _install(_shell)
