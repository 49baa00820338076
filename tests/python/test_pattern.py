"""Shapely measures the pieces ready to cut; presets, copies and documents of a pattern."""

import copy
import json
import pickle
from collections.abc import Callable
from itertools import groupby
from typing import Any

import numpy as np
import pytest
import shapely
from conftest import Points, outline, random_drafts
from jsonschema import Draft202012Validator
from shapely import LineString, MultiLineString, Point, Polygon

import kirtle

OFF = 0.005
"""What a cut line may be off, in centimetres: half a tenth of a millimetre."""

PATTERNS = [
    draft.pattern(preset=preset, press=press)
    for draft in random_drafts(30)
    for preset in ("trial", "garment")
    for press in ("centre", "side")
]
PIECES = [(pattern, piece) for pattern in PATTERNS for piece in (pattern.back, pattern.front)]


def lines(edges: list[kirtle.Edge], role: str, places: int = 100) -> list[Points]:
    """The edges of a role, each as corners on it."""
    return [np.vstack([outline([edge.points], places), edge.points[-1]]) for edge in edges if edge.role == role]


def off(points: Points, line: Any) -> Points:
    distances: Points = shapely.distance(shapely.points(points), line)
    return distances


def mirrored(points: Points, through: Points, other: Points) -> Points:
    """The image on the other side of the line through two points."""
    along = (other - through) / np.hypot(*(other - through))
    images: Points = 2 * (through + np.outer((points - through) @ along, along)) - points
    return images


def polygon(edges: list[kirtle.Edge], places: int = 400) -> Any:
    return Polygon(outline((edge.points for edge in edges), places))


@pytest.mark.parametrize("role", ["waist", "side", "hem", "centre"])
def test_the_cut_line_lies_at_its_allowance(role: str) -> None:
    for pattern, piece in PIECES:
        wanted = pattern.allowances["centre_back" if role == "centre" else role]
        if piece.on_fold and role == "centre":
            wanted = 0
        seam, cut = lines(piece.seam, role), lines(piece.cut, role)
        assert np.abs(off(np.vstack(seam), MultiLineString(cut)) - wanted).max() < OFF
        # What is folded back at the ends goes on beyond the seam line, and so only farther from it.
        assert off(np.vstack(cut), MultiLineString(seam)).min() > wanted - OFF


def test_the_cut_line_is_simple_and_holds_the_seam_line() -> None:
    for _, piece in PIECES:
        cut = polygon(piece.cut)
        assert cut.is_valid and cut.exterior.is_simple
        assert cut.area == pytest.approx(piece.area, rel=1e-5)
        # On the fold the two lines are one.
        assert cut.buffer(1e-9).contains(polygon(piece.seam))
        assert [edge.points[-1] for edge in piece.cut] == [edge.points[0] for edge in piece.cut[1:] + piece.cut[:1]]


def test_a_folded_roof_lies_on_the_waist() -> None:
    """Over the fold, where it lies beyond it, and over the leg the edge of a roof comes to the edge below it."""
    folded = 0
    for pattern, piece in PIECES:
        darts = getattr(pattern.draft, "front" if piece.on_fold else "back").darts
        assert piece.straight_folds == 0
        waist = MultiLineString(lines(piece.cut, "waist", 400))
        roofs = [list(edges) for role, edges in groupby(piece.cut, lambda edge: edge.role) if role == "dart"]
        for dart, roof in zip(darts, roofs, strict=True):
            tip, leg = np.array(dart.tip), np.array(dart.inner if pattern.press == "centre" else dart.outer)
            points = outline((edge.points for edge in roof), 50)
            beyond = (points[:, 0] > tip[0]) == (pattern.press == "centre")
            points[beyond] = mirrored(points[beyond], tip, tip - [0, 1])
            assert off(mirrored(points, tip, leg), waist).max() < OFF
            folded += 1
    assert folded > 200


def side_notches(piece: kirtle.Piece) -> list[kirtle.Notch]:
    return [notch for notch in piece.notches if notch.place in ("hip_line", "lower_side")]


def test_side_notches_pair_up_and_lie_where_they_say() -> None:
    for pattern in PATTERNS:
        back, front = side_notches(pattern.back), side_notches(pattern.front)
        assert [notch.place for notch in back] == [notch.place for notch in front] == ["hip_line", "lower_side"]
        assert [notch.along for notch in back] == pytest.approx([notch.along for notch in front], abs=1e-10)
        assert [len(notch.cuts) for notch in back + front] == [2, 2, 1, 1]
        for piece in (pattern.back, pattern.front):
            seam = LineString(np.vstack(lines(piece.seam, "side", 400)))
            along = [seam.project(Point(notch.seam)) for notch in side_notches(piece)]
            assert along == pytest.approx([notch.along for notch in side_notches(piece)], abs=1e-3)


