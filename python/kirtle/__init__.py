"""Kirtle drafts the straight skirt: from a body to a proven front and back.

>>> import kirtle
>>> body = kirtle.Body(waist=70, hip=96, hip_depth=18, length=60)
>>> draft = kirtle.draft(body, ease=kirtle.Ease(waist=1.5, hip=5))
>>> draft.front.width, len(draft.back.darts), draft.proof.holds
(26.25, 2, True)
"""

from ._kirtle import (
    Body,
    Check,
    Dart,
    Darts,
    Draft,
    Ease,
    Edge,
    Finding,
    FixedDart,
    Girths,
    Lay,
    Lengths,
    Notch,
    Panel,
    Pattern,
    Piece,
    Placed,
    Problem,
    Proof,
    Rules,
    Seams,
    Shares,
    Suppression,
    __version__,
    draft,
    draft_json,
    schema,
)
from .errors import MeasurementError

__all__ = [
    "Body",
    "Check",
    "Dart",
    "Darts",
    "Draft",
    "Ease",
    "Edge",
    "Finding",
    "FixedDart",
    "Girths",
    "Lay",
    "Lengths",
    "MeasurementError",
    "Notch",
    "Panel",
    "Pattern",
    "Piece",
    "Placed",
    "Problem",
    "Proof",
    "Rules",
    "Seams",
    "Shares",
    "Suppression",
    "__version__",
    "draft",
    "draft_json",
    "schema",
]
