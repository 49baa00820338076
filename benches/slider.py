"""From a moved slider to the next frame with the new drawing, in JupyterLab and Chromium: `uv run python benches/slider.py`."""

import os
import shutil
import socket
import statistics
import subprocess
import sys
import tempfile
import time
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import jupytext
from playwright.sync_api import Page, sync_playwright

NOTEBOOK = """# %%
import kirtle
from kirtle.widget import LiveDraft
LiveDraft(kirtle.Body(waist=74, hip=101, hip_depth=20.5, length=62), ease=kirtle.Ease(waist=1.5, hip=5))
"""

MOVES = """async () => {
  const input = document.querySelector(".kirtle input[name=hip_ease]");
  const drawing = document.querySelector(".kirtle-drawing");
  const times = [];
  for (let k = 0; k < 60; k++) {
    const changed = new Promise((done) => new MutationObserver(done).observe(drawing, { childList: true, subtree: true }));
    const start = performance.now();
    input.value = 4 + (k % 5);
    input.dispatchEvent(new Event("input", { bubbles: true }));
    await changed;
    await new Promise(requestAnimationFrame);
    times.push(performance.now() - start);
    await new Promise((later) => setTimeout(later, 60));
  }
  return times;
}"""


@contextmanager
def lab(folder: Path) -> Iterator[str]:
    """A JupyterLab of its own for the notebooks of a folder; where it listens."""
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    options = [
        "--no-browser", "--allow-root", f"--ServerApp.port={port}", "--ServerApp.port_retries=0", "--ServerApp.ip=127.0.0.1",
        "--IdentityProvider.token=", "--ServerApp.password=", f"--ServerApp.root_dir={folder}",
        "--LabApp.check_for_updates_class=jupyterlab.NeverCheckForUpdate",
    ]
    homes = {f"JUPYTER_{kind}_DIR": str(folder / kind.lower()) for kind in ("CONFIG", "DATA", "RUNTIME")}
    homes |= {"JUPYTERLAB_SETTINGS_DIR": str(folder / "settings"), "JUPYTERLAB_WORKSPACES_DIR": str(folder / "workspaces")}
    server = subprocess.Popen(
        [sys.executable, "-m", "jupyterlab", *options],
        env=os.environ | homes, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
    )
    try:
        yield answering(f"http://127.0.0.1:{port}", server)
    finally:
        server.terminate()
        server.wait(20)


def answering(address: str, server: subprocess.Popen[bytes]) -> str:
    """The address, once something answers there."""
    for _ in range(300):
        assert server.poll() is None, "the server has ended"
        try:
            with urllib.request.urlopen(f"{address}/api", timeout=1):
                return address
        except OSError:
            time.sleep(0.1)
    raise AssertionError("the server does not answer")


@contextmanager
def run_all(address: str, notebook: str) -> Iterator[Page]:
    """A page of Chromium in which all cells of a notebook are set going."""
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=shutil.which("chromium"), args=["--no-sandbox"])
        page = browser.new_page(viewport={"width": 1400, "height": 1000})
        page.set_default_timeout(60_000)
        page.goto(f"{address}/lab/tree/{notebook}")
        page.get_by_text("| Idle").wait_for()
        page.get_by_role("menuitem", name="Run", exact=True).click()
        page.locator("[data-command='runmenu:run-all']").click()
        yield page
        browser.close()


def main() -> None:
    """Print the median and the worst of some moves, far enough apart that none waits for another."""
    notebook = jupytext.reads(NOTEBOOK, "py:percent")
    notebook.metadata["kernelspec"] = {"name": "python3", "display_name": "Python 3"}
    with tempfile.TemporaryDirectory() as folder:
        jupytext.write(notebook, Path(folder) / "live.ipynb")
        with lab(Path(folder)) as address, run_all(address, "live.ipynb") as page:
            page.locator(".kirtle-drawing svg").wait_for(state="attached")
            times: list[float] = page.evaluate(MOVES)
    print(f"a moved slider to its picture: median {statistics.median(times):.1f} ms, worst {max(times):.1f} ms")


if __name__ == "__main__":
    main()
