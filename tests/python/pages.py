"""Pages as pixels: rendered, their layers switched, their tiles joined, their lines found."""

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

Ink = npt.NDArray[np.uint8]
"""How dark each pixel of a page is."""

FINE, COARSE = 12, 4
"""Pixels in a millimetre: just over 300 dpi, and for a glance. Tiles then join at whole pixels."""

KINDS = ["sheet", "guide", "grain", "fold", "dart", "seam", "cut", "notch", "text"]
"""The layers of a printed pattern, the lowest first."""

NAME = "Zoë Ζωή Жанна №44"
BODY = f"of {NAME}"
"""The layer that shows or hides all of one body, apart from the kinds."""

NAMED = re.compile(r"tile (\d+) ([A-Z])")
"""How the name of a tile stands on it."""


def pdfium(pdf: bytes, pixels: int) -> list[Ink]:
    # A little less, as pdfium stretches a page to fill the last pixel that it touches.
    pages = [page.render(scale=pixels * 25.4 / 72 * (1 - 1e-6), grayscale=True) for page in pypdfium2.PdfDocument(pdf)]
    return [255 - page.to_numpy() for page in pages]


def poppler(pdf: bytes, pixels: int) -> list[Ink]:
    with tempfile.TemporaryDirectory() as folder:
        subprocess.run(["pdftoppm", "-r", str(pixels * 25.4), "-gray", "-", f"{folder}/page"], input=pdf, check=True)
        return [255 - np.asarray(Image.open(page)) for page in sorted(Path(folder).iterdir())]


Renderer = Callable[[bytes, int], list[Ink]]
RENDERERS = [pdfium, pytest.param(poppler, marks=pytest.mark.skipif(
    shutil.which("pdftoppm") is None, reason="pdftoppm is not installed"))]


def only(pdf: bytes, *shown: str) -> bytes:
    """The same PDF with only these layers switched on."""
    writer = PdfWriter(clone_from=io.BytesIO(pdf))
    content: Any = writer.root_object["/OCProperties"]
    on = {state: [group for group in content["/OCGs"] if (group.get_object()["/Name"] in shown) is (state == "/ON")]
          for state in ("/ON", "/OFF")}
    for state, groups in on.items():
        content["/D"][NameObject(state)] = ArrayObject(groups)
    out = io.BytesIO()
    writer.write(out)
    return out.getvalue()


def tile_names(pdf: bytes) -> list[tuple[int, int]]:
    """Row and column of each page after the cover, by the name that stands on it."""
    texts = [page.extract_text() for page in PdfReader(io.BytesIO(pdf)).pages[1:]]
    return [(int(row) - 1, ord(column) - ord("A")) for text in texts for row, column in NAMED.findall(text)]


def boxes(page: Any, words: str) -> list[tuple[float, float, float, float]]:
    """Left, top, right and bottom of each place where the words stand on a page of pdfium, in millimetres, y down."""
    text, found = page.get_textpage(), list[tuple[float, float, float, float]]()
    search = text.search(words, match_case=True)
    while (place := search.get_next()) is not None:
        left, bottom, right, top = np.transpose([text.get_charbox(place[0] + k) for k in range(place[1])])
        sides = np.array([left.min(), page.get_height() - top.max(), right.max(), page.get_height() - bottom.min()])
        found.append(tuple((sides * 25.4 / 72).tolist()))
    return found


def dashes(pdf: bytes) -> dict[str, list[list[float]]]:
    """For each layer of the first page's drawing the dashes of each of its strokes, by the operators of the content."""
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


def joined(names: list[tuple[int, int]], pages: list[Ink], pixels: int, margin: int = 10, overlap: int = 10) -> Ink:
    """The tiles as they are glued: each, without its left and upper margins, lies on those to the left and above."""
    rim, lap = margin * pixels, overlap * pixels
    high, wide = (side // pixels * pixels - 2 * rim for side in pages[0].shape)
    rows, columns = (max(place) + 1 for place in zip(*names, strict=True))
    whole: Ink = np.zeros((rows * (high - lap) + lap, columns * (wide - lap) + lap), np.uint8)
    for (row, column), page in zip(names, pages[1:], strict=True):
        spot = whole[row * (high - lap) :, column * (wide - lap) :]
        spot[:high, :wide] = page[rim : rim + high, rim : rim + wide]
    return whole


def runs(ink: npt.NDArray[Any], least: float = 60) -> npt.NDArray[np.int64]:
    """Where each run of ink in a row of pixels starts and ends."""
    edges: npt.NDArray[np.int64] = np.flatnonzero(np.diff(np.concatenate([[0], ink > least, [0]]).astype(int)))
    return edges.reshape(-1, 2)


def lines(ink: npt.NDArray[Any], pixels: int = FINE, least: float = 60) -> list[float]:
    """The middles of the lines that a row of pixels crosses, in millimetres."""
    spans = [np.arange(start, end) for start, end in runs(ink, least)]
    return [float(np.average(span + 0.5, weights=ink[span])) / pixels for span in spans]
