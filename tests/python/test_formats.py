"""Independent readers open SVG and DXF; a browser prints the one; files are written whole or not at all."""

import errno
import io
import os
import resource
import shutil
import subprocess
from collections.abc import Callable
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import ezdxf.filemanagement
import numpy as np
import pypdfium2
import pytest
import shapely
from conftest import Points, outline
from ezdxf.lldxf.encoding import decode_dxf_unicode
from pages import FINE, lines, pdfium
from shapely import LinearRing, MultiLineString
from svgelements import SVG, Group
from svgelements import Path as Curve

import kirtle

NAME = "Zoë Ζωή Жанна №44"
KINDS = ["cloth", "guide", "grain", "dart", "seam", "cut", "notch", "text"]


@pytest.fixture
def pattern(draft: kirtle.Draft) -> kirtle.Pattern:
    return draft.pattern(name=NAME, preset="garment")


@pytest.fixture
def dxf(pattern: kirtle.Pattern, tmp_path: Path) -> Any:
    pattern.save(tmp_path / "pattern.dxf")
    return ezdxf.filemanagement.readfile(tmp_path / "pattern.dxf")


def test_svg_is_in_millimetres_with_a_group_for_each_layer(pattern: kirtle.Pattern) -> None:
    text = pattern.svg()
    root = ElementTree.fromstring(text)
    width, height = (float(root.attrib[side].removesuffix("mm")) for side in ("width", "height"))
    assert [float(side) for side in root.attrib["viewBox"].split()] == [0, 0, width, height]
    # Two panels with their allowances beside each other, below a head.
    assert 2 * 10 * pattern.back.cut[-2].length < width < 700 and 10 * 60 + 60 < height < 800
    parts = {part.attrib["id"]: part for part in root if part.tag.endswith("}g")}
    assert set(parts) == {"head", "Zoë-Ζωή-Жанна--44-back", "Zoë-Ζωή-Жанна--44-front"}
    for name, part in parts.items():
        kinds = {"head": ["guide", "text"], "Zoë-Ζωή-Жанна--44-back": KINDS}.get(name, [*KINDS[:3], "fold", *KINDS[3:]])
        assert [group.attrib["class"] for group in part] == kinds
        assert [group.attrib["id"] for group in part] == [f"{name}-{kind}" for kind in kinds]
    words = [element.text for element in root.iter() if element.tag.endswith("}text")]
    assert {"BACK", "FRONT", NAME, "cut 1 on the fold", "5 cm", "2 in"} < set(words)
    assert "<svg" in pattern._repr_svg_() and "mm" not in pattern._repr_svg_().split(">")[0]


def test_markup_in_a_name_is_no_markup(draft: kirtle.Draft) -> None:
    name = "<b>&amp; \"Ann's\"]]>"
    words = [element.text for element in ElementTree.fromstring(draft.pattern(name=name).svg()).iter()]
    assert words.count(name) == 2


def test_the_cut_line_of_the_svg_is_as_long_as_its_edges(pattern: kirtle.Pattern) -> None:
    svg = SVG.parse(io.StringIO(pattern.svg()), ppi=25.4)
    cuts = svg.select(lambda element: isinstance(element, Group) and element.values.get("class") == "cut")
    for group, piece in zip(cuts, (pattern.back, pattern.front), strict=True):
        (curve,) = group.select(lambda element: isinstance(element, Curve))
        edges = [edge for edge in piece.cut if edge.role != "centre" or not piece.on_fold]
        assert curve.length(error=1e-6) == pytest.approx(10 * sum(edge.length for edge in edges), abs=0.01)


