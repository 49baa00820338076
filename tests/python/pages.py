"""Helpers of the PDF tests: render pages to pixels, switch layers, glue tiles, measure the printed lines."""

import io
import re
import shutil
import subprocess
import tempfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import numpy.typing as npt
import pypdfium2
import pytest
from PIL import Image
from pypdf import PdfReader, PdfWriter
from pypdf.generic import ArrayObject, ContentStream, NameObject
from scipy.ndimage import binary_dilation, find_objects, label

Ink = npt.NDArray[np.uint8]
"""Darkness of each pixel of a page, from 0 (blank) to 255 (black), by row and column."""

PX_PER_MM, COARSE_PX_PER_MM = 12, 4
"""Pixels per millimetre, for measuring (305 dpi) and for a rough look; whole numbers, so that tiles join at whole pixels."""

LAYERS = ["sheet", "guide", "grain", "fold", "dart", "seam", "cut", "notch", "text"]
"""Names of the layers of a printed pattern by what they show, from the lowest to the uppermost."""

BODY_NAME = "Zoë Ζωή Жанна №44"
BODY_LAYER = f"all of {BODY_NAME}"
"""Name of the layer that shows or hides everything of one body."""

TILE_LABEL = re.compile(r"tile (\d+) ([A-Z])")
"""Label printed on a tile, such as "tile 2 B": the row from 1 and the column from A."""


def pdfium(pdf: bytes, px_per_mm: int) -> list[Ink]:
    """Renders every page with PDFium."""
    # PDFium rounds a page up to whole pixels and stretches it; a scale smaller by 1e-6 avoids the extra pixel.
    pages = [page.render(scale=px_per_mm * 25.4 / 72 * (1 - 1e-6), grayscale=True) for page in pypdfium2.PdfDocument(pdf)]
    return [255 - page.to_numpy() for page in pages]


def poppler(pdf: bytes, px_per_mm: int) -> list[Ink]:
    """Renders every page with Poppler's command pdftoppm."""
    with tempfile.TemporaryDirectory() as folder:
        subprocess.run(["pdftoppm", "-r", str(px_per_mm * 25.4), "-gray", "-", f"{folder}/page"], input=pdf, check=True)
        return [255 - np.asarray(Image.open(page)) for page in sorted(Path(folder).iterdir())]


Renderer = Callable[[bytes, int], list[Ink]]
RENDERERS = [pdfium, pytest.param(poppler, marks=pytest.mark.skipif(
    shutil.which("pdftoppm") is None, reason="pdftoppm is not installed"))]


def with_layers(pdf: bytes, *shown: str) -> bytes:
    """Returns a copy of the PDF with the named layers switched on and all other layers off."""
    writer = PdfWriter(clone_from=io.BytesIO(pdf))
    content: Any = writer.root_object["/OCProperties"]
    by_state = {state: [group for group in content["/OCGs"] if (group.get_object()["/Name"] in shown) is (state == "/ON")]
          for state in ("/ON", "/OFF")}
    for state, groups in by_state.items():
        content["/D"][NameObject(state)] = ArrayObject(groups)
    out = io.BytesIO()
    writer.write(out)
    return out.getvalue()


def tile_positions(pdf: bytes) -> list[tuple[int, int]]:
    """Returns row and column, from 0, of each page after the cover, read from the label of the tile."""
    texts = [page.extract_text() for page in PdfReader(io.BytesIO(pdf)).pages[1:]]
    return [(int(row) - 1, ord(column) - ord("A")) for text in texts for row, column in TILE_LABEL.findall(text)]


def text_boxes(page: Any, words: str) -> list[tuple[float, float, float, float]]:
    """Returns left, top, right and bottom of each occurrence of the words on a PDFium page, in mm from the top left corner."""
    text, found = page.get_textpage(), list[tuple[float, float, float, float]]()
    search = text.search(words, match_case=True)
    while (match := search.get_next()) is not None:
        left, bottom, right, top = np.transpose([text.get_charbox(match[0] + k) for k in range(match[1])])
        sides = np.array([left.min(), page.get_height() - top.max(), right.max(), page.get_height() - bottom.min()])
        found.append(tuple((sides * 25.4 / 72).tolist()))
    return found


def dash_patterns(pdf: bytes) -> dict[str, list[list[float]]]:
    """Returns the dash pattern of every stroke of the first page by layer, read from the PDF operators; [] is a solid stroke."""
    page: Any = PdfReader(io.BytesIO(pdf)).pages[0]
    form = page["/Resources"]["/XObject"]["/D"]
    names = {key: str(group["/Name"]) for key, group in form["/Resources"]["/Properties"].items()}
    strokes: dict[str, list[list[float]]] = {name: [] for name in names.values()}
    layers, saved = [""], list[list[float]]()
    dash: list[float] = []
    for operands, operator in ContentStream(form, None).operations:
        match operator:
            case b"BDC":
                layers.append(names[operands[1]])
            case b"EMC":
                layers.pop()
            case b"q":
                saved.append(dash)
            case b"Q":
                dash = saved.pop()
            case b"d":
                dash = [float(length) for length in operands[0]]
            case b"S" | b"s":
                strokes[layers[-1]].append(dash)
    return strokes


def glue_tiles(positions: list[tuple[int, int]], pages: list[Ink], px_per_mm: int, margin: int = 10, overlap: int = 10) -> Ink:
    """Returns the sheet made of the trimmed tiles: each tile covers the overlap of its left and upper neighbours."""
    rim, lap = margin * px_per_mm, overlap * px_per_mm
    high, wide = (side // px_per_mm * px_per_mm - 2 * rim for side in pages[0].shape)
    rows, columns = (max(numbers) + 1 for numbers in zip(*positions, strict=True))
    whole: Ink = np.zeros((rows * (high - lap) + lap, columns * (wide - lap) + lap), np.uint8)
    for (row, column), page in zip(positions, pages[1:], strict=True):
        window = whole[row * (high - lap) :, column * (wide - lap) :]
        window[:high, :wide] = page[rim : rim + high, rim : rim + wide]
    return whole


def piece_boxes(cut: Ink, px_per_mm: int) -> list[tuple[slice, slice]]:
    """Returns rows and columns of back and front, in pixels, on a sheet with only their cut lines; the back lies left or above."""
    joined, _ = label(binary_dilation(cut > 60, iterations=2))
    boxes = [(slice(rows.start, rows.stop), slice(columns.start, columns.stop)) for rows, columns in find_objects(joined)]
    boxes = [box for box in boxes if box[0].stop - box[0].start > 100 * px_per_mm]
    return sorted(boxes, key=lambda box: box[0].start + box[1].start)


def ink_runs(ink: npt.NDArray[Any], threshold: float = 60) -> npt.NDArray[np.int64]:
    """Returns start and end of each run of consecutive pixels darker than the threshold, along one row of pixels."""
    edges: npt.NDArray[np.int64] = np.flatnonzero(np.diff(np.concatenate([[0], ink > threshold, [0]]).astype(int)))
    return edges.reshape(-1, 2)


def line_centres_mm(ink: npt.NDArray[Any], px_per_mm: int = PX_PER_MM, threshold: float = 60) -> list[float]:
    """Returns the centre, in mm, of each line that one row of pixels crosses."""
    spans = [np.arange(start, end) for start, end in ink_runs(ink, threshold)]
    return [float(np.average(span + 0.5, weights=ink[span])) / px_per_mm for span in spans]
