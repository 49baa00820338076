"""Shapely checks pieces laid on cloth: no overlap, nothing outside, nothing missing."""

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

import ezdxf.filemanagement
import numpy as np
import pytest
from conftest import outline, random_drafts
from jsonschema import Draft202012Validator
from pypdf import PdfReader
from shapely import LineString, Polygon, affinity, union_all

import kirtle

TOLERANCE = 0.005
"""Maximum deviation of a flattened curve in cm: 0.05 mm."""

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


def placed_polygons(lay: kirtle.Lay) -> list[Any]:
    return [polygon(piece.outline) for piece in lay.placed]


def test_pieces_do_not_overlap_and_lie_within_the_cloth() -> None:
    for _, lay in LAYS:
        usable_width = (lay.width / 2 if lay.folded else lay.width) - lay.selvedge
        pieces = placed_polygons(lay)
        assert all(one.intersection(other).area < 1e-6 for one, other in combinations(pieces, 2))
        left, top, right, bottom = union_all(pieces).bounds
        assert left > (0 if lay.folded else lay.selvedge) - TOLERANCE and top > -TOLERANCE and right < usable_width + TOLERANCE
        assert bottom == pytest.approx(lay.length, abs=TOLERANCE)


def test_the_free_strip_has_a_usual_width_in_each_unit() -> None:
    assert [PLAIN.lay(140).selvedge, PLAIN.lay(55, unit="in").selvedge] == pytest.approx([1, 0.375 * 2.54])
    assert PLAIN.lay(140, selvedge=0).selvedge == 0 and PLAIN.lay(140, selvedge=0) != PLAIN.lay(140)
    with pytest.raises(kirtle.InputError, match="cloth.selvedge: 6 cm is above the maximum of 5 cm"):
        PLAIN.lay(140, selvedge=6)


def test_a_lay_saved_as_pdf_is_one_page_with_its_scale(tmp_path: Path) -> None:
    for paper, size, scale in (("A4", (210, 297), 6), ("A3", (420, 297), 5)):
        PLAIN.lay(150, folded=False).save(tmp_path / "lay.pdf", paper=paper)
        (page,) = PdfReader(tmp_path / "lay.pdf").pages
        sides = [float(side) * 25.4 / 72 for side in (page.mediabox.width, page.mediabox.height)]
        assert sorted(sides) == pytest.approx(sorted(size), abs=1e-3)
        text = " ".join(page.extract_text().split())
        assert f"scale 1 : {scale}" in text and text.count("grain line") == 3 and "BACK" in text


def test_pieces_keep_half_a_centimetre_apart() -> None:
    """The distance leaves room for the shears."""
    for pattern, lay in LAYS:
        pieces = placed_polygons(lay)
        assert all(one.distance(other) > 0.5 - TOLERANCE for one, other in combinations(pieces, 2)), (pattern, lay)
    for width in np.arange(113.5, 117, 0.1):
        pieces = placed_polygons(PLAIN.lay(float(width), one_way=True))
        assert all(one.distance(other) > 0.5 - TOLERANCE for one, other in combinations(pieces, 2)), width


def test_only_pieces_on_the_fold_come_within_half_a_centimetre_of_it() -> None:
    for _, lay in LAYS:
        for piece, found in zip(lay.placed, placed_polygons(lay), strict=True):
            left = found.bounds[0]
            assert not lay.folded or (abs(left) < 1e-9 if piece.on_fold else left > 0.5 - 1e-9)


def test_every_piece_is_laid_the_right_number_of_times() -> None:
    """Folded cloth: the front on the fold and one back. Open cloth: a whole front, a back and its mirror image."""
    for _, lay in LAYS:
        pieces = sorted((piece.piece, piece.on_fold) for piece in lay.placed)
        if lay.folded:
            assert pieces == [("back", False), ("front", True)]
        else:
            assert pieces == [("back", False), ("back", False), ("front", False)]
            assert sorted(piece.mirrored for piece in lay.placed if piece.piece == "back") == [False, True]


