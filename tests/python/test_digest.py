"""The extension gives the bytes of the Rust tests, in any environment."""

import os
import subprocess
import sys
from pathlib import Path

import pytest
from digests import GOLDEN, digests


def expected_digests() -> str:
    return (GOLDEN / "digests.txt").read_text()


def test_the_extension_makes_the_bytes_of_the_rust_tests() -> None:
    assert digests() == expected_digests()


@pytest.mark.parametrize("variables", [
    {"TZ": "Pacific/Apia", "LANG": "C", "LC_ALL": "C", "PYTHONHASHSEED": "0", "RAYON_NUM_THREADS": "1", "PYTHONUTF8": "0"},
    {"TZ": "America/St_Johns", "LANG": "tr_TR.UTF-8", "LC_ALL": "tr_TR.UTF-8", "PYTHONHASHSEED": "4242", "RAYON_NUM_THREADS": "5",
     "SOURCE_DATE_EPOCH": "1", "KIRTLE": "1"},
])
def test_environment_variables_do_not_change_the_bytes(variables: dict[str, str], tmp_path: Path) -> None:
    code = f"import sys; sys.path.insert(0, {str(Path(__file__).parent)!r}); import digests; print(digests.digests(), end='')"
    environment = {"PATH": os.environ["PATH"], "HOME": str(tmp_path / "nowhere"), **variables}
    done = subprocess.run([sys.executable, "-c", code], cwd=tmp_path, env=environment, capture_output=True, text=True, check=False)
    assert (done.stdout, done.stderr) == (expected_digests(), "") and os.listdir(tmp_path) == []
