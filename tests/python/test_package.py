"""The installed package: metadata, licences, cost of the import; the files of the source package."""

import importlib.metadata
import json
import subprocess
import sys
import tarfile
from pathlib import Path

from conftest import TESTS

import kirtle

IMPORT = """
import json, sys
before = set(sys.modules)
import kirtle, kirtle.__main__
print(json.dumps(sorted({name.split(".")[0] for name in set(sys.modules) - before})))
"""


def test_the_import_loads_only_the_standard_library() -> None:
    found = json.loads(subprocess.run([sys.executable, "-c", IMPORT], check=True, capture_output=True).stdout)
    assert "kirtle" in found and set(found) <= {"kirtle", *sys.stdlib_module_names}


def test_the_metadata_name_version_licences_and_extras() -> None:
    about = importlib.metadata.metadata("kirtle")
    assert (about["Name"], about["Version"]) == ("kirtle", kirtle.__version__)
    assert about["License-Expression"] == "MIT OR Apache-2.0"
    licences = {"LICENSE-MIT", "LICENSE-APACHE", "src/files/font/LICENCE", "python/THIRD-PARTY"}
    assert set(about.get_all("License-File") or ()) == licences
    # Every dependency belongs to an optional extra.
    assert all(" extra == " in needed for needed in importlib.metadata.requires("kirtle") or ())
    assert set(about.get_all("Provides-Extra") or ()) == {"plots", "widget"}


def test_script_style_and_stub_files_are_packaged(tmp_path: Path) -> None:
    """The source package has every file of the Python package, and neither tests nor benchmarks."""
    top = TESTS.parent
    subprocess.run([sys.executable, "-m", "maturin", "sdist", "--out", str(tmp_path)], cwd=top, check=True, capture_output=True)
    (package,) = tmp_path.iterdir()
    with tarfile.open(package) as archive:
        packed = {name.partition("/")[2] for name in archive.getnames()}
    files = {path for path in (top / "python" / "kirtle").rglob("*") if path.suffix in {".py", ".js", ".css", ".pyi", ".typed"}}
    assert {str(path.relative_to(top)) for path in files} | {"src/lib.rs", "python/THIRD-PARTY"} <= packed
    assert not any(name.startswith(("tests/", "benches/")) for name in packed)
