"""Shapely looks at pieces laid on cloth: nothing overlaps, nothing lies outside, nothing is missing."""

import json
import math
from itertools import combinations, product
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from conftest import outline, random_drafts
from jsonschema import Draft202012Validator
from shapely import LineString, Polygon, affinity, union_all

import kirtle

OFF = 0.005
"""By how much a curve may lie off, in centimetres: half a tenth of a millimetre."""

PATTERNS = [draft.pattern() for draft in random_drafts(15)]
WIDTHS = [(90, "cm"), (115, "cm"), (140, "cm"), (150, "cm"), (45, "in"), (54, "in"), (60, "in")]

LAYS = [
    (pattern, pattern.lay(width, unit=unit, folded=folded, one_way=one_way))
    for pattern, (width, unit), folded, one_way in product(PATTERNS, WIDTHS, (True, False), (True, False))
]


def polygon(edges: Any) -> Any:
    return Polygon(outline(edges, 60))


def placed(lay: kirtle.Lay) -> list[Any]:
    return [polygon(piece.outline) for piece in lay.placed]


def test_pieces_lie_apart_and_on_the_cloth() -> None:
    for _, lay in LAYS:
        across = lay.width / 2 if lay.folded else lay.width
        pieces = placed(lay)
        assert all(one.intersection(other).area < 1e-6 for one, other in combinations(pieces, 2))
        left, top, right, bottom = union_all(pieces).bounds
        assert left > -OFF and top > -OFF and right < across + OFF
        assert bottom == pytest.approx(lay.length, abs=OFF)


def test_everything_is_cut_and_nothing_twice() -> None:
    """Two layers: the front on the fold and one back. One layer: a whole front, a back and its mirror image."""
    for _, lay in LAYS:
        pieces = sorted((piece.piece, piece.on_fold) for piece in lay.placed)
        if lay.folded:
            assert pieces == [("back", False), ("front", True)]
        else:
            assert pieces == [("back", False), ("back", False), ("front", False)]
            assert sorted(piece.mirrored for piece in lay.placed if piece.piece == "back") == [False, True]


def test_each_piece_is_the_one_of_the_pattern() -> None:
    """Turned over and around as it says, and moved, each outline is the cut line of its piece."""
    # Every third: shapely takes its time over unions.
    for pattern, lay in LAYS[::3]:
        for piece, found in zip(lay.placed, placed(lay), strict=True):
            made = polygon(edge.points for edge in getattr(pattern, piece.piece).cut)
            if piece.piece == "front" and not lay.folded:
                made = union_all([made, affinity.scale(made, -1, origin=(0, 0))])
            across = -1 if piece.mirrored != piece.turned else 1
            made = affinity.scale(made, across, -1 if piece.turned else 1)
            made = affinity.translate(made, *np.subtract(found.bounds, made.bounds)[:2])
            assert made.symmetric_difference(found).area < 1e-3


def test_what_lies_on_the_fold_touches_it_along_its_centre() -> None:
    for pattern, lay in LAYS:
        for piece, found in zip(lay.placed, placed(lay), strict=True):
            if piece.on_fold:
                (centre,) = (edge.length for edge in pattern.front.cut if edge.role == "centre")
                fold = LineString([(0, 0), (0, lay.length)])
                assert found.exterior.intersection(fold).length == pytest.approx(centre, abs=1e-6)


def test_the_grain_runs_along_the_cloth() -> None:
    for _, lay in LAYS:
        for piece, found in zip(lay.placed, placed(lay), strict=True):
            (x, start), (same, end) = piece.grain
            assert abs(x - same) < 1e-9 and (end < start) is piece.turned
            assert found.contains(LineString(piece.grain))
        assert not (lay.one_way and any(piece.turned for piece in lay.placed))
    assert any(piece.turned for _, lay in LAYS for piece in lay.placed)


def test_waste_and_length_to_buy_follow_from_the_outlines() -> None:
    for _, lay in LAYS:
        layers = 2 if lay.folded else 1
        cloth = layers * sum(piece.area for piece in placed(lay))
        assert lay.waste == pytest.approx(1 - cloth / (lay.length * lay.width), abs=1e-5)
        assert lay.to_buy_cm == 10 * math.ceil(lay.length / 10)
        assert lay.to_buy_yd == math.ceil(lay.length / 91.44 * 8) / 8