def test_the_notches_of_a_dart_meet_when_it_is_closed() -> None:
    """The waist is as long up to each of its legs; and the opening is as long as it says."""
    for pattern, piece in PIECES:
        stretches = np.cumsum([edge.length for edge in piece.seam if edge.role == "waist"])[:-1]
        legs = [notch.along for notch in piece.notches if notch.place == "dart_leg"]
        assert legs == pytest.approx(np.repeat(stretches, 2), abs=1e-10)
        ends = [notch.seam for notch in piece.notches if notch.place == "opening_end"]
        top = piece.seam[0].points[0][1]
        assert ends == ([] if piece.on_fold else [[0, pytest.approx(top + pattern.opening)]])


def test_notches_are_cut_from_the_cut_line_inwards() -> None:
    for _, piece in PIECES:
        cut = polygon(piece.cut, 100)
        for start, end in (cut for notch in piece.notches for cut in notch.cuts):
            assert cut.exterior.distance(Point(start)) < OFF
            assert cut.contains(Point(end)) and cut.exterior.distance(Point(end)) > 0.25
        doubles = np.array([notch.cuts for notch in piece.notches if len(notch.cuts) == 2])
        assert len(doubles) == (0 if piece.on_fold else 3)
        assert all(np.hypot(*(pair[1, 0] - pair[0, 0])) == pytest.approx(0.6) for pair in doubles)


@pytest.mark.parametrize(("unit", "preset", "round_values"), [
    ("cm", "trial", {"waist": 1, "side": 2, "hem": 1, "centre_back": 2}),
    ("cm", "garment", {"waist": 1, "side": 1.5, "hem": 4, "centre_back": 2}),
    ("in", "trial", {"waist": 0.5, "side": 1, "hem": 0.5, "centre_back": 1}),
    ("in", "garment", {"waist": 0.5, "side": 0.625, "hem": 1.5, "centre_back": 0.75}),
])
def test_presets_are_round_in_their_unit(
    draft: kirtle.Draft, unit: str, preset: str, round_values: dict[str, float]
) -> None:
    pattern = draft.pattern(preset=preset, unit=unit)
    document, (opening, in_cm) = pattern.to_dict(unit), {"cm": (20, 1), "in": (8, 2.54)}[unit]
    assert (document["allowances"], document["opening"]) == (round_values, opening)
    assert pattern.opening == pytest.approx(opening * in_cm, abs=1e-12) and pattern.press == "centre"
    assert pattern.allowances == pytest.approx({edge: value * in_cm for edge, value in round_values.items()}, abs=1e-12)
    assert draft.pattern(unit=unit) == draft.pattern(preset="trial", unit=unit)


def test_pieces_are_cut_as_they_say(draft: kirtle.Draft) -> None:
    pattern = draft.pattern(waist=0, side=1.2, hem=3, centre_back=2.5, opening=18, press="side", name="Ann")
    assert pattern.allowances == {"waist": 0, "side": 1.2, "hem": 3, "centre_back": 2.5}
    assert (pattern.opening, pattern.press, pattern.name, pattern.draft) == (18, "side", "Ann", draft)
    assert [(piece.copies, piece.on_fold) for piece in (pattern.back, pattern.front)] == [(2, False), (1, True)]
    assert [edge.points for edge in pattern.back.seam] == [edge.points for edge in draft.back.edges]
    for piece in (pattern.back, pattern.front):
        (x, upper), (same, lower) = piece.grain
        assert x == same and draft.body.hip_depth < upper < lower < draft.body.length
    assert [finding.code for finding in draft.pattern(opening=8).findings] == ["hip_cannot_pass"]


EVERY_CLASS: list[Callable[[kirtle.Pattern], object]] = [
    lambda pattern: pattern,
    lambda pattern: pattern.back,
    lambda pattern: pattern.back.notches[0],
    lambda pattern: pattern.back.cut[0],
    lambda pattern: pattern.lay(140),
    lambda pattern: pattern.lay(45, unit="in", one_way=True, folded=False),
    lambda pattern: pattern.lay(140).placed[0],
]