@pytest.mark.skipif(shutil.which("chromium") is None, reason="chromium is not installed")
def test_a_browser_prints_the_svg_at_its_size(pattern: kirtle.Pattern, tmp_path: Path) -> None:
    svg = pattern.svg()
    width, height = (ElementTree.fromstring(svg).attrib[side] for side in ("width", "height"))
    # The groups' classes switch them, as a style sheet would.
    hidden = ", ".join(f".{kind}" for kind in [*KINDS, "fold"] if kind != "guide")
    style = f"@page {{ size: {width} {height}; margin: 0 }} body {{ margin: 0 }} {hidden} {{ display: none }}"
    (tmp_path / "page.html").write_text(f'<meta charset="utf-8"><style>{style}</style>{svg}', encoding="utf-8")
    options = ["--headless", "--no-sandbox", "--disable-gpu", "--no-pdf-header-footer",
               f"--user-data-dir={tmp_path / 'profile'}", f"--print-to-pdf={tmp_path / 'page.pdf'}"]
    subprocess.run(["chromium", *options, str(tmp_path / "page.html")], check=True, capture_output=True, timeout=60)
    page = pdfium((tmp_path / "page.pdf").read_bytes(), FINE)[0]
    # Through the middle of both squares, and down through each; the hip line is the next below.
    assert np.diff(lines(page[30 * FINE])) == pytest.approx([50, 5, 50.8], abs=0.1)
    for x, side in ((30, 50), (85, 50.8)):
        assert np.diff(lines(page[:, x * FINE])[:2]) == pytest.approx([side], abs=0.1)


def corners(line: Any) -> Points:
    found: Points = np.array([vertex.dxf.location.vec2 for vertex in line.vertices])
    return found


def on(block: Any, layer: str, kind: str) -> list[Any]:
    return [entity for entity in block if (entity.dxf.layer, entity.dxftype()) == (layer, kind)]


def test_dxf_is_sound_and_in_millimetres(pattern: kirtle.Pattern, dxf: Any) -> None:
    audit = dxf.audit()
    assert (audit.errors, audit.fixes, dxf.units, dxf.header["$MEASUREMENT"]) == ([], [], ezdxf.units.MM, 1)
    assert pattern.dxf().isascii() and not NAME.isascii()
    inserts = [(insert.dxf.name, tuple(insert.dxf.insert)) for insert in dxf.modelspace().query("INSERT")]
    blocks = [block.name for block in dxf.blocks if not block.name.startswith("*")]
    assert inserts == [(name, (0, 0, 0)) for name in blocks] and [name[:7] for name in blocks] == ["1_BACK_", "2_FRONT"]
    texts = [decode_dxf_unicode(text.dxf.text) for name in blocks for text in dxf.blocks[name].query("TEXT")]
    assert texts.count(NAME) == 2
    for words in ("Piece Name: back", "Piece Name: front", f"Size: {NAME}", "Quantity: 2", "Quantity: 1"):
        assert words in texts


@pytest.mark.parametrize(("name", "k", "towards_side"), [("back", 0, 1), ("front", 1, -1)])
def test_a_block_is_the_piece(pattern: kirtle.Pattern, dxf: Any, name: str, k: int, towards_side: int) -> None:
    piece, panel = getattr(pattern, name), getattr(pattern.draft, name)
    block = [block for block in dxf.blocks if not block.name.startswith("*")][k]
    (boundary,) = on(block, "1", "POLYLINE")
    assert boundary.is_closed
    drawn = corners(boundary)

    def placed(points: Any) -> Points:
        """Points of the piece in the drawing, y up; they meet where the cut line starts."""
        there: Points = drawn[0] + (np.asarray(points, float) - piece.cut[0].points[0]) * [10 * towards_side, -10]
        return there

    cut = placed(outline(edge.points for edge in piece.cut))
    assert shapely.hausdorff_distance(LinearRing(drawn), LinearRing(cut)) < 0.01
    seams = MultiLineString([corners(line) for line in on(block, "14", "POLYLINE")])
    # The dart's legs lie on a layer of their own, and the fold is not sewn.
    sewn = [edge for edge in piece.seam if edge.role != "dart" and not (piece.on_fold and edge.role == "centre")]
    for edge in sewn:
        assert shapely.distance(shapely.points(placed(outline([edge.points]))), seams).max() < 0.01
    assert seams.length == pytest.approx(10 * sum(edge.length for edge in sewn), abs=0.05)
    notches = [[line.dxf.start.vec2, line.dxf.end.vec2] for line in on(block, "4", "LINE")]
    assert np.array(notches) == pytest.approx(placed([cut for notch in piece.notches for cut in notch.cuts]), abs=1e-3)
    grain = [[line.dxf.start.vec2, line.dxf.end.vec2] for line in on(block, "7", "LINE")]
    assert np.array(grain) == pytest.approx(placed([piece.grain]), abs=1e-3)
    tips = [point.dxf.location.vec2 for point in on(block, "13", "POINT")]
    assert np.array(tips) == pytest.approx(placed([dart.tip for dart in panel.darts]), abs=1e-3)
    assert name.upper() in [text.dxf.text for text in on(block, "15", "TEXT")]


