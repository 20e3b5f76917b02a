"""Mutants by room: a sample to run, drawn with a fixed seed, and the score of what was run."""

import random
import subprocess
import sys
from collections import Counter
from collections.abc import Iterator

ROOMS = ("mechanics", "impact", "recipe", "history", "trail")
SEED = 8
CAUGHT = ("killed", "timeout", "segfault", "suspicious")
LEFT = ("survived", "no tests")


def outcomes() -> Iterator[tuple[str, str, str]]:
    """Room, name and outcome of every mutant there is; `mutmut run` writes them down."""
    listed = subprocess.run(
        [sys.executable, "-m", "mutmut", "results", "--all", "true"],
        capture_output=True,
        text=True,
        check=True,
    )
    for line in listed.stdout.splitlines():
        name, found, outcome = line.strip().rpartition(": ")
        if found:
            yield name.split(".")[1], name, outcome


def sample(room: str, size: int) -> list[str]:
    """Names of mutants of a room; a larger sample holds the smaller one."""
    names = sorted(name for of, name, _ in outcomes() if of == room)
    random.Random(SEED).shuffle(names)
    return names[:size]


def scores() -> Iterator[str]:
    """A line per room, and the names of the mutants that no test caught."""
    counts: dict[str, Counter[str]] = {room: Counter() for room in ROOMS}
    left = []
    for room, name, outcome in outcomes():
        counts[room][outcome] += 1
        left += [f"  {outcome}: {name}"] if outcome in LEFT else []
    for room, found in counts.items():
        caught, run = sum(found[o] for o in CAUGHT), sum(found[o] for o in (*CAUGHT, *LEFT))
        share = f"{caught / run:.0%}" if run else "none run"
        yield f"{room:10} {caught:5} of {run:5} caught  {share}"
    yield from left


if __name__ == "__main__":
    print("\n".join(sample(sys.argv[1], int(sys.argv[2])) if sys.argv[1:] else scores()))
