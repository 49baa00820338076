"""Files that are read to a limit, and written whole or not at all."""

import errno
import itertools
import os
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import BinaryIO

from .exceptions import InputError

MAX_BYTES = 1 << 20
"""The longest text that is read: that of a chart, beside which a request is short."""

MARK = b"\xef\xbb\xbf"
"""What some editors put before a text in UTF-8."""

BEGUN = itertools.count()
"""How many files this process has begun, so that no two of them are one."""


def read(stream: BinaryIO, what: str, name: str) -> str:
    """The text of a file of this name, which is a request or a chart."""
    content = stream.read(MAX_BYTES + len(MARK) + 1).removeprefix(MARK)
    if len(content) > MAX_BYTES:
        raise OSError(errno.EFBIG, f"has more than the {MAX_BYTES:,} bytes that a {what} may have", name)
    try:
        return content.decode()
    except UnicodeDecodeError as error:
        wrong = f"byte {error.start + 1} is 0x{content[error.start]:02x}"
        raise InputError(f"{what}: is not text in UTF-8: {wrong}") from error


def readable(text: str) -> str:
    """An argument with what is no text, such as a byte that is not UTF-8, as question marks."""
    return text.encode(errors="replace").decode()


def told(error: OSError, path: Path) -> OSError:
    """The same error of the file that was meant: not every library says which one, and ours has another name at first."""
    what = os.strerror(error.errno) if error.errno else str(error)
    return OSError(error.errno or errno.EIO, what, str(path))


@contextmanager
def whole(path: Path) -> Iterator[Path]:
    """Where to write a file: it takes its name, and the place of one that was there, once all is written.

    A link stays a link, and a file that was there hands on its permissions; a device or a pipe is left alone.
    """
    place = Path(os.path.realpath(path))
    if place.is_dir():
        raise IsADirectoryError(errno.EISDIR, os.strerror(errno.EISDIR), str(path))
    if place.exists() and not place.is_file():
        raise FileExistsError(errno.EEXIST, "a device or a pipe is there, in the place of a file", str(path))
    try:
        half = begin(place)
        try:
            yield half
            if place.exists():
                shutil.copymode(place, half)
            half.replace(place)
        except BaseException:
            half.unlink(missing_ok=True)
            raise
    except OSError as error:
        ours = error.filename is None or Path(error.filename).parent == place.parent
        raise (told(error, path) if ours else error) from error


def begin(place: Path) -> Path:
    """A new file beside a place, under a name that nobody else has, not even one left by a process that was killed."""
    while True:
        half = place.parent / f".kirtle-{os.getpid()}-{next(BEGUN)}.part"
        try:
            half.open("xb").close()
        except FileExistsError:
            continue
        return half
