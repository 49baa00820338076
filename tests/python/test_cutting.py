"""Shapely measures the pieces: cut lines, dart roofs, notches, openings, grain."""

from itertools import groupby
from typing import Any

import numpy as np
import pytest
import shapely
from conftest import Points, outline, random_drafts
from shapely import LineString, MultiLineString, Point, Polygon

import kirtle

TOLERANCE = 0.005
"""Maximum distance in cm of a point from the line that it should lie on: 0.05 mm."""

DRAFTS = random_drafts(30)
PATTERNS = [
    draft.pattern(preset=preset, press=press)
    for draft in DRAFTS
    for preset in ("trial", "garment")
    for press in ("centre", "side")
]
PIECES = [(pattern, piece) for pattern in PATTERNS for piece in (pattern.back, pattern.front)]


def polylines(edges: list[kirtle.Edge], role: str, per_curve: int = 100) -> list[Points]:
    """Returns each edge of a role, such as "waist", as a polyline with `per_curve` chords on a curve."""
    return [np.vstack([outline([edge.points], per_curve), edge.points[-1]]) for edge in edges if edge.role == role]


def distances(points: Points, line: Any) -> Points:
    """Returns the distance of each point from a line."""
    found: Points = shapely.distance(shapely.points(points), line)
    return found


def mirrored(points: Points, start: Points, end: Points) -> Points:
    """Reflects the points in the line from `start` to `end`."""
    along = (end - start) / np.hypot(*(end - start))
    images: Points = 2 * (start + np.outer((points - start) @ along, along)) - points
    return images


def polygon(edges: list[kirtle.Edge], per_curve: int = 400) -> Any:
    return Polygon(outline((edge.points for edge in edges), per_curve))


@pytest.mark.parametrize("role", ["waist", "side", "hem", "centre"])
def test_the_cut_line_is_offset_by_the_allowance_of_its_edge(role: str) -> None:
    for pattern, piece in PIECES:
        allowance = pattern.allowances["centre_back" if role == "centre" else role]
        if piece.on_fold and role == "centre":
            allowance = 0
        seam, cut = polylines(piece.seam, role), polylines(piece.cut, role)
        assert np.abs(distances(np.vstack(seam), MultiLineString(cut)) - allowance).max() < TOLERANCE
        # At the ends of an edge the cut line extends beyond the seam line, where its distance can only be larger.
        assert distances(np.vstack(cut), MultiLineString(seam)).min() > allowance - TOLERANCE


def test_the_cut_line_is_simple_and_contains_the_seam_line() -> None:
    for _, piece in PIECES:
        cut = polygon(piece.cut)
        assert cut.is_valid and cut.exterior.is_simple
        assert cut.area == pytest.approx(piece.area, rel=1e-5)
        # On the fold cut line and seam line coincide.
        assert cut.buffer(1e-9).contains(polygon(piece.seam))
        assert [edge.points[-1] for edge in piece.cut] == [edge.points[0] for edge in piece.cut[1:] + piece.cut[:1]]


def test_the_roof_of_a_folded_dart_lies_on_the_cut_waist() -> None:
    """Reflected in the fold line where it lies beyond that line, then in the dart leg, the roof meets the waist's cut line."""
    darts_folded = 0
    for pattern, piece in PIECES:
        darts = getattr(pattern.draft, "front" if piece.on_fold else "back").darts
        assert piece.straight_folds == 0
        waist = MultiLineString(polylines(piece.cut, "waist", 400))
        roofs = [list(edges) for role, edges in groupby(piece.cut, lambda edge: edge.role) if role == "dart"]
        for dart, roof in zip(darts, roofs, strict=True):
            tip, leg = np.array(dart.tip), np.array(dart.inner if pattern.press == "centre" else dart.outer)
            points = outline((edge.points for edge in roof), 50)
            beyond = (points[:, 0] > tip[0]) == (pattern.press == "centre")
            points[beyond] = mirrored(points[beyond], tip, tip - [0, 1])
            assert distances(mirrored(points, tip, leg), waist).max() < TOLERANCE
            darts_folded += 1
    assert darts_folded > 200


def side_notches(piece: kirtle.Piece) -> list[kirtle.Notch]:
    return [notch for notch in piece.notches if notch.place in ("hip_line", "lower_side")]


def test_side_notches_pair_up_at_their_stated_distance_along_the_seam() -> None:
    for pattern in PATTERNS:
        back, front = side_notches(pattern.back), side_notches(pattern.front)
        assert [notch.place for notch in back] == [notch.place for notch in front] == ["hip_line", "lower_side"]
        assert [notch.along for notch in back] == pytest.approx([notch.along for notch in front], abs=1e-10)
        assert [len(notch.cuts) for notch in back + front] == [2, 2, 1, 1]
        for piece in (pattern.back, pattern.front):
            seam = LineString(np.vstack(polylines(piece.seam, "side", 400)))
            along = [seam.project(Point(notch.seam)) for notch in side_notches(piece)]
            assert along == pytest.approx([notch.along for notch in side_notches(piece)], abs=1e-3)