FORMATS: dict[str, Callable[[kirtle.Pattern], bytes]] = {
    "pattern.pdf": lambda pattern: pattern.pdf(),
    "PATTERN.PDF": lambda pattern: pattern.pdf(),
    "pattern.v2.svg": lambda pattern: pattern.svg().encode(),
    "pattern.Dxf": lambda pattern: pattern.dxf().encode("ascii"),
    "Schnittmuster für Ζωή.json": lambda pattern: pattern.to_json().encode(),
}


@pytest.mark.parametrize("name", FORMATS)
def test_the_end_of_the_name_tells_the_format(pattern: kirtle.Pattern, name: str, tmp_path: Path) -> None:
    for path in (tmp_path / name, str(tmp_path / name)):
        pattern.save(path)
        assert (tmp_path / name).read_bytes() == FORMATS[name](pattern)
    assert os.listdir(tmp_path) == [name]


def test_words_are_in_the_unit_that_was_asked_for(pattern: kirtle.Pattern, tmp_path: Path) -> None:
    for ending in ("pdf", "svg", "dxf", "json"):
        pattern.save(tmp_path / f"in.{ending}", unit="in", paper="roll 36 in")
    assert (tmp_path / "in.json").read_text() == pattern.to_json("in") != pattern.to_json("cm")
    words = pypdfium2.PdfDocument(tmp_path / "in.pdf")[0].get_textpage().get_text_range()
    for text in (words, pattern.svg("in"), (tmp_path / "in.dxf").read_text()):
        assert "opening to here, 7.87 in" in text


@pytest.mark.parametrize(("name", "paper", "message"), [
    ("pattern.txt", "A4", "^path: .* ends with .pdf, .svg, .dxf or .json$"),
    ("pattern", "A4", "^path: .* ends with"), ("pdf", "A4", "^path: .* ends with"),
    ("pattern.pdf", "foolscap", '^paper: "foolscap" is not A4, A3, '),
    ("pattern.pdf", "12 x 15 cm", "^paper: margins and overlap leave 90 x 120 mm"),
    ("pattern.pdf", "9 x 30 cm", "^paper.side: 90 mm is below the least of 100 mm"),
    ("pattern.pdf", "roll 500 cm", "^paper.side: 5000 mm is above the most of 4000 mm"),
])
def test_what_cannot_be_written_leaves_all_as_it_was(
    pattern: kirtle.Pattern, name: str, paper: str, message: str, tmp_path: Path
) -> None:
    (tmp_path / name).write_text("mine")
    with pytest.raises(kirtle.MeasurementError, match=message):
        pattern.save(tmp_path / name, paper=paper)
    assert os.listdir(tmp_path) == [name] and (tmp_path / name).read_text() == "mine"


@pytest.mark.parametrize(("place", "number"), [
    ("no/such/folder/pattern.pdf", errno.ENOENT), ("file/pattern.svg", errno.ENOTDIR), ("folder.dxf", errno.EISDIR),
    ("/proc/pattern.json", errno.ENOENT), ("x" * 300 + ".json", errno.ENAMETOOLONG),
])
def test_a_place_that_cannot_be_written_is_named(
    pattern: kirtle.Pattern, place: str, number: int, tmp_path: Path
) -> None:
    (tmp_path / "file").write_text("mine")
    (tmp_path / "folder.dxf").mkdir()
    with pytest.raises(OSError) as caught:
        pattern.save(tmp_path / place)
    assert (caught.value.errno, str(caught.value.filename)) == (number, str(tmp_path / place))
    assert sorted(os.listdir(tmp_path)) == ["file", "folder.dxf"] and (tmp_path / "file").read_text() == "mine"
    assert os.listdir(tmp_path / "folder.dxf") == []


def test_a_file_that_grows_too_large_leaves_the_old_one(pattern: kirtle.Pattern, tmp_path: Path) -> None:
    path = tmp_path / "pattern.pdf"
    path.write_text("mine")
    limits = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (4096, limits[1]))
    try:
        with pytest.raises(OSError, match="pattern.pdf") as caught:
            pattern.save(path)
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, limits)
    assert caught.value.errno == errno.EFBIG
    assert os.listdir(tmp_path) == ["pattern.pdf"] and path.read_text() == "mine"