@pytest.mark.parametrize("part", EVERY_CLASS)
def test_classes_are_frozen_equal_hashable_and_copied(
    part: Callable[[kirtle.Pattern], object], draft: kirtle.Draft
) -> None:
    thing, again, other = (part(draft.pattern(waist=width, side=width)) for width in (1, 1, 1.5))
    for twin in (again, copy.copy(thing), copy.deepcopy(thing), pickle.loads(pickle.dumps(thing))):
        assert twin == thing and hash(twin) == hash(thing) and repr(twin) == repr(thing)
    assert thing != other and thing != object()
    with pytest.raises(AttributeError):
        setattr(thing, "name", "Bea")


@pytest.mark.parametrize("name", ["", "Ann", "Zoë's \"44\"\\", "Ζωή Жанна"])
def test_a_pattern_shows_itself_as_code(draft: kirtle.Draft, name: str) -> None:
    pattern = draft.pattern(name=name, preset="garment", press="side", unit="in")
    assert eval(repr(pattern), vars(kirtle)) == pattern


def wrong(**given: Any) -> Callable[[kirtle.Draft], object]:
    return lambda draft: draft.pattern(**given)


@pytest.mark.parametrize(("call", "expected"), [
    (wrong(side=-0.5), [("below_least", "cutting.allowances.side")]),
    (wrong(opening=59.5), [("opening_too_long", "cutting.opening")]),
    (wrong(press="left"), [("unknown_choice", "cutting.press")]),
    (wrong(preset="couture"), [("unknown_choice", "cutting.preset")]),
    (wrong(unit="ell"), [("unknown_choice", "unit")]),
    (wrong(name="Ann\nBea"), [("wrong_type", "cutting.name")]),
    (wrong(name="x" * 61), [("too_many", "cutting.name")]),
    (wrong(waist="1", side=True, hem=float("nan")),
     [("wrong_type", "cutting.allowances.waist"), ("wrong_type", "cutting.allowances.side"),
      ("not_finite", "cutting.allowances.hem")]),
    (wrong(waist=-1, hem=11, opening=4, press=1),
     [("below_least", "cutting.allowances.waist"), ("above_most", "cutting.allowances.hem"),
      ("below_least", "cutting.opening"), ("unknown_choice", "cutting.press")]),
    (lambda draft: draft.pattern().lay(0, folded="no"),
     [("below_least", "cloth.width"), ("wrong_type", "cloth.folded")]),
    (lambda draft: draft.pattern().to_dict("ell"), [("unknown_choice", "unit")]),
])
def test_wrong_input_gets_all_its_problems_at_once(
    call: Callable[[kirtle.Draft], object], expected: list[tuple[str, str]], draft: kirtle.Draft
) -> None:
    with pytest.raises(kirtle.MeasurementError) as caught:
        call(draft)
    assert [(problem.code, problem.field) for problem in caught.value.problems] == expected
    Draft202012Validator(kirtle.schema("error")).validate(json.loads(caught.value.to_json()))


@pytest.mark.parametrize("request_", [
    {"unit": "cm", "body": {"waist": 72, "hip": 98, "hip_depth": 20, "length": 60}, "ease": {"waist": 1.5, "hip": 5},
     "cutting": {"preset": "garment", "name": "Ann", "allowances": {"side": 2.2}, "opening": 19, "press": "side"},
     "cloth": {"width": 140, "folded": False, "one_way": True}},
    {"unit": "in", "body": {"waist": 28, "hip": 38, "hip_depth": 8, "length": 24}, "ease": {"waist": 0.5, "hip": 2},
     "cutting": {}, "cloth": {"width": 45}},
])
def test_a_request_gives_the_same_documents(request_: dict[str, Any]) -> None:
    text, unit, cloth = json.dumps(request_), request_["unit"], request_["cloth"]
    result = json.loads(kirtle.draft_json(text))
    pattern, lay = kirtle.Pattern.from_json(text), kirtle.Lay.from_json(text)
    for name, document in (("result", result), ("pattern", result["pattern"]), ("lay", result["lay"])):
        Draft202012Validator(kirtle.schema(name)).validate(document)
    assert result["pattern"] == pattern.to_dict() == json.loads(pattern.to_json())
    assert result["lay"] == lay.to_dict() == json.loads(lay.to_json())
    cutting = dict(request_["cutting"])
    allowances = cutting.pop("allowances", {})
    bare = kirtle.Draft.from_json(json.dumps({name: request_[name] for name in ("unit", "body", "ease")}))
    assert bare.pattern(**cutting, **allowances) == pattern and pattern.lay(**cloth) == lay
    assert pattern.to_dict("cm")["back"] == pattern.back.to_dict() and pattern.draft.document_unit == unit