def test_the_notches_of_a_dart_meet_when_it_is_closed() -> None:
    """Both legs of a dart have their notch at the same length along the sewn waist; the opening ends at its stated depth."""
    for pattern, piece in PIECES:
        lengths_to_dart = np.cumsum([edge.length for edge in piece.seam if edge.role == "waist"])[:-1]
        legs = [notch.along for notch in piece.notches if notch.place == "dart_leg"]
        assert legs == pytest.approx(np.repeat(lengths_to_dart, 2), abs=1e-10)
        ends = [notch.seam for notch in piece.notches if notch.place == "opening_end"]
        from_waist = LineString([point for edge in reversed(piece.seam) if edge.role == "centre" for point in reversed(edge.points)])
        assert ends == ([] if piece.on_fold else [pytest.approx(from_waist.interpolate(pattern.opening).coords[0])])


def test_notches_are_cut_from_the_cut_line_inwards() -> None:
    for pattern, piece in PIECES:
        cut = polygon(piece.cut, 100)
        for start, end in (cut for notch in piece.notches for cut in notch.cuts):
            assert cut.exterior.distance(Point(start)) < TOLERANCE
            assert cut.contains(Point(end)) and cut.exterior.distance(Point(end)) > 0.25
        doubles = np.array([notch.cuts for notch in piece.notches if len(notch.cuts) == 2])
        assert len(doubles) == (0 if piece.on_fold else 3)
        # Around the corner of a slanted centre back the cut line is longer than the seam.
        slant = np.arctan(pattern.draft.rules.centre_back_in / pattern.draft.body.hip_depth)
        longest = 0.6 + 2 * pattern.allowances["centre_back"] * np.tan(slant / 2)
        apart = [np.hypot(*(pair[1, 0] - pair[0, 0])) for pair in doubles]
        assert all(0.6 - 1e-6 <= distance <= longest + 1e-6 for distance in apart)
        assert piece.on_fold or apart[:2] == pytest.approx([0.6, 0.6])


@pytest.mark.parametrize("press", ["centre", "side"])
def test_no_notch_reaches_the_seam_line(press: str) -> None:
    """A notch cuts at most half of the allowance; where half is under 0.3 cm, the notch is a mark outside the cut line."""
    counts = {True: 0, False: 0}  # by whether the notch lies outside
    for draft in DRAFTS[:6]:
        for width in (0, 0.1, 0.3, 0.59, 0.6, 0.61, 1, 1.2, 1.5, 5):
            pattern = draft.pattern(waist=min(width, 2), side=width, centre_back=width, hem=width, press=press)
            for piece in (pattern.back, pattern.front):
                seam, cut = polygon(piece.seam, 200), polygon(piece.cut, 200)
                for notch in piece.notches:
                    edge = {"dart_leg": "waist", "opening_end": "centre_back"}.get(notch.place, "side")
                    allowance = pattern.allowances[edge]
                    for start, end in notch.cuts:
                        length, outside = np.hypot(*np.subtract(end, start)), allowance / 2 < 0.3
                        counts[outside] += 1
                        assert length == pytest.approx(0.3 if outside else min(allowance / 2, 0.6))
                        assert seam.distance(Point(start)) == pytest.approx(allowance, abs=TOLERANCE)
                        assert seam.distance(Point(end)) > max(0.3, allowance / 2) - TOLERANCE
                        assert LineString([start, end]).intersection(seam).length < TOLERANCE
                        assert cut.intersection(LineString([start, end])).length < TOLERANCE if outside else (
                            cut.buffer(TOLERANCE).contains(LineString([start, end])))
    assert min(counts.values()) > 250


@pytest.mark.parametrize(("length", "notch_names"), [
    (21, ["hip_line"]), (25.9, ["hip_line"]), (26.1, ["hip_line", "lower_side"]), (60, ["hip_line", "lower_side"]),
])
def test_a_short_side_has_no_lower_notch(length: float, notch_names: list[str]) -> None:
    body = kirtle.Body(waist=72, hip=98, hip_depth=20, length=length)
    pattern = kirtle.draft(body, ease=kirtle.Ease(waist=1.5, hip=5)).pattern()
    for piece in (pattern.back, pattern.front):
        notches = side_notches(piece)
        assert [notch.place for notch in notches] == notch_names
        levels = [y for notch in notches for (_, y), _ in notch.cuts]
        assert all(20 <= y <= length for y in levels) and len(set(levels)) == len(levels)


