"""Independent readers open SVG and DXF; a browser prints SVG."""

import io
import re
import shutil
import subprocess
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import ezdxf.filemanagement
import numpy as np
import pytest
import shapely
from conftest import Points, outline
from ezdxf.lldxf.encoding import decode_dxf_unicode
from ezdxf.tools.text import plain_text
from pages import PX_PER_MM, line_centres_mm, pdfium
from shapely import LinearRing, MultiLineString
from svgelements import SVG, Group
from svgelements import Path as Curve

import kirtle

NAME = "Zoë Ζωή Жанна №44"
PIECE_LAYERS = ["cloth", "guide", "grain", "dart", "seam", "cut", "notch", "text"]


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
    # Both pieces lie next to each other below the head of the sheet.
    assert 2 * 10 * pattern.back.cut[-2].length < width < 700 and 10 * 60 + 60 < height < 800
    groups = {group.attrib["class"]: group for group in root if group.tag.endswith("}g")}
    (head, *pieces), (back_layers, front_layers) = groups, (PIECE_LAYERS, [*PIECE_LAYERS[:3], "fold", *PIECE_LAYERS[3:]])
    assert head == "head" and [name.split("-")[0] for name in pieces] == ["back", "front"]
    for group, layers in zip(groups.values(), (["sheet", "text"], back_layers, front_layers), strict=True):
        assert [layer.attrib["class"] for layer in group] == layers
    words = [element.text for element in root.iter() if element.tag.endswith("}text")]
    assert {"BACK", "FRONT", NAME, "cut 1 on the fold", "must measure 5 cm", "must measure 2 in"} < set(words)
    assert "<svg" in pattern._repr_svg_() and "mm" not in pattern._repr_svg_().split(">")[0]


@pytest.mark.parametrize(("name", "back_class"), [
    ("Ann", "back-Ann"), ("size-38", "back-size-38"), ("", "back-waist-72-0--hip-98-0-cm-2"), (NAME, None),
    ("漢字", "back----2"), ("Ann 2", "back-Ann-2-2"), ("head", "back-head"), ("a\"b<c>&'d", None),
])
def test_every_part_has_a_class_of_its_own_that_starts_with_its_piece(draft: kirtle.Draft, name: str, back_class: str | None) -> None:
    """A style sheet can select every back by the prefix of its class, whatever the name of the body; a page may show two drawings."""
    root = ElementTree.fromstring(draft.pattern(name=name).svg())
    classes = [part.attrib["class"] for part in root if part.tag.endswith("}g")]
    assert len(set(classes)) == len(classes) == 3 and all(re.fullmatch("[a-z][A-Za-z0-9-]*", one) for one in classes)
    assert back_class is None or back_class in classes
    assert {one.split("-")[0] for one in classes} == {"head", "back", "front"}
    assert not [element for element in root.iter() if element.get("id")]


def test_a_bar_marks_the_end_of_the_opening(draft: kirtle.Draft) -> None:
    """The bar runs 1 cm inwards from the seam line, at the level of the notch, and belongs to the layer "guide"."""
    pattern = draft.pattern(opening=17, name="Ann")
    groups = {group.attrib["class"]: group for group in ElementTree.fromstring(pattern.svg()).iterfind(".//*[@class='back-Ann']/*")}
    paths = [*groups["notch"], groups["guide"][-1]]
    marks = [np.array(re.findall(r"-?[\d.]+", path.attrib["d"]), float).reshape(-1, 2) for path in paths]
    cuts = np.array([cut for notch in pattern.back.notches for cut in notch.cuts]) * 10
    shift = marks[0][0] - cuts[0, 0]
    assert np.array(marks[:-1]) - shift == pytest.approx(cuts, abs=1e-3)
    (end,) = (notch for notch in pattern.back.notches if notch.place == "opening_end")
    assert marks[-1] - shift == pytest.approx(np.array([end.seam, np.add(end.seam, [1, 0])]) * 10, abs=1e-3)


