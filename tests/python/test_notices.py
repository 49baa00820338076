"""The licence notices of the libraries in a wheel."""

import json
import os
import platform
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

ROOT = Path(__file__).parents[2]
NOTICES = ROOT / "python" / "THIRD-PARTY"
TARGET = "x86_64-unknown-linux-gnu"
SEPARATOR = "-" * 80

HEAD = """\
Third-party software compiled into the extension in a wheel of Kirtle.

PDF files embed the font DejaVu Sans; its licence is in src/files/font/LICENCE.

The standard library of Rust and its crates are used under the Apache License 2.0 or the MIT licence; the file
COPYRIGHT-library.html of every Rust toolchain names their authors.

The following crates are used under the Apache License 2.0, whose text is in LICENSE-APACHE:
"""


def cargo(*arguments: str) -> str:
    command = ["cargo", *arguments, "--locked", "--features=python,simd"]
    return subprocess.run(command, cwd=ROOT, check=True, capture_output=True, text=True).stdout


def crates() -> list[dict[str, Any]]:
    """Returns the metadata of the crates linked into the extension, without build dependencies and procedural macros."""
    tree = cargo("tree", f"--target={TARGET}", "--edges=normal,no-proc-macro", "--prefix=none", "--format={p}")
    names = {tuple(line.split()[:2]) for line in tree.splitlines()}
    packages = json.loads(cargo("metadata", "--format-version=1", f"--filter-platform={TARGET}"))["packages"]
    found = [crate for crate in packages if (crate["name"], "v" + crate["version"]) in names]
    assert len(found) == len(names) > 50
    return [crate for crate in sorted(found, key=lambda crate: crate["name"]) if crate["name"] != "kirtle"]


def terms(crate: dict[str, Any]) -> list[str]:
    """Returns the licence chosen for each part of a crate: Apache-2.0 if offered, else MIT, else the first."""
    parts = [part.strip("()").replace("/", " OR ").split(" OR ") for part in crate["license"].split(" AND ")]
    return ["Apache-2.0" if "Apache-2.0" in part else "MIT" if "MIT" in part else part[0] for part in parts]


def text_of(crate: dict[str, Any], name: str) -> str:
    """Returns the licence text in a crate's source, or a sentence with its authors where the crate has no text."""
    folder = Path(crate["manifest_path"]).parent
    files = sorted(file for file in folder.iterdir() if file.name.upper().startswith("LICEN") and file.is_file())
    matching = [file for file in files if name.upper() in file.stem.upper()] or files
    if not matching:
        authors = ", ".join(author.split(" <")[0] for author in crate["authors"])
        return f"It brings no text; its authors are {authors}, its terms those of LICENSE-MIT."
    return "\n".join(line.rstrip() for line in matching[0].read_text().strip().splitlines())


def notices() -> str:
    """Returns the text of python/THIRD-PARTY."""
    under_apache: list[str] = []
    texts: dict[tuple[str, str], list[str]] = {}
    for crate in crates():
        title = f"{crate['name']} {crate['version']}"
        for name in terms(crate):
            if name == "Apache-2.0":
                under_apache.append(title)
            else:
                assert name in ("MIT", "Zlib"), (title, crate["license"])
                texts.setdefault((f"under {name}", text_of(crate, name)), []).append(title)
        for file in sorted(Path(crate["manifest_path"]).parent.glob("NOTICE*")):
            texts.setdefault(("with this notice", file.read_text().strip()), []).append(title)
    sections = [f"{SEPARATOR}\n{', '.join(titles)}, {how}:\n\n{text}\n" for (how, text), titles in texts.items()]
    return HEAD + "\n" + "\n".join(under_apache) + "\n\n" + "\n".join(sections)


@pytest.mark.skipif((sys.platform, platform.machine()) != ("linux", "x86_64"), reason="other platforms link other crates")
def test_the_notices_list_exactly_the_linked_crates() -> None:
    found = notices()
    if os.environ.get("KIRTLE_WRITE"):
        NOTICES.write_text(found)
    assert NOTICES.read_text() == found, "KIRTLE_WRITE=1 uv run pytest tests/python/test_notices.py"
