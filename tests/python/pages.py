"""Pages as pixels: rendered, their layers switched, their tiles joined, their lines found."""

import io
import re
import subprocess
import tempfile
from pathlib import Path
from typing import Any

import numpy as np
import numpy.typing as npt
import pypdfium2
from PIL import Image
from pypdf import PdfReader, PdfWriter
from pypdf.generic import ArrayObject, NameObject

Ink = npt.NDArray[np.uint8]
"""How dark each pixel of a page is."""

FINE, COARSE = 12, 4
"""Pixels in a millimetre: just over 300 dpi, and for a glance. Tiles then join at whole pixels."""


def pdfium(pdf: bytes, pixels: int) -> list[Ink]:
    # A little less, as pdfium stretches a page to fill the last pixel that it touches.
    pages = [page.render(scale=pixels * 25.4 / 72 * (1 - 1e-6), grayscale=True) for page in pypdfium2.PdfDocument(pdf)]
    return [255 - page.to_numpy() for page in pages]


def poppler(pdf: bytes, pixels: int) -> list[Ink]:
    with tempfile.TemporaryDirectory() as folder:
        subprocess.run(["pdftoppm", "-r", str(pixels * 25.4), "-gray", "-", f"{folder}/page"], input=pdf, check=True)
        return [255 - np.asarray(Image.open(page)) for page in sorted(Path(folder).iterdir())]


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
    texts = [page.extract_text().splitlines() for page in PdfReader(io.BytesIO(pdf)).pages[1:]]
    names = [[name for line in text if (name := re.fullmatch(r"(\d+) ([A-Z])", line))] for text in texts]
    return [(int(name[1]) - 1, ord(name[2]) - ord("A")) for (name,) in names]


def joined(names: list[tuple[int, int]], pages: list[Ink], pixels: int, margin: int = 10, overlap: int = 10) -> Ink:
    """The tiles joined at their windows' known places, as one cuts and glues them."""
    rim, lap = margin * pixels, overlap * pixels
    high, wide = (side // pixels * pixels - 2 * rim for side in pages[0].shape)
    rows, columns = (max(place) + 1 for place in zip(*names, strict=True))
    whole: Ink = np.zeros((rows * (high - lap) + lap, columns * (wide - lap) + lap), np.uint8)
    for (row, column), page in zip(names, pages[1:], strict=True):
        spot = whole[row * (high - lap) :, column * (wide - lap) :][:high, :wide]
        np.maximum(spot, page[rim : rim + high, rim : rim + wide], out=spot)
    return whole


def lines(ink: npt.NDArray[Any], pixels: int = FINE, least: float = 60) -> list[float]:
    """The middles of the lines that a row of pixels crosses, in millimetres."""
    edges = np.flatnonzero(np.diff(np.concatenate([[0], ink > least, [0]]).astype(int)))
    spans = [np.arange(start, end) for start, end in edges.reshape(-1, 2)]
    return [float(np.average(span + 0.5, weights=ink[span])) / pixels for span in spans]