def test_markup_in_a_name_is_escaped(draft: kirtle.Draft) -> None:
    name = "<b>&amp; \"Ann's\"]]>"
    words = [element.text for element in ElementTree.fromstring(draft.pattern(name=name).svg()).iter()]
    assert words.count(name) == 2


def test_the_cut_line_in_svg_has_the_length_of_its_edges(pattern: kirtle.Pattern) -> None:
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
    # A style sheet hides the layers by their class.
    hidden = ", ".join(f".{layer}" for layer in [*PIECE_LAYERS, "fold"])
    style = f"@page {{ size: {width} {height}; margin: 0 }} body {{ margin: 0 }} {hidden} {{ display: none }}"
    (tmp_path / "page.html").write_text(f'<meta charset="utf-8"><style>{style}</style>{svg}', encoding="utf-8")
    options = ["--headless", "--no-sandbox", "--disable-gpu", "--no-pdf-header-footer",
               f"--user-data-dir={tmp_path / 'profile'}", f"--print-to-pdf={tmp_path / 'page.pdf'}"]
    subprocess.run(["chromium", *options, str(tmp_path / "page.html")], check=True, capture_output=True, timeout=60)
    page = pdfium((tmp_path / "page.pdf").read_bytes(), PX_PER_MM)[0]
    # A row through the middle of both test squares, then a column through each square.
    assert np.diff(line_centres_mm(page[30 * PX_PER_MM])) == pytest.approx([50, 5, 50.8], abs=0.1)
    for x, side in ((30, 50), (85, 50.8)):
        assert np.diff(line_centres_mm(page[:, x * PX_PER_MM])[:2]) == pytest.approx([side], abs=0.1)


def corners(line: Any) -> Points:
    """Returns the vertices of a DXF polyline."""
    found: Points = np.array([vertex.dxf.location.vec2 for vertex in line.vertices])
    return found


def entities(block: Any, layer: str, kind: str) -> list[Any]:
    """Returns the entities of one kind, such as "LINE", on one layer of a block."""
    return [entity for entity in block if (entity.dxf.layer, entity.dxftype()) == (layer, kind)]


def test_dxf_passes_the_audit_and_is_in_millimetres(pattern: kirtle.Pattern, dxf: Any) -> None:
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
def test_a_dxf_block_has_the_lines_of_its_piece(pattern: kirtle.Pattern, dxf: Any, name: str, k: int, towards_side: int) -> None:
    piece, panel = getattr(pattern, name), getattr(pattern.draft, name)
    block = [block for block in dxf.blocks if not block.name.startswith("*")][k]
    (boundary,) = entities(block, "1", "POLYLINE")
    assert boundary.is_closed
    vertices = corners(boundary)

    def to_drawing(points: Any) -> Points:
        """Converts points of the piece to DXF coordinates: mm, y up, aligned at the start of the cut line."""
        converted: Points = vertices[0] + (np.asarray(points, float) - piece.cut[0].points[0]) * [10 * towards_side, -10]
        return converted

    cut = to_drawing(outline(edge.points for edge in piece.cut))
    assert shapely.hausdorff_distance(LinearRing(vertices), LinearRing(cut)) < 0.01
    seams = MultiLineString([corners(line) for line in entities(block, "14", "POLYLINE")])
    # Dart legs are on another layer; the fold line is no seam.
    sewn = [edge for edge in piece.seam if edge.role != "dart" and not (piece.on_fold and edge.role == "centre")]
    for edge in sewn:
        assert shapely.distance(shapely.points(to_drawing(outline([edge.points]))), seams).max() < 0.01
    assert seams.length == pytest.approx(10 * sum(edge.length for edge in sewn), abs=0.05)
    grain = [[line.dxf.start.vec2, line.dxf.end.vec2] for line in entities(block, "7", "LINE")]
    assert np.array(grain) == pytest.approx(to_drawing([piece.grain]), abs=1e-3)
    tips = [point.dxf.location.vec2 for point in entities(block, "13", "POINT")]
    assert np.array(tips) == pytest.approx(to_drawing([dart.tip for dart in panel.darts]), abs=1e-3)
    assert name.upper() in [text.dxf.text for text in entities(block, "15", "TEXT")]


