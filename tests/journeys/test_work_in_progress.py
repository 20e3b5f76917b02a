"""Whatever is written leaves everyone's work in progress byte for byte as it is, wherever they stand."""

import hashlib
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.journeys.gitrepo import GitRepo
from tests.journeys.yard import SIDE, Yard, new_yard

TRIAL = (
    "trial", "log", "--hull", "001", "--zone", "deck/side", "--observation", "crack", "--severity", "4",
    "--text", "crack at the stanchion",
)  # fmt: skip
DEVIATION = (
    "deviation",
    "report",
    "001",
    "--zone",
    "deck/side",
    "--type",
    "nonconformity",
    "--text",
    "short",
)
PROPOSE = ("change", "propose", "--title", "t", "--reason", "too soft underfoot", "--category", "layup")
OWN = ("README", "notes.txt", "drawings/a.txt", "drawings/b.txt", "gone.txt", "kept.txt")

Write = Callable[[Yard, Path], None]


def run(*args: str, who: str = "ben") -> Write:
    def write(yard: Yard, at: Path) -> None:
        answer = yard(*args, who=who, at=at)
        assert answer.status == 0, answer.err

    return write


def on(first: tuple[str, ...], *then: str) -> tuple[tuple[str, ...], Callable[[str], Write]]:
    """Something written beforehand, and what is done about its id while there is work in progress."""
    return first, lambda made: run(*(word.replace("ID", made) for word in then))


STRAIGHT: dict[str, Write] = {
    "trial log": run(*TRIAL),
    "deviation report": run(*DEVIATION),
    "hull add": run("hull", "add", "002", "--revision", "r1"),
    "hull part": run("hull", "part", "001", "--part", "deck", "--state", "in-mould"),
    "hull state": run("hull", "state", "001", "--state", "delivered", "--meant", "--note", "n"),
    "hull weigh": run("hull", "weigh", "001", "--part", "deck", "--mass-kg", "25", "--state", "trimmed"),
}
ABOUT = {
    "trial decide": on(TRIAL, "trial", "decide", "ID", "--decision", "contained", "--note", "n"),
    "action record": on(TRIAL, "action", "record", "ID", "--cause", "c", "--done", "d"),
    "deviation decide": on(DEVIATION, "deviation", "decide", "ID", "--decision", "accepted"),
    "change approve": on(PROPOSE, "change", "approve", "ID"),
    "change reject": on(PROPOSE, "change", "reject", "ID", "--note", "n"),
}
COMMANDS = [*STRAIGHT, *ABOUT, "change verify", "release", "change propose"]
PLACES = ["main", "branch", "worktree"]


def prepared(yard: Yard, command: str) -> Write:
    """What is to be done, with what it is about already there."""
    if command in STRAIGHT:
        return STRAIGHT[command]
    if command in ABOUT:
        first, then = ABOUT[command]
        if first is PROPOSE:
            yard.edit(SIDE, "thickness_mm = 20", "thickness_mm = 25")
        made = yard(*first).id
        yard.repo.git("checkout", "--quiet", "--", "models")
        return then(made)
    if command == "change propose":
        return run(*PROPOSE)
    yard.edit(SIDE, "thickness_mm = 20", "thickness_mm = 25")
    change = yard.change()
    if command == "release":
        return run("release", "demo")
    return run(
        "change", "verify", change, "--hull", "001", "--outcome", "confirmed", "--meant", "--note", "n"
    )


def make_busy(repo: GitRepo) -> None:
    """Every kind of work in progress, on files of the yard's own and on the recipe."""
    repo.write("README", "staged\n")
    repo.git("add", "README")
    repo.write("notes.txt", "unstaged\n")
    repo.write("drawings/a.txt", "staged\n")
    repo.git("add", "drawings/a.txt")
    repo.write("drawings/a.txt", "and edited again\n")
    (repo.root / "gone.txt").unlink()
    repo.git("rm", "--quiet", "drawings/b.txt")
    repo.write("untracked.txt", "untracked\n")
    prices = (repo.root / "prices.toml").read_text()
    repo.write("prices.toml", prices.replace("48.0", "49.5"))


