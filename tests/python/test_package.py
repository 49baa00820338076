"""The installed package: metadata, licences, cost of the import."""

import importlib.metadata
import json
import subprocess
import sys

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
