"""Compares plots and rendered paper with the committed pictures of the pages."""

import os
import shutil
from pathlib import Path
from typing import Any

import numpy as np
import numpy.typing as npt
from matplotlib.axes import Axes
from PIL import Image


def matches_picture(ax: Axes, picture: Path, scratch: Path) -> bool:
    """Returns whether the plot, saved to `scratch`, looks like the committed picture; KIRTLE_WRITE=1 rewrites the picture."""
    ax.get_figure(root=True).savefig(scratch, dpi=110)  # type: ignore[union-attr]
    Image.open(scratch).convert("RGB").quantize(32).save(scratch, optimize=True)
    if os.environ.get("KIRTLE_WRITE"):
        shutil.copy(scratch, picture)
    return looks_like(scratch, picture)


def matches_ink(ink: npt.NDArray[Any], picture: Path, scratch: Path) -> bool:
    """Returns whether rendered paper, saved to `scratch`, looks like the committed picture; KIRTLE_WRITE=1 rewrites the picture."""
    for path in [scratch, *([picture] if os.environ.get("KIRTLE_WRITE") else [])]:
        Image.fromarray(255 - ink).quantize(16).save(path, optimize=True)
    return looks_like(scratch, picture)


def looks_like(new: Path, picture: Path) -> bool:
    """Returns whether two pictures have one size and nearly the same greys, and the second is small."""
    one, other = (np.asarray(Image.open(path).convert("L"), float) for path in (new, picture))
    return one.shape == other.shape and float(np.abs(one - other).mean()) < 0.5 and picture.stat().st_size < 60_000
