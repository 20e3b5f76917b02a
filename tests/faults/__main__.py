"""The same at scale, outside the daily tests: `python -m tests.faults [ROUNDS]`.

Each round starts pairs of every command that writes, kills each of them before every one of its calls of git,
and tries a few writers at once beside an approval. An hour for ten rounds on two cores; stops at the first
thing that is not as promised, and leaves its folder to be looked at.
"""

import sys
import tempfile
import time
from pathlib import Path

from tests.faults.commands import prepared
from tests.faults.processes import Processes, processes
from tests.faults.stories import STORIES
from tests.faults.test_kills import calls_of, fresh, killed
from tests.faults.test_pairs import beside_small_writers, pair

PAIRS = 10  # of each command, each round


def main(rounds: int) -> None:
    """Some rounds, told one by one."""
    folder = Path(tempfile.mkdtemp(prefix="recipe-track-faults-"))
    print(f"in {folder}")
    with processes(folder / "runs") as started:
        for number in range(1, rounds + 1):
            begun = time.monotonic()
            here = folder / str(number)
            here.mkdir()
            pairs, kills = _round(started, here)
            took = time.monotonic() - begun
            print(f"round {number}: {pairs} pairs, {kills} kills, {took:.0f} s, all as promised", flush=True)


def _round(started: Processes, folder: Path) -> tuple[int, int]:
    kills = 0
    for story in STORIES:
        for number in range(PAIRS):
            pair(fresh(folder, f"pair-{story.name}-{number}"), started, story)
        calls = calls_of(fresh(folder, f"whole-{story.name}"), started, story)
        for number in range(1, calls + 1):
            killed(fresh(folder, f"kill-{story.name}-{number}"), started, story, number)
        kills += calls
    (folder / "many").mkdir()
    beside_small_writers(prepared(folder / "many"), started, 20)
    return PAIRS * len(STORIES), kills


if __name__ == "__main__":
    main(int(sys.argv[1]) if sys.argv[1:] else 1)
