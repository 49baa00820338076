"""Files that are written whole or not at all."""

import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path


@contextmanager
def whole(path: Path) -> Iterator[Path]:
    """Where to write a file: it takes its name, and the place of one that was there, once all is written."""
    half = path.with_name(f".{path.name}.{os.getpid()}.part")
    try:
        yield half
        half.replace(path)
    finally:
        half.unlink(missing_ok=True)
