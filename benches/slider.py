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


def serve(folder: Path) -> tuple[subprocess.Popen[bytes], str]:
    """A JupyterLab of its own, and where it listens."""
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    homes = {f"JUPYTER_{kind}_DIR": str(folder / kind.lower()) for kind in ("CONFIG", "DATA", "RUNTIME")}
    options = ["--no-browser", "--allow-root", f"--ServerApp.port={port}", "--IdentityProvider.token=", f"--ServerApp.root_dir={folder}"]
    quiet = subprocess.DEVNULL
    server = subprocess.Popen([sys.executable, "-m", "jupyterlab", *options], env=os.environ | homes, stdout=quiet, stderr=quiet)
    for _ in range(300):
        try:
            urllib.request.urlopen(f"http://127.0.0.1:{port}/api", timeout=1).close()
            break
        except OSError:
            time.sleep(0.1)
    return server, f"http://127.0.0.1:{port}/lab/tree/live.ipynb"


def moves(page: Page, address: str) -> list[float]:
    """The milliseconds of each of some moves, far enough apart that none waits for another."""
    page.set_default_timeout(30_000)
    page.goto(address)
    page.get_by_text("| Idle").wait_for()
    page.get_by_role("menuitem", name="Run", exact=True).click()
    page.locator("[data-command='runmenu:run-all']").click()
    page.locator(".kirtle-drawing svg").wait_for(state="attached")
    times: list[float] = page.evaluate(MOVES)
    return times


def main() -> None:
    """Print the median and the worst."""
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as playwright:
        notebook = jupytext.reads(NOTEBOOK, "py:percent")
        notebook.metadata["kernelspec"] = {"name": "python3", "display_name": "Python 3"}
        jupytext.write(notebook, Path(folder) / "live.ipynb")
        server, address = serve(Path(folder))
        try:
            browser = playwright.chromium.launch(executable_path=shutil.which("chromium"), args=["--no-sandbox"])
            times = moves(browser.new_page(viewport={"width": 1400, "height": 1000}), address)
            browser.close()
        finally:
            server.terminate()
            server.wait(20)
    print(f"a moved slider to its picture: median {statistics.median(times):.1f} ms, worst {max(times):.1f} ms")


if __name__ == "__main__":
    main()
