"""How long `compare` and `--version` take against what any such program must load; run as a module.

Prints ratios within one run, the median of interleaved pairs; nothing here is a test.
"""

import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

RUNS = 15
IMPORTS = (sys.executable, "-c", "import numpy, pydantic, git")
NOTHING = (sys.executable, "-c", "pass")


def seconds(command: tuple[str, ...]) -> float:
    """Wall time of one run of a command."""
    start = time.perf_counter()
    subprocess.run(command, check=True, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    return time.perf_counter() - start


def ratio(command: tuple[str, ...], base: tuple[str, ...]) -> float:
    """Median over interleaved pairs of the time of a command to that of a base."""
    seconds(command)
    seconds(base)
    return statistics.median(seconds(command) / seconds(base) for _ in range(RUNS))


def main() -> None:
    """Print both ratios beside what they should stay under."""
    with tempfile.TemporaryDirectory() as folder:
        place = Path(folder) / "demo"
        program = (sys.executable, "-m", "recipe_track")
        subprocess.run((*program, "demo", str(place)), check=True, capture_output=True)
        compare = ratio((*program, "-C", str(place), "compare", "r7", "r8"), IMPORTS)
    version = ratio((*program, "--version"), NOTHING)
    print(f"compare r7 r8 / import numpy, pydantic, git: {compare:.2f} (at most 2.2)")
    print(f"--version / python -c pass: {version:.2f} (at most 4)")


if __name__ == "__main__":
    main()
