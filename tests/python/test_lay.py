"""Shapely looks at pieces laid on cloth: nothing overlaps, nothing lies outside, nothing is missing."""

import copy
import json
import math
import pickle
import re
from collections.abc import Callable
from itertools import combinations, product
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import numpy as np
import pytest
from conftest import outline, random_drafts
from jsonschema import Draft202012Validator
from shapely import LineString, Polygon, affinity, union_all

import kirtle

OFF = 0.005
"""By how much a curve may lie off, in centimetres: half a tenth of a millimetre."""

PATTERNS = [draft.pattern() for draft in random_drafts(15)]
PLAIN = kirtle.draft(
    kirtle.Body(waist=72, hip=98, hip_depth=20, length=60), ease=kirtle.Ease(waist=1.5, hip=5)
).pattern()
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


def test_there_is_room_for_the_shears() -> None:
    """Between any two pieces, and between the fold and what does not lie on it, half a centimetre."""
    for pattern, lay in LAYS:
        pieces = placed(lay)
        assert all(one.distance(other) > 0.5 - OFF for one, other in combinations(pieces, 2)), (pattern, lay)
    for width in np.arange(113.5, 117, 0.1):
        pieces = placed(PLAIN.lay(float(width), one_way=True))
        assert all(one.distance(other) > 0.5 - OFF for one, other in combinations(pieces, 2)), width


def test_only_what_is_cut_on_the_fold_comes_near_it() -> None:
    for _, lay in LAYS:
        for piece, found in zip(lay.placed, placed(lay), strict=True):
            left = found.bounds[0]
            assert not lay.folded or (abs(left) < 1e-9 if piece.on_fold else left > 0.5 - 1e-9)


def test_everything_is_cut_and_nothing_twice() -> None:
    """Two layers: the front on the fold and one back. One layer: a whole front, a back and its mirror image."""
    for _, lay in LAYS:
        pieces = sorted((piece.piece, piece.on_fold) for piece in lay.placed)
        if lay.folded:
            assert pieces == [("back", False), ("front", True)]
        else:
            assert pieces == [("back", False), ("back", False), ("front", False)]
            assert sorted(piece.mirrored for piece in lay.placed if piece.piece == "back") == [False, True]


def test_a_front_that_is_opened_out_is_never_mirrored() -> None:
    """Turned about it shows the same side; on the fold it is turned over, and so shows its other side."""
    fronts = [(lay, piece) for _, lay in LAYS for piece in lay.placed if piece.piece == "front"]
    for lay, piece in fronts:
        assert piece.mirrored is (lay.folded and piece.turned)
    assert {(lay.folded, piece.turned) for lay, piece in fronts} == set(product((True, False), repeat=2))


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


def test_open_cloth_takes_no_more_than_folded() -> None:
    """Whatever lies in two layers lies in one, unfolded; by width the four lays of a pattern follow each other."""
    for first in range(0, len(LAYS), 4):
        for folded, laid_open in ((first, first + 2), (first + 1, first + 3)):
            (_, one), (_, other) = LAYS[folded], LAYS[laid_open]
            assert (one.folded, other.folded, one.width) == (True, False, other.width) and one.one_way is other.one_way
            assert other.length <= one.length + 1e-9
    for width in np.arange(60, 180, 1.7):
        for one_way in (True, False):
            on_folded, on_open = (PLAIN.lay(width, folded=folded, one_way=one_way) for folded in (True, False))
            assert on_open.length <= on_folded.length + 1e-9
    with pytest.raises(kirtle.InputError, match="is narrower than"):
        PLAIN.lay(58)
    assert PLAIN.lay(58, folded=False).length > 0