def test_the_default_opening_fits_the_centre_back_seam() -> None:
    """The default is the usual length, or the whole of a shorter seam; an explicit opening longer than the seam is refused."""
    ease = kirtle.Ease(waist=1.5, hip=5)
    for length, unit, opening in ((15, "cm", None), (15, "in", None), (60, "cm", 20), (60, "in", 20.32)):
        draft = kirtle.draft(kirtle.Body(waist=72, hip=98, hip_depth=10, length=length), ease=ease)
        pattern, seam = draft.pattern(unit=unit), draft.lengths.centre_back
        assert pattern.opening == pytest.approx(opening or seam, abs=1e-12) and pattern.opening <= seam
        (end,) = (notch for notch in pattern.back.notches if notch.place == "opening_end")
        # A double notch at the very end of the seam has its second cut above the first.
        ends = sorted(y for (_, y), _ in end.cuts)
        assert len(ends) == 2 and ends[1] - ends[0] == pytest.approx(0.6)
        assert max(end.seam[1], ends[1]) <= length
        assert polygon(pattern.back.cut).buffer(TOLERANCE).contains(MultiLineString(end.cuts))
        with pytest.raises(kirtle.InputError, match="is longer than the centre back seam of"):
            draft.pattern(opening=seam + 0.01)
        assert draft.pattern(opening=seam).opening == seam


def test_the_grain_runs_from_below_the_darts_to_above_the_hem() -> None:
    for pattern, piece in PIECES:
        panel = pattern.draft.front if piece.on_fold else pattern.draft.back
        (x, upper), (lower_x, lower) = piece.grain
        tips = [dart.tip[1] for dart in panel.darts]
        inset = panel.edges[0].points[0][0]
        assert x == lower_x == inset + (panel.width - inset) / 4 and lower == pattern.draft.body.length - 2
        assert upper == pytest.approx(max([*tips, 0, panel.waist_lowering]) + 2)


@pytest.mark.parametrize("length", [21.0, 22.0, 23.0])
def test_the_grain_line_of_a_short_skirt_stays_within_the_piece(length: float) -> None:
    """The worst case: a dart ends just above the hip line, and the hem lies just below it."""
    long_dart = kirtle.Darts(back=[kirtle.GivenDart(intake=3, length=18.5, place=0.5)], front=[])
    body = kirtle.Body(waist=72, hip=98, hip_depth=20, length=length)
    pattern = kirtle.draft(body, ease=kirtle.Ease(waist=1.5, hip=5), rules=kirtle.Rules(darts=long_dart)).pattern()
    for piece in (pattern.back, pattern.front):
        assert polygon(piece.seam).contains(LineString(piece.grain)), piece.grain


def edge_length(edges: list[kirtle.Edge], role: str) -> float:
    return float(sum(LineString(line).length for line in polylines(edges, role, 1000)))


def test_a_waistband_is_as_long_as_the_waist_and_its_underlap() -> None:
    for draft in DRAFTS:
        pattern = draft.pattern(pieces=("back", "front", "waistband"), waistband_width=4, underlap=2.5)
        (band,) = pattern.waist_pieces
        assert band.copies == 1 and band.fold and pattern.proof and pattern.proof.holds
        x, y, width, length = polygon(band.seam).bounds
        waist = 2 * sum(edge_length(piece.seam, "waist") for piece in (pattern.back, pattern.front))
        assert (x, y, width) == (0, 0, 8) and length == pytest.approx(waist + 2.5, abs=1e-4)
        assert polygon(band.cut).equals(polygon(band.seam).buffer(1, join_style="mitre"))
        assert [x for x, _ in band.fold] == [4, 4]


def test_a_facing_is_as_deep_as_asked_everywhere_and_contains_its_grain() -> None:
    for draft in DRAFTS:
        pattern = draft.pattern(pieces=("back", "front", "facing"), facing_depth=7)
        assert pattern.proof and pattern.proof.holds
        for facing, piece in zip(pattern.waist_pieces, (pattern.back, pattern.front), strict=True):
            assert facing.copies == piece.copies and facing.on_fold == piece.on_fold
            assert edge_length(facing.seam, "waist") == pytest.approx(edge_length(piece.seam, "waist"), abs=1e-9)
            lower = np.vstack(polylines(facing.seam, "hem", 200))
            waist = MultiLineString(polylines(facing.seam, "waist", 400))
            assert distances(lower, waist) == pytest.approx(7, abs=TOLERANCE)
            cut, seam = polygon(facing.cut), polygon(facing.seam)
            assert cut.is_valid and cut.exterior.is_simple and cut.buffer(1e-9).contains(seam)
            assert seam.contains(LineString(facing.grain))
