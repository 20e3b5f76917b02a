"""What a long history costs, against what its bytes alone cost: `python -m tests.bench.bench_history [REVISIONS]`.

The floor is one process that loads the libraries, runs git's log and one `cat-file` of the same blobs, and parses
them with tomli. All is processor time, user and system, of the command and the git it starts, as a ratio within
one run, so that it means the same on a busy machine; memory is the greatest of the process itself. No test.
Without a number it takes the 5,000 revisions that the targets are for.
"""

import os
import shutil
import statistics
import subprocess
import sys
import tempfile
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from tests.bench.long_history import Shape, build, one_more

os.environ.pop("PYTHONDONTWRITEBYTECODE", None)  # an installed program is compiled once, not at every start
RUNS = 3
PYTHON = sys.executable
PROGRAM = (PYTHON, "-m", "recipe_track")
LIBRARIES = (PYTHON, "-c", "import numpy, pydantic, git, click")
FLOOR = Path(__file__).with_name("floor.py")
ON_EXAMPLE = (
    ("check",), ("figures",), ("compare", "r7", "r8"), ("why", "deck/deck-support"), ("history",), ("audit",),
    ("hull", "list"), ("change", "list"),
)  # fmt: skip
WHY = ("why", "deck/zone-000")
SHORT = (("compare", "HEAD~1", "HEAD"), ("check",), ("figures",), ("hull", "list"))
LISTS = (("change", "list"), ("trial", "list"))


@dataclass(frozen=True)
class Cost:
    """Processor time of a command with all that it starts [s], and its greatest memory [MB]."""

    seconds: float
    megabytes: float


def cost(command: Sequence[str]) -> Cost:
    """One run; what it prints goes nowhere, and its status may tell of findings."""
    process = subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    _, status, usage = os.wait4(process.pid, 0)
    process.returncode = os.waitstatus_to_exitcode(status)
    if process.returncode not in (0, 1):
        raise SystemExit(f"{' '.join(command)} ended with {process.returncode}")
    return Cost(usage.ru_utime + usage.ru_stime, usage.ru_maxrss / 1024)


def usual(command: Sequence[str], repo: Path | None = None) -> Cost:
    """The median of some runs; of a repository, each with nothing kept from the one before."""
    found = []
    for _ in range(RUNS):
        if repo is not None:
            forget(repo)
        found.append(cost(command))
    return sorted(found, key=lambda one: one.seconds)[RUNS // 2]


def forget(repo: Path) -> None:
    """Throw away what was kept."""
    shutil.rmtree(repo / ".git" / "recipe-track", ignore_errors=True)


def of(repo: Path, *args: str) -> tuple[str, ...]:
    """A command of the program on a repository."""
    return (*PROGRAM, "-C", str(repo), *args)


def tell(what: str, value: float, most: float, reference: str, unit: str = "x") -> None:
    """One line of the table."""
    verdict = "holds" if value <= most else "MISSED"
    print(f"{what:<44} {value:8.2f} {unit} {reference:<34} at most {most:<6g} {verdict}", flush=True)


def history(repo: Path, floor: float) -> Cost:
    """The course: with nothing kept, with everything kept, and after one new commit."""
    asked = of(repo, "history", "--json")
    cold = usual(asked, repo)
    tell("history --json, cold", cold.seconds / floor, 3, "the floor")
    tell("history --json, memory", cold.megabytes, 200, "", "MB")
    warm = statistics.median(cost(asked).seconds for _ in range(RUNS))
    tell("history --json, warm", warm / floor, 0.3, "the floor")
    later = repo.with_name(f"{repo.name}-later")
    shutil.copytree(repo, later, symlinks=True)
    one_more(later)
    tell(
        "history --json, after one new commit",
        cost(of(later, "history", "--json")).seconds / floor,
        0.6,
        "the floor",
    )
    return cold


def long_commands(repo: Path, example: Path, floor: float) -> dict[tuple[str, ...], float]:
    """The other commands on the long history."""
    found = {name: usual(of(repo, *name), repo).seconds for name in (("audit",), WHY, *SHORT, *LISTS)}
    tell("audit", found["audit",] / floor, 4, "the floor")
    cost(of(repo, "audit"))
    tell("audit, warm", cost(of(repo, "audit")).seconds / floor, 0.3, "the floor")
    tell(" ".join(WHY), found[WHY] / floor, 1, "the floor")
    for name in (*SHORT, *LISTS):
        least = usual(of(example, *name), example).seconds
        tell(
            " ".join(name),
            found[name] / least,
            1.3 if name[0] == "compare" else 1.5,
            "the same on the example",
        )
    return found


def more_records(shape: Shape, example: Path, folder: Path, before: dict[tuple[str, ...], float]) -> None:
    """The same history with 10,000 observations on top."""
    repo = build(Shape(shape.revisions, shape.zones, observations=10_000), example, folder / "records")
    for name, less in before.items():
        if name not in LISTS:
            tell(
                f"{' '.join(name)}, 10,000 records more",
                usual(of(repo, *name), repo).seconds / less,
                1.25,
                "without",
            )


def on_example(example: Path) -> None:
    """Every command of the day against the libraries alone."""
    libraries = usual(LIBRARIES).seconds
    for name in ON_EXAMPLE:
        seconds = usual(of(example, *name), example).seconds
        tell(f"example: {' '.join(name)}", seconds / libraries, 2.2, "import numpy, pydantic, git, click")
    tell("--help", usual((*PROGRAM, "--help")).seconds / libraries, 0.6, "import numpy, pydantic, git, click")
    bare = usual((PYTHON, "-c", "pass")).seconds
    tell("--version", usual((*PROGRAM, "--version")).seconds / bare, 2, "python -c pass")


def main() -> None:
    """Print every line beside its reference and its verdict."""
    shape = Shape(int(sys.argv[1]) if sys.argv[1:] else 5000)
    with tempfile.TemporaryDirectory() as temporary:
        folder, example = Path(temporary), Path(temporary) / "example"
        subprocess.run((*PROGRAM, "demo", str(example)), check=True, capture_output=True)
        on_example(example)
        repo = build(shape, example, folder / "long")
        floor = usual((PYTHON, str(FLOOR), str(repo))).seconds
        print(f"{shape.revisions} revisions of {shape.zones} zones; the floor is {floor:.2f} s")
        whole = history(repo, floor)
        half = build(Shape(shape.revisions // 2), example, folder / "half")
        shorter = usual(of(half, "history", "--json"), half).seconds
        tell("history --json, twice the revisions", whole.seconds / shorter, 2.2, "half of them")
        wide = build(Shape(shape.revisions, 2 * shape.zones), example, folder / "wide")
        wider = usual(of(wide, "history", "--json"), wide).seconds
        tell("history --json, twice the zones", wider / whole.seconds, 1.25, "the same edits")
        before = long_commands(repo, example, floor) | {("history", "--json"): whole.seconds}
        more_records(shape, example, folder, before)


if __name__ == "__main__":
    main()