def test_a_whole_front_is_never_mirrored() -> None:
    """On open cloth a front is rotated by 180° and keeps its right side up; on the fold, turning it head down flips it over."""
    fronts = [(lay, piece) for _, lay in LAYS for piece in lay.placed if piece.piece == "front"]
    for lay, piece in fronts:
        assert piece.mirrored is (lay.folded and piece.turned)
    assert {(lay.folded, piece.turned) for lay, piece in fronts} == set(product((True, False), repeat=2))


def test_each_placed_outline_is_the_cut_line_of_its_piece() -> None:
    """The cut line, mirrored, turned and shifted as the placed piece states, covers the placed outline."""
    # Every third lay, as unions in shapely are slow.
    for pattern, lay in LAYS[::3]:
        for piece, found in zip(lay.placed, placed_polygons(lay), strict=True):
            expected = polygon(edge.points for edge in getattr(pattern, piece.piece).cut)
            if piece.piece == "front" and not lay.folded:
                expected = union_all([expected, affinity.scale(expected, -1, origin=(0, 0))])
            x_sign = -1 if piece.mirrored != piece.turned else 1
            expected = affinity.scale(expected, x_sign, -1 if piece.turned else 1)
            expected = affinity.translate(expected, *np.subtract(found.bounds, expected.bounds)[:2])
            assert expected.symmetric_difference(found).area < 1e-3


def test_a_piece_on_the_fold_touches_it_along_its_whole_centre() -> None:
    for pattern, lay in LAYS:
        for piece, found in zip(lay.placed, placed_polygons(lay), strict=True):
            if piece.on_fold:
                (centre,) = (edge.length for edge in pattern.front.cut if edge.role == "centre")
                fold = LineString([(0, 0), (0, lay.length)])
                assert found.exterior.intersection(fold).length == pytest.approx(centre, abs=1e-6)


def test_the_grain_runs_along_the_cloth() -> None:
    for _, lay in LAYS:
        for piece, found in zip(lay.placed, placed_polygons(lay), strict=True):
            (start_x, start), (end_x, end) = piece.grain
            assert abs(start_x - end_x) < 1e-9 and (end < start) is piece.turned
            assert found.contains(LineString(piece.grain))
        assert not (lay.one_way and any(piece.turned for piece in lay.placed))
    assert any(piece.turned for _, lay in LAYS for piece in lay.placed)


def test_waste_and_length_to_buy_follow_from_the_outlines() -> None:
    for _, lay in LAYS:
        layers = 2 if lay.folded else 1
        cloth = layers * sum(piece.area for piece in placed_polygons(lay))
        assert lay.waste == pytest.approx(1 - cloth / (lay.length * lay.width), abs=1e-5)
        assert lay.to_buy_cm == 10 * math.ceil(lay.length / 10)
        assert lay.to_buy_yd == math.ceil(lay.length / 91.44 * 8) / 8


def test_lays_in_both_directions_are_never_longer_than_one_way_lays() -> None:
    """LAYS alternates: all pieces one way, then pieces in either direction."""
    shorter = 0
    for (_, one_way), (_, free) in zip(LAYS[::2], LAYS[1::2], strict=True):
        assert (one_way.one_way, free.one_way) == (True, False)
        assert free.length <= one_way.length + 1e-9
        shorter += free.length < one_way.length - 1
    assert shorter > 10


def test_open_cloth_is_never_longer_than_folded_cloth() -> None:
    """A lay on folded cloth can be unfolded. LAYS has four lays in a row for each width of a pattern."""
    for first in range(0, len(LAYS), 4):
        for folded, laid_open in ((first, first + 2), (first + 1, first + 3)):
            (_, one), (_, other) = LAYS[folded], LAYS[laid_open]
            assert (one.folded, other.folded, one.width) == (True, False, other.width) and one.one_way is other.one_way
            assert other.length <= one.length + 1e-9
    for width in np.arange(62, 180, 1.7):
        for one_way in (True, False):
            on_folded, on_open = (PLAIN.lay(width, folded=folded, one_way=one_way) for folded in (True, False))
            assert on_open.length <= on_folded.length + 1e-9
    with pytest.raises(kirtle.InputError, match="is too narrow for the widest piece"):
        PLAIN.lay(60)
    assert PLAIN.lay(60, folded=False).length > 0


