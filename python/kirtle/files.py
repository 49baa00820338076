"""Reading of texts up to a maximum length, and atomic writing: a file is written completely, or the old file stays."""

import errno
import json
import os
import sys
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any, BinaryIO

from ._kirtle import new_partial, replace_by_partial
from .exceptions import InputError

MAX_BYTES = 1 << 20
"""Maximum length in bytes of a text to read, that of a chart and of texts; the library refuses longer requests itself."""

BYTE_ORDER_MARK = b"\xef\xbb\xbf"
"""Byte order mark that some editors put before a text in UTF-8."""


def read(stream: BinaryIO, what: str, name: str) -> str:
    """Read a text of the kind ``what``, such as a request, from the file ``name``; both appear in errors."""
    content = stream.read(MAX_BYTES + len(BYTE_ORDER_MARK) + 1).removeprefix(BYTE_ORDER_MARK)
    if len(content) > MAX_BYTES:
        raise OSError(errno.EFBIG, f"too long: a {what} has at most {MAX_BYTES:,} bytes", name)
    if not content.strip():
        raise InputError(f"{name}: the {what} is empty")
    try:
        return content.decode()
    except UnicodeDecodeError as error:
        line = content[:error.start].count(b"\n") + 1
        advice = 'save it as UTF-8, in a spreadsheet as "CSV UTF-8"' if what == "chart" else "save it as UTF-8"
        raise InputError(f"{name}: not a text in UTF-8: line {line} has the byte 0x{content[error.start]:02x}; {advice}") from error


def json_or_none(text: str) -> Any:
    """Return the document in a text; `None` if it is not JSON: the reader of the document reports the problem."""
    try:
        return json.loads(text)
    except (ValueError, RecursionError):
        return None


def input_overwritten_by(path: Path, inputs: Iterable[str | Path]) -> str | None:
    """Return the input that is the same file as ``path``, also under another name; ``None`` if none is. ``-`` is standard input."""
    try:
        old = path.stat()
    except OSError:
        return None  # Nothing to overwrite.
    for name in inputs:
        try:
            new = os.fstat(sys.stdin.fileno()) if name == "-" else Path(name).stat()
        except (OSError, AttributeError, ValueError):
            continue  # A missing input is refused when it is read.
        if os.path.samestat(old, new):
            return str(name)
    return None


@contextmanager
def atomic_write(path: Path) -> Iterator[Path]:
    """Yield the path of a partial file, and rename this file to ``path`` when the block ends without an error.

    A link stays a link, an old file's permissions are kept, and a device or a pipe is refused.
    """
    try:
        partial = new_partial(path)
    except InputError:
        raise FileExistsError(errno.EEXIST, "this is a device or a pipe, not a file", str(path)) from None
    try:
        yield partial
        replace_by_partial(path, partial)
    except OSError as error:
        if error.filename is not None and Path(error.filename).parent != partial.parent:
            raise
        what = os.strerror(error.errno) if error.errno else str(error)
        raise OSError(error.errno or errno.EIO, what, str(path)) from error  # With the name of the file to be written.
    finally:
        partial.unlink(missing_ok=True)
