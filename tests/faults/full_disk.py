"""Started on a disk that is nearly full: a command again and again, with a little more room each time."""

import os
import sys
from pathlib import Path

from recipe_track.cli.main import run
from tests.journeys.gitrepo import GitRepo
from tests.journeys.yard import Yard

STEP = 4096
MOST_STEPS = 40


def main(disk: Path) -> None:
    """Fill the disk but for a few blocks, approve a change, and look; until it was approved."""
    yard = Yard(GitRepo(disk / "yard", Path(os.environ["HOME"])))
    os.environ["TMPDIR"] = os.environ["HOME"]
    before = yard.repo.head("main")
    args = ["-C", str(yard.root), "change", "approve", os.environ["CHANGE"], "--on", os.environ["TODAY"]]
    steps = 0
    while yard.repo.head("main") == before:
        assert steps < MOST_STEPS, "it never had room enough"
        _fill(disk, steps * STEP)
        status = run(args)
        (disk / "filling").unlink()
        steps += 1
        assert (status == 0) == (yard.repo.head("main") != before)
        assert yard.repo.git("status", "--porcelain") == "", f"step {steps}"
        assert not list((yard.root / ".git").glob("*.lock"))
    assert steps > 3, "the disk was never full"
    assert yard.repo.run("fsck", "--connectivity-only").returncode == 0


def _fill(disk: Path, but_for: int) -> None:
    """Leave so many bytes."""
    free = os.statvfs(disk)
    with (disk / "filling").open("wb") as file:
        file.write(bytes(max(0, free.f_bavail * free.f_frsize - but_for)))


if __name__ == "__main__":
    main(Path(sys.argv[1]))