def test_freedom_never_takes_more_cloth() -> None:
    """The lays come in pairs: first with all pieces one way, then as they like."""
    saved = 0
    for (_, one_way), (_, free) in zip(LAYS[::2], LAYS[1::2], strict=True):
        assert (one_way.one_way, free.one_way) == (True, False)
        assert free.length <= one_way.length + 1e-9
        saved += free.length < one_way.length - 1
    assert saved > 10


def skirt(hip: float) -> kirtle.Pattern:
    body = kirtle.Body(waist=hip - 10, hip=hip, hip_depth=8, length=24, unit="in")
    return kirtle.draft(body, ease=kirtle.Ease(waist=0.5, hip=2, unit="in")).pattern(unit="in")


def test_as_much_as_is_usual(draft: kirtle.Draft) -> None:
    """Published: one length of the skirt with its allowances, of 140 cm cloth. Common practice: 1 to 1½ yd of 45 in."""
    assert draft.body.length == 60 and draft.pattern().lay(140).to_buy_cm == 70
    assert all(1 <= skirt(hip).lay(45, unit="in").to_buy_yd <= 1.5 for hip in (38, 40, 42, 44))


@pytest.mark.parametrize("folded", [True, False])
@pytest.mark.parametrize(("unit", "in_cm", "step"), [("cm", 1, 0.1), ("in", 2.54, 0.04)])
def test_the_least_width_is_enough_and_less_is_not(folded: bool, unit: str, in_cm: float, step: float) -> None:
    for pattern in PATTERNS:
        result = pattern.draft.to_dict(unit)
        request = {name: result[name] for name in ("unit", "body", "ease", "rules")}
        pattern = kirtle.Pattern.from_json(json.dumps(request))
        with pytest.raises(kirtle.MeasurementError, match="is narrower than the widest piece takes") as caught:
            pattern.lay(41 / in_cm, folded=folded)
        (problem,) = caught.value.problems
        assert (problem.code, problem.field, problem.unit) == ("cloth_too_narrow", "cloth.width", unit)
        assert isinstance(problem.limit, float) and pattern.lay(problem.limit, folded=folded).folded is folded
        with pytest.raises(kirtle.MeasurementError, match="is narrower than the widest piece takes"):
            pattern.lay(problem.limit - step, folded=folded)


@pytest.mark.parametrize("unit", ["cm", "in"])
def test_the_document_is_as_its_schema_says(draft: kirtle.Draft, unit: str, tmp_path: Path) -> None:
    lay = draft.pattern().lay(115, one_way=True)
    document, in_cm = lay.to_dict(unit), {"cm": 1, "in": 2.54}[unit]
    Draft202012Validator(kirtle.schema("lay")).validate(document)
    for name in ("width", "length"):
        assert document[name] * in_cm == pytest.approx(getattr(lay, name), rel=1e-14)
    for name in ("folded", "one_way", "to_buy_cm", "to_buy_yd", "waste"):
        assert document[name] == getattr(lay, name)
    assert lay.to_dict("cm")["placed"] == [piece.to_dict() for piece in lay.placed]
    lay.save(tmp_path / "lay.json", unit=unit)
    assert json.loads((tmp_path / "lay.json").read_text()) == document


def test_a_lay_is_drawn_at_a_fifth_of_its_size(draft: kirtle.Draft, tmp_path: Path) -> None:
    lay = draft.pattern().lay(140)
    lay.save(tmp_path / "lay.svg")
    svg = (tmp_path / "lay.svg").read_text()
    width, height = (float(part.split("mm")[0]) for part in svg.split('="')[2:4])
    assert svg == lay.svg() and "buy 70 cm or ¾ yd" in svg
    assert 140 / 2 * 2 < width < 140 + 20 and lay.length * 2 < height < lay.length * 2 + 40
    assert "<svg" in lay._repr_svg_() and "mm" not in lay._repr_svg_().split(">")[0]
    for name in ("lay.pdf", "lay.dxf", "lay"):
        with pytest.raises(kirtle.MeasurementError, match="ends with .svg or .json"):
            lay.save(tmp_path / name)
    assert [path.name for path in tmp_path.iterdir()] == ["lay.svg"]