def test_lays_that_are_equal_have_one_hash() -> None:
    alike: list[Callable[[kirtle.Pattern], kirtle.Lay]] = [
        lambda pattern: pattern.lay(139.7), lambda pattern: pattern.lay(55, unit="in"),
        lambda pattern: pattern.lay(139.7, folded=True, one_way=False), lambda pattern: copy.copy(pattern).lay(139.7),
        lambda pattern: pickle.loads(pickle.dumps(pattern.lay(139.7))),
    ]
    lays = [lay(PLAIN) for lay in alike]
    assert len(set(lays)) == 1 and all(lay == lays[0] and hash(lay) == hash(lays[0]) for lay in lays)
    others = [PLAIN.lay(140), PLAIN.lay(139.7, one_way=True), PLAIN.lay(139.7, folded=False),
              PLAIN.draft.pattern(name="Ann").lay(139.7), PLAIN.draft.pattern(hem=2).lay(139.7)]
    assert len({*lays, *others}) == 1 + len(others)


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
        with pytest.raises(kirtle.InputError, match="is narrower than the widest piece takes") as caught:
            pattern.lay(41 / in_cm, folded=folded)
        (problem,) = caught.value.problems
        assert (problem.code, problem.field, problem.unit) == ("cloth_too_narrow", "cloth.width", unit)
        assert isinstance(problem.limit, float) and pattern.lay(problem.limit, folded=folded).folded is folded
        with pytest.raises(kirtle.InputError, match="is narrower than the widest piece takes"):
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


SVG_NAME = "{http://www.w3.org/2000/svg}"


def groups(lay: kirtle.Lay) -> dict[str, Any]:
    """The groups of a lay's drawing by their ids."""
    found = [group for group in ElementTree.fromstring(lay.svg()).iter(f"{SVG_NAME}g")]
    assert len({group.attrib["id"] for group in found}) == len(found)
    return {group.attrib["id"]: group for group in found}


def corners(group: Any) -> list[Any]:
    """The points that each line of a group is drawn by."""
    paths = [path.attrib["d"] for path in group.findall(f"{SVG_NAME}path")]
    return [np.array(re.findall(r"-?[\d.]+", path), float).reshape(-1, 2) for path in paths]


@pytest.mark.parametrize(("width", "folded"), [(140, True), (140, False), (60, True), (330, False)])
def test_a_lay_is_drawn_at_a_fifth_of_its_size(width: float, folded: bool) -> None:
    lay = PLAIN.lay(width, folded=folded)
    drawn, across = groups(lay), width / 2 if folded else width
    edge = corners(drawn["selvedge-fold" if folded else "selvedge-guide"])
    lines = np.vstack([*edge, *corners(drawn["selvedge-guide"])])
    assert lines.max(axis=0) - lines.min(axis=0) == pytest.approx([across * 2, lay.length * 2], abs=1e-3)
    fold = lines.min(axis=0)
    for k, piece in enumerate(lay.placed):
        (cut,) = corners(drawn[f"{piece.piece}-{k + 1}-cut"])
        outline = fold + 2 * np.vstack([piece.outline[0][:1], *(points[1:] for points in piece.outline)])
        # The last edge of what lies on the fold is the fold, which is not cut.
        assert cut == pytest.approx(outline[: len(cut)], abs=1e-3)
        assert len(cut) == len(outline) - piece.on_fold
        closed = drawn[f"{piece.piece}-{k + 1}-cut"].find(f"{SVG_NAME}path").attrib["d"].endswith("Z")
        assert closed is not piece.on_fold
        on_fold = np.abs(cut[:, 0] - fold[0]) < 1e-3
        assert not (folded and (on_fold[1:] & on_fold[:-1]).any())
    assert any(piece.on_fold for piece in lay.placed) is folded


def test_a_lay_is_saved_as_svg_and_shown(tmp_path: Path) -> None:
    lay = PLAIN.lay(140)
    lay.save(tmp_path / "lay.svg")
    assert (tmp_path / "lay.svg").read_text() == lay.svg() and "buy 70 cm or ¾ yd" in lay.svg()
    assert "<svg" in lay._repr_svg_() and "mm" not in lay._repr_svg_().split(">")[0]
    for name in ("lay.pdf", "lay.dxf", "lay"):
        with pytest.raises(kirtle.InputError, match="ends with .svg or .json"):
            lay.save(tmp_path / name)
    assert [path.name for path in tmp_path.iterdir()] == ["lay.svg"]