def test_equal_lays_have_equal_hashes() -> None:
    equal_lays: list[Callable[[kirtle.Pattern], kirtle.Lay]] = [
        lambda pattern: pattern.lay(139.7, selvedge=1.27), lambda pattern: pattern.lay(55, unit="in", selvedge=0.5),
        lambda pattern: pattern.lay(139.7, folded=True, one_way=False, selvedge=1.27), lambda pattern: copy.copy(pattern).lay(139.7, selvedge=1.27),
        lambda pattern: pickle.loads(pickle.dumps(pattern.lay(139.7, selvedge=1.27))),
    ]
    lays = [lay(PLAIN) for lay in equal_lays]
    assert len(set(lays)) == 1 and all(lay == lays[0] and hash(lay) == hash(lays[0]) for lay in lays)
    others = [PLAIN.lay(139.7), PLAIN.lay(140), PLAIN.lay(139.7, one_way=True), PLAIN.lay(139.7, folded=False),
              PLAIN.draft.pattern(name="Ann").lay(139.7), PLAIN.draft.pattern(hem=2).lay(139.7)]
    assert len({*lays, *others}) == 1 + len(others)


def skirt(hip: float) -> kirtle.Pattern:
    body = kirtle.Body(waist=hip - 10, hip=hip, hip_depth=8, length=24, unit="in")
    return kirtle.draft(body, ease=kirtle.Ease(waist=0.5, hip=2, unit="in")).pattern(unit="in")


def test_the_length_to_buy_is_the_usual_one(draft: kirtle.Draft) -> None:
    """Published rule: skirt length plus allowances, of cloth 140 cm wide. Common practice: 1 to 1½ yd of cloth 45 in wide."""
    assert draft.body.length == 60 and draft.pattern().lay(140).to_buy_cm == 70
    assert all(1 <= skirt(hip).lay(45, unit="in").to_buy_yd <= 1.5 for hip in (38, 40, 42, 44))


@pytest.mark.parametrize("folded", [True, False])
@pytest.mark.parametrize(("unit", "in_cm", "step"), [("cm", 1, 0.1), ("in", 2.54, 0.04)])
def test_the_reported_minimum_width_suffices_and_less_is_refused(folded: bool, unit: str, in_cm: float, step: float) -> None:
    for pattern in PATTERNS:
        result = pattern.draft.to_dict(unit)
        request = {name: result[name] for name in ("unit", "body", "ease", "rules")}
        pattern = kirtle.Pattern.from_json(json.dumps(request))
        with pytest.raises(kirtle.InputError, match="is too narrow for the widest piece") as caught:
            pattern.lay(41 / in_cm, folded=folded)
        (problem,) = caught.value.problems
        assert (problem.code, problem.field, problem.unit) == ("cloth_too_narrow", "cloth.width", unit)
        assert isinstance(problem.limit, float) and pattern.lay(problem.limit, folded=folded).folded is folded
        with pytest.raises(kirtle.InputError, match="is too narrow for the widest piece"):
            pattern.lay(problem.limit - step, folded=folded)


@pytest.mark.parametrize("unit", ["cm", "in"])
def test_the_lay_document_satisfies_its_schema(draft: kirtle.Draft, unit: str, tmp_path: Path) -> None:
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
    """Returns the SVG group of each layer by the classes of its part and of itself, which together must be unique."""
    parts = ElementTree.fromstring(lay.svg()).findall(f"{SVG_NAME}g")
    found = [(f"{part.attrib['class']}-{layer.attrib['class']}", layer) for part in parts for layer in part]
    assert len(dict(found)) == len(found)
    return dict(found)


def corners(group: Any) -> list[Any]:
    """Returns the points of each path of an SVG group."""
    paths = [path.attrib["d"] for path in group.findall(f"{SVG_NAME}path")]
    return [np.array(re.findall(r"-?[\d.]+", path), float).reshape(-1, 2) for path in paths]


