"""The notices of what is built into a wheel, as its licences ask for. `KIRTLE_WRITE=1` writes them anew."""

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
RULE = "-" * 80

HEAD = """\
What a wheel of Kirtle has built into its extension beside Kirtle itself.

The letters that PDF embeds are those of DejaVu Sans; their licence is in src/files/font/LICENCE.

The standard library of Rust, and the crates in it, are taken under the Apache License 2.0 or the MIT licence; the file
COPYRIGHT-library.html of every Rust toolchain names their authors.

These crates are taken under the Apache License 2.0, which is in LICENSE-APACHE:
"""


def cargo(*arguments: str) -> str:
    command = ["cargo", *arguments, "--locked", "--features=python"]
    return subprocess.run(command, cwd=ROOT, check=True, capture_output=True, text=True).stdout


def crates() -> list[dict[str, Any]]:
    """The crates that are linked into the extension, without those that only run while it is compiled."""
    tree = cargo("tree", f"--target={TARGET}", "--edges=normal,no-proc-macro", "--prefix=none", "--format={p}")
    names = {tuple(line.split()[:2]) for line in tree.splitlines()}
    packages = json.loads(cargo("metadata", "--format-version=1", f"--filter-platform={TARGET}"))["packages"]
    found = [crate for crate in packages if (crate["name"], "v" + crate["version"]) in names]
    assert len(found) == len(names) > 50
    return [crate for crate in sorted(found, key=lambda crate: crate["name"]) if crate["name"] != "kirtle"]


def terms(crate: dict[str, Any]) -> list[str]:
    """Of each part of a crate's licence the terms that are chosen: Apache 2.0 where it is offered."""
    parts = [part.strip("()").replace("/", " OR ").split(" OR ") for part in crate["license"].split(" AND ")]
    return ["Apache-2.0" if "Apache-2.0" in part else "MIT" if "MIT" in part else part[0] for part in parts]


def text_of(crate: dict[str, Any], name: str) -> str:
    """The text of a licence as the crate brings it."""
    folder = Path(crate["manifest_path"]).parent
    files = sorted(file for file in folder.iterdir() if file.name.upper().startswith("LICEN") and file.is_file())
    named = [file for file in files if name.upper() in file.stem.upper()] or files
    if not named:
        authors = ", ".join(author.split(" <")[0] for author in crate["authors"])
        return f"It brings no text; its authors are {authors}, its terms those of LICENSE-MIT."
    return "\n".join(line.rstrip() for line in named[0].read_text().strip().splitlines())


def notices() -> str:
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
    told = [f"{RULE}\n{', '.join(titles)}, {how}:\n\n{text}\n" for (how, text), titles in texts.items()]
    return HEAD + "\n" + "\n".join(under_apache) + "\n\n" + "\n".join(told)


@pytest.mark.skipif((sys.platform, platform.machine()) != ("linux", "x86_64"), reason="other crates are linked elsewhere")
def test_the_notices_are_those_of_what_is_linked() -> None:
    found = notices()
    if os.environ.get("KIRTLE_WRITE"):
        NOTICES.write_text(found)
    assert NOTICES.read_text() == found, "KIRTLE_WRITE=1 uv run pytest tests/python/test_notices.py"