def test_each_dxf_notch_is_a_point_on_the_cut_line_and_a_line(pattern: kirtle.Pattern, dxf: Any) -> None:
    """Some readers expect points and others lines; the notch layer holds both and nothing else."""
    blocks = [block for block in dxf.blocks if not block.name.startswith("*")]
    for block, piece in zip(blocks, (pattern.back, pattern.front), strict=True):
        (boundary,) = entities(block, "1", "POLYLINE")
        points = np.array([point.dxf.location.vec2 for point in entities(block, "4", "POINT")])
        lines = np.array([[line.dxf.start.vec2, line.dxf.end.vec2] for line in entities(block, "4", "LINE")])
        assert points == pytest.approx(lines[:, 0]) and len(lines) == sum(len(notch.cuts) for notch in piece.notches)
        assert shapely.distance(shapely.points(points), LinearRing(corners(boundary))).max() < 0.05
        assert {entity.dxftype() for entity in block if entity.dxf.layer == "4"} == {"POINT", "LINE"}


def test_dxf_notches_have_the_coordinates_of_the_pattern(pattern: kirtle.Pattern, dxf: Any) -> None:
    blocks = [block for block in dxf.blocks if not block.name.startswith("*")]
    for block, piece, towards_side in zip(blocks, (pattern.back, pattern.front), (1, -1), strict=True):
        start = corners(entities(block, "1", "POLYLINE")[0])[0]
        cuts = np.array([cut for notch in piece.notches for cut in notch.cuts])
        expected = start + (cuts - piece.cut[0].points[0]) * [10 * towards_side, -10]
        lines = np.array([[line.dxf.start.vec2, line.dxf.end.vec2] for line in entities(block, "4", "LINE")])
        assert lines[: len(expected)] == pytest.approx(expected, abs=1e-3)


@pytest.mark.parametrize("name", ["100 %", "%%d 50%% %%c", "^M ^ %%^ Ann", "%" * 60, "^x" * 30])
def test_control_codes_in_a_name_are_escaped_in_dxf(draft: kirtle.Draft, name: str) -> None:
    document = ezdxf.filemanagement.read(io.StringIO(draft.pattern(name=name).dxf()))
    assert document.audit().errors == []
    texts = [plain_text(decode_dxf_unicode(text.dxf.text)) for block in document.blocks for text in block.query("TEXT")]
    assert texts.count(name) == 2 and texts.count(f"Size: {name}") == 2


@pytest.mark.parametrize("name", ["x" * 60, "é" * 60, "漢" * 60, "%" * 60, "😀" * 60, "a" + "😀" * 59],
                         ids=lambda name: f"{ascii(name[:2])} x {len(name)}")
def test_no_dxf_text_exceeds_255_characters(draft: kirtle.Draft, name: str) -> None:
    """255 is the limit of the DXF release; a longer text is cut between letters."""
    written = draft.pattern(name=name).dxf()
    assert max(map(len, written.splitlines())) <= 255 and written.isascii()
    document = ezdxf.filemanagement.read(io.StringIO(written))
    texts = [decode_dxf_unicode(text.dxf.text) for block in document.blocks for text in block.query("TEXT")]
    # DXF writes letters above U+FFFF as surrogate pairs.
    texts = [text.encode("utf-16", "surrogatepass").decode("utf-16") for text in texts]
    found = [plain_text(text) for text in texts if text[0] == name[0]]
    assert len(found) == 2 and all(text and name.startswith(text) for text in found)