@pytest.mark.parametrize(("width", "folded"), [(140, True), (140, False), (62, True), (330, False)])
def test_a_lay_is_drawn_at_a_fifth_of_its_size(width: float, folded: bool) -> None:
    lay = PLAIN.lay(width, folded=folded)
    drawn, usable_width = groups(lay), width / 2 if folded else width
    edge = corners(drawn["selvedge-fold" if folded else "selvedge-guide"])
    lines = np.vstack([*edge, *corners(drawn["selvedge-guide"])])
    assert lines.max(axis=0) - lines.min(axis=0) == pytest.approx([usable_width * 2, lay.length * 2], abs=1e-3)
    origin = lines.min(axis=0)
    for k, piece in enumerate(lay.placed):
        (cut,) = corners(drawn[f"{piece.piece}-{k + 1}-cut"])
        outline = origin + 2 * np.vstack([piece.outline[0][:1], *(points[1:] for points in piece.outline)])
        # The last edge of a piece on the fold is the fold, which is not cut.
        assert cut == pytest.approx(outline[: len(cut)], abs=1e-3)
        assert len(cut) == len(outline) - piece.on_fold
        closed = drawn[f"{piece.piece}-{k + 1}-cut"].find(f"{SVG_NAME}path").attrib["d"].endswith("Z")
        assert closed is not piece.on_fold
        on_fold = np.abs(cut[:, 0] - origin[0]) < 1e-3
        assert not (folded and (on_fold[1:] & on_fold[:-1]).any())
    assert any(piece.on_fold for piece in lay.placed) is folded


def test_a_lay_of_open_cloth_is_saved_at_true_size_in_the_layers_of_the_pattern(tmp_path: Path) -> None:
    lay = PLAIN.lay(140, folded=False)
    lay.save(tmp_path / "lay.dxf")
    document = ezdxf.filemanagement.readfile(tmp_path / "lay.dxf")
    assert document.audit().errors == [] and 'width="1400mm"' in lay.true_size_svg()
    blocks = [block for block in document.blocks if not block.name.startswith("*")]
    assert sorted(block.name.split("_")[1] for block in blocks) == ["BACK", "BACK", "FRONT", "SELVEDGE"]
    for block, piece in zip(blocks, lay.placed, strict=False):
        (cut,) = block.query('POLYLINE[layer=="1"]')
        found = Polygon([vertex.dxf.location.vec2 for vertex in cut.vertices]).bounds  # type: ignore[attr-defined]
        x, y = np.vstack(piece.outline).T * 10
        assert found == pytest.approx((x.min(), lay.length * 10 - y.max(), x.max(), lay.length * 10 - y.min()), abs=0.1)
        assert {"4", "7", "8", "14", "15"} < {entity.dxf.layer for entity in block}
    request = json.loads(PLAIN.draft.to_request("in")) | {"ruler": "in 1/8", "cloth": {"width": 55, "folded": False}}
    lay = kirtle.Lay.from_json(json.dumps(request))
    assert lay.true_size_svg() == lay.true_size_svg("in 1/8") != lay.true_size_svg("in")


def test_a_lay_is_saved_and_displayed_as_svg(tmp_path: Path) -> None:
    lay = PLAIN.lay(140)
    lay.save(tmp_path / "lay.svg")
    assert (tmp_path / "lay.svg").read_text() == lay.svg() and "buy 70 cm." in lay.svg() and "buy 3/4 yd." in lay.svg("in")
    assert "<svg" in lay._repr_svg_() and "mm" not in lay._repr_svg_().split(">")[0]
    for name, message in (("lay.txt", "ends with .pdf, .svg, .dxf or .json"), ("lay.dxf", "^cloth.folded: cannot be"), ("lay", "ends with")):
        with pytest.raises(kirtle.InputError, match=message):
            lay.save(tmp_path / name)
    assert [path.name for path in tmp_path.iterdir()] == ["lay.svg"]
