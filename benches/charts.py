"""Best charts, by a squared loss, within 2 cm and by the distance of drafts: how close the bound is, the time, k-means: `uv run --no-sync python benches/charts.py`."""

import time
import warnings
from typing import Any

import numpy as np
import pyarrow as pa
from scipy.cluster.vq import kmeans2

import kirtle

STARTS = 20


def peer_loss(people: np.ndarray, sizes: int) -> float:
    """Returns the mean squared loss of the best of SciPy's k-means with k-means++, over the same number of starts."""
    losses = []
    for seed in range(STARTS):
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # an empty cluster of one start
            centres, assigned = kmeans2(people, sizes, iter=100, minit="++", seed=seed)
        losses.append(float(np.mean(np.sum((people - centres[assigned]) ** 2, axis=1))))
    return min(losses)


def print_within() -> None:
    """Prints a row for each number of people and sizes, and each grid of the girths: served within 2 cm, the proven maximum, the time."""
    print("\n| people | sizes | grid | served | proven maximum | gap | time |")
    print("|---|---|---|---|---|---|---|")
    for count in (300, 3000):
        for sizes in (12, 20):
            for grid in (None, 1.0, 2.0):
                start = time.perf_counter()
                best = kirtle.best_chart(kirtle.simulate(count, seed=1), sizes, loss="within", tolerance=2, grid=grid)
                served, most = (round(count * (1 - share)) for share in (best.loss, best.bound))
                seconds = time.perf_counter() - start
                row = f"| {count:,} | {sizes} | {grid or 'none'} | {served} | {most} | {(most - served) / served:.2%} | {seconds:.1f} s |"
                print(row, flush=True)


def print_listed() -> None:
    """Prints a row for each constraint that lists the sizes, with a squared loss and within 2 cm: loss, its bound, the time."""
    print("\n| people | sizes | loss | constraint | loss found | bound | gap | time |")
    print("|---|---|---|---|---|---|---|---|")
    constraints: dict[str, dict[str, Any]] = {"two drops": {"drop": [14, 20]}, "six of each": {"drop": {14: 6, 20: 6}}, "three drops": {"drop_classes": 3}, "at least 3%": {"min_share": 0.03}}
    losses: list[dict[str, Any]] = [{"loss": "squared"}, {"loss": "within", "tolerance": 2}]
    for given in losses:
        for label, constraint in constraints.items():
            start = time.perf_counter()
            best = kirtle.best_chart(kirtle.simulate(2000, seed=1), 12, **given, **constraint)
            row = f"| 2,000 | 12 | {given['loss']} | {label} | {best.loss:.4f} | {best.bound:.4f} | {best.gap / best.loss:.2%} |"
            print(f"{row} {time.perf_counter() - start:.1f} s |", flush=True)


def print_by_draft() -> None:
    """Prints a row for each number of people and grid, with the distance of drafts as the loss: its mean and bound in mm, the time."""
    print("\n| people | sizes | grid | mean distance, mm | bound, mm | gap | time |")
    print("|---|---|---|---|---|---|---|")
    for count, grid in ((300, 1.0), (2000, 2.0), (2000, 1.0)):
        start = time.perf_counter()
        best = kirtle.best_chart_by_draft(kirtle.simulate(count, seed=1), 12, ease=kirtle.Ease(waist=1.5, hip=5), grid=grid)
        row = f"| {count:,} | 12 | {grid} | {10 * best.loss:.2f} | {10 * best.bound:.2f} | {best.gap / best.loss:.2%} |"
        print(f"{row} {time.perf_counter() - start:.1f} s |", flush=True)


def main() -> None:
    """Prints a row for each number of people and of sizes."""
    print("| people | sizes | bound ÷ loss | with certificate | without: loss, time | SciPy's k-means: loss, time |")
    print("|---|---|---|---|---|---|")
    for count in (200, 2000, 100_000, 1_000_000):
        table = kirtle.simulate(count, seed=1)
        people = np.column_stack([pa.table(table)[girth].to_numpy() for girth in ("waist", "hip")])
        for sizes in (4, 12, 20):
            start = time.perf_counter()
            fast = kirtle.best_chart(table, sizes, restarts=STARTS, certify=False)
            without = time.perf_counter()
            best = kirtle.best_chart(table, sizes, restarts=STARTS)
            end = time.perf_counter()
            row = f"| {count:,} | {sizes} | {best.bound / best.loss:.4f} | {end - without:.2f} s |"
            row += f" {fast.loss / best.loss:.4f} ×, {without - start:.2f} s |"
            if count <= 2000:
                start = time.perf_counter()
                ratio = peer_loss(people, sizes) / best.loss
                print(f"{row} {ratio:.4f} ×, {time.perf_counter() - start:.2f} s |", flush=True)
            else:
                print(f"{row} |", flush=True)
    print_within()
    print_listed()
    print_by_draft()


if __name__ == "__main__":
    main()
