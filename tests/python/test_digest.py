"""The extension makes the bytes that the Rust tests make, whatever surrounds it."""

import os
import subprocess
import sys
from pathlib import Path

import pytest
from digests import GOLDEN, digests


def expected() -> str:
    return (GOLDEN / "digests.txt").read_text()


def test_the_release_build_makes_the_bytes_of_the_other() -> None:
    assert digests() == expected()


@pytest.mark.parametrize("surroundings", [
    {"TZ": "Pacific/Apia", "LANG": "C", "LC_ALL": "C", "PYTHONHASHSEED": "0", "RAYON_NUM_THREADS": "1", "PYTHONUTF8": "0"},
    {"TZ": "America/St_Johns", "LANG": "tr_TR.UTF-8", "LC_ALL": "tr_TR.UTF-8", "PYTHONHASHSEED": "4242", "RAYON_NUM_THREADS": "5",
     "SOURCE_DATE_EPOCH": "1", "KIRTLE": "1"},
])
def test_surroundings_change_nothing(surroundings: dict[str, str], tmp_path: Path) -> None:
    code = f"import sys; sys.path.insert(0, {str(Path(__file__).parent)!r}); import digests; print(digests.digests(), end='')"
    environment = {"PATH": os.environ["PATH"], "HOME": str(tmp_path / "nowhere"), **surroundings}
    done = subprocess.run([sys.executable, "-c", code], cwd=tmp_path, env=environment, capture_output=True, text=True, check=False)
    assert (done.stdout, done.stderr) == (expected(), "") and os.listdir(tmp_path) == []
