"""One draft from Python beside the peer script, in turn in one run: `uv run python benches/speed.py`."""

import statistics
import timeit
from collections.abc import Callable

import peer

import kirtle

BODY = kirtle.Body(waist=72, hip=98, hip_depth=20, length=60)
EASE = kirtle.Ease(waist=1.5, hip=5)


def drafted() -> object:
    return kirtle.draft(BODY, ease=EASE)


def read() -> object:
    draft = kirtle.draft(BODY, ease=EASE)
    return draft.suppression, draft.back, draft.front


def plain() -> object:
    return peer.peer_draft(72.0, 98.0, 20.0, 60.0, 1.5, 5.0)


def by_rule() -> object:
    return peer.peer_draft(72.0, 98.0, 20.0, 60.0, 1.5, 5.0, peer.lengths_by_rule)


def microseconds(work: Callable[[], object], number: int) -> float:
    return timeit.timeit(work, number=number) / number * 1e6


def main() -> None:
    """Print the median of eleven rounds, and the median ratio within a round."""
    rounds = [
        (microseconds(drafted, 5000), microseconds(read, 2000), microseconds(plain, 20), microseconds(by_rule, 50))
        for _ in range(11)
    ]
    names = ("kirtle.draft", "and both panels read", "NumPy/SciPy, quad", "NumPy/SciPy, fixed rule")
    for k, name in enumerate(names):
        time = statistics.median(each[k] for each in rounds)
        ratio = statistics.median(each[k] / each[0] for each in rounds)
        print(f"{name:<26}{time:10.1f} µs{ratio:10.0f} ×")


if __name__ == "__main__":
    main()