def state(repo: GitRepo, without: set[str]) -> dict[str, str]:
    """Every file's bytes and mode, and every index entry, except for some paths."""
    files = {
        path.relative_to(repo.root).as_posix(): f"{path.stat().st_mode:o} {_digest(path)}"
        for path in repo.root.rglob("*")
        if path.is_file() and ".git" not in path.relative_to(repo.root).parts
    }
    entries = dict(line.split("\t")[::-1] for line in repo.git("ls-files", "-s").splitlines())
    found = {f"file {path}": found for path, found in files.items()}
    found |= {f"index {path}": found for path, found in entries.items()}
    return {key: value for key, value in found.items() if key.split(" ", 1)[1] not in without}


def _digest(path: Path) -> str:
    return hashlib.sha256(path.read_bytes()).hexdigest()


@pytest.mark.parametrize("place", PLACES)
@pytest.mark.parametrize("command", COMMANDS)
def test_work_in_progress_stays_as_it_is(tmp_path: Path, command: str, place: str) -> None:
    yard = new_yard(tmp_path)
    yard.repo.commit("own files", files={path: f"{path}\n" for path in OWN})
    write = prepared(yard, command)
    at = standing(yard, place)
    make_busy(at)
    before, main, head = state(at, set()), yard.repo.head("main"), at.git("symbolic-ref", "HEAD")
    write(yard, at.root)
    written = set(yard.repo.git("diff", "--name-only", "--no-renames", main, "main").splitlines())
    assert state(at, written) == {k: v for k, v in before.items() if k.split(" ", 1)[1] not in written}
    assert at.git("symbolic-ref", "HEAD") == head
    assert not written & set(OWN)
    assert written or command in ("release", "change propose")
    expected = set(yard.repo.git("ls-tree", "-r", "--name-only", "main").splitlines())
    at.git("commit", "--quiet", "-a", "-m", "the next one")
    if place != "branch":
        expected -= {"gone.txt", "drawings/b.txt"}
        assert set(yard.repo.git("ls-tree", "-r", "--name-only", "main").splitlines()) == expected
    for path in written:  # what was written is still there after the next commit -a
        assert yard.repo.show("main", path)


def standing(yard: Yard, place: str) -> GitRepo:
    """The work tree in which someone is busy."""
    if place == "main":
        return yard.repo
    if place == "branch":
        yard.repo.branch("work")
        return yard.repo
    yard.repo.branch("elsewhere")
    return yard.repo.worktree("linked", "main")


def test_an_edit_of_just_the_file_to_be_written_refuses(tmp_path: Path) -> None:
    yard = new_yard(tmp_path)
    yard.repo.write("hulls/002.toml", "# mine\n")
    main = yard.repo.head("main")
    answer = yard("hull", "add", "002", "--revision", "r1")
    assert answer.status == 1
    assert "hulls/002.toml" in answer.err
    assert yard.repo.head("main") == main
    assert (yard.root / "hulls/002.toml").read_text() == "# mine\n"


def test_an_approval_refuses_where_its_own_paths_are_edited(tmp_path: Path) -> None:
    yard = new_yard(tmp_path)
    yard.edit(SIDE, "thickness_mm = 20", "thickness_mm = 25")
    change = yard(*PROPOSE).id
    yard.edit(SIDE, "thickness_mm = 25", "thickness_mm = 26")
    main, text = yard.repo.head("main"), (yard.root / SIDE).read_text()
    answer = yard("change", "approve", change, who="ben")
    assert answer.status == 1
    assert SIDE in answer.err
    assert yard.repo.head("main") == main
    assert (yard.root / SIDE).read_text() == text
