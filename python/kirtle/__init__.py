"""Kirtle drafts the straight skirt: from body measurements to front and back panels with a proof of every seam length.

>>> import kirtle
>>> body = kirtle.Body(waist=70, hip=96, hip_depth=18, length=60)
>>> draft = kirtle.draft(body, ease=kirtle.Ease(waist=1.5, hip=5))
>>> draft.front.width, len(draft.back.darts), draft.proof.holds
(26.25, 2, True)
"""

import contextlib as _contextlib
import sys as _sys

from . import _kirtle
from ._kirtle import *
from .result_tables import TABLES as _TABLES
from .text_tables import Table, compare_drafts, darts_by_ease, table
from .exceptions import InputError, InternalError

__all__ = ["InputError", "InternalError", "Table", "compare_drafts", "darts_by_ease", "table"]
__all__ += _kirtle.__all__
__all__.remove("_panic")
__all__.remove("new_partial")
__all__.remove("replace_by_partial")


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
