"""A yard of three people: a bare remote and a clone for each, in which the program and plain git are at work."""

import shutil
import subprocess
import tempfile
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path
from typing import Any

from tests.journeys.gitrepo import PEOPLE, STEP, GitRepo
from tests.journeys.yard import COAMING, SETTINGS, SIDE, Said, Yard
from tests.recipes import WORKED

BOTTOM = "models/demo/hull/bottom.toml"
# Two keys of the side deck, far enough from each other for git to merge them, and one of another zone.
THICKER = (SIDE, "thickness_mm = 20", "thickness_mm = 25")
WIDER = (SIDE, "overlap_fraction = 0.06", "overlap_fraction = 0.08")
STRONGER = (COAMING, "plies = 3", "plies = 4")
QUIET = {"GIT_EDITOR": "true", "GIT_MERGE_AUTOEDIT": "no"}
Edit = tuple[str, str, str]
Answers = Mapping[str, Any]


@dataclass
class Clone:
    """One person's clone."""

    team: "Team"
    who: str
    yard: Yard

    @property
    def root(self) -> Path:
        """The work tree."""
        return self.yard.root

    def __call__(self, *args: str, who: str = "") -> Said:
        """Run a command here, an hour later."""
        self.yard.repo.clock = self.team.clock
        said = self.yard(*args, who=who or self.who)
        self.team.clock = self.yard.repo.clock
        return said

    def run(self, *args: str, who: str = "") -> "subprocess.CompletedProcess[bytes]":
        """Run git here, an hour later, whatever comes of it."""
        self.team.clock += STEP
        self.yard.repo.clock = self.team.clock
        env = {**self.yard.repo.env(who or self.who), **QUIET}
        return subprocess.run(["git", *args], cwd=self.root, env=env, capture_output=True, check=False)

    def git(self, *args: str, who: str = "") -> str:
        """What git prints here."""
        done = self.run(*args, who=who)
        assert done.returncode == 0, f"git {' '.join(args)}: {(done.stderr + done.stdout).decode()}"
        return done.stdout.decode().strip()

    def head(self, revision: str = "HEAD") -> str:
        """The id of a commit."""
        return self.git("rev-parse", "--verify", "--quiet", f"{revision}^{{commit}}")

    def blob(self, path: str, revision: str = "HEAD") -> str:
        """The id of a file's content."""
        return self.git("rev-parse", f"{revision}:{path}")

    def edit(self, *edits: Edit) -> None:
        """Replace pieces of files of the work tree."""
        for edit in edits:
            self.yard.edit(*edit)

    def write(self, path: str, text: str | bytes) -> None:
        """Write a file of the work tree."""
        self.yard.repo.write(path, text)

    def commit(self, message: str, *options: str, who: str = "") -> str:
        """Commit everything by hand."""
        self.git("add", "--all")
        self.git("commit", "--quiet", "--allow-empty", *options, "-m", message, who=who)
        return self.head()

    def propose(self, *edits: Edit, options: Sequence[str] = (), who: str = "") -> str:
        """Edit files and propose that; the work tree is as main again."""
        self.edit(*edits)
        said = self("change", "propose", "--title", "Work on the deck", "--reason", "too soft underfoot",
                    "--category", "layup", *options, who=who)  # fmt: skip
        assert said.status == 0, said.err
        self.git("checkout", "--quiet", "HEAD", "--", ".")
        return said.id

    def approve(self, change: str, who: str = "", *options: str) -> str:
        """Approve a change; the id of the decision."""
        said = self("change", "approve", change, *options, who=who)
        assert said.status == 0, said.err
        return said.id

    def change(self, *edits: Edit) -> str:
        """A change proposed by whose clone it is and approved, at their desk, by the next of the three."""
        others = [who for who in PEOPLE if who != self.who]
        change = self.propose(*edits)
        self.approve(change, others[0])
        return change

    def explain(self, *commits: str, approver: str = "") -> str:
        """Say afterwards why main was edited, and have that decided."""
        landed = [word for commit in commits for word in ("--landed", commit)]
        said = self("change", "propose", *landed, "--title", "As it was done", "--reason", "settled by hand",
                    "--category", "layup")  # fmt: skip
        assert said.status == 0, said.err
        self.approve(said.id, approver or next(who for who in PEOPLE if who != self.who))
        return said.id

    def push(self, *refs: str) -> None:
        """Push main, or some refs."""
        self.git("push", "--quiet", "--follow-tags", "origin", *(refs or ("main",)))

    def pull(self, *options: str) -> None:
        """Pull main, fast-forward unless options say otherwise."""
        self.git("pull", "--quiet", *(options or ("--ff-only",)))

    def findings(self, *args: str) -> dict[str, list[dict[str, str]]]:
        """The audit's findings by rule."""
        found: dict[str, list[dict[str, str]]] = {}
        told = self("audit", "--json", *args)
        for finding in told.json["findings"]:
            found.setdefault(finding["rule"], []).append(finding)
        assert told.status == (1 if found else 0)
        return found


@dataclass
class Team:
    """The three and what they share."""

    folder: Path
    clock: int
    clones: dict[str, Clone] = field(default_factory=dict)

    def __iter__(self) -> Iterable[Clone]:
        return iter(self.clones.values())

    def clone(self, who: str) -> Clone:
        """One person's clone."""
        return self.clones[who]

    def share(self, sender: Clone) -> None:
        """Push what one has; the others put their main there, whatever they had."""
        sender.push()
        for clone in self.clones.values():
            if clone is not sender:
                clone.git("fetch", "--quiet")
                clone.git("reset", "--quiet", "--hard", "origin/main")


def new_team(folder: Path) -> Team:
    """A first issue released as r1, hull 001 in the mould, and three clones of it; made once, then copied."""
    made = _template()
    shutil.copytree(made.folder, folder / "team", symlinks=True)
    return _team(folder / "team", made.clock)


_FOLDER = tempfile.TemporaryDirectory(prefix="recipe-track-teams-")


@cache
def _template() -> Team:
    folder = Path(_FOLDER.name) / "team"
    first = Yard(_first_issue(folder))
    assert first("release", "demo", "--from-hull", "001").id == "r1"
    assert first("hull", "add", "001", "--revision", "r1", "--state", "in-build").id == "001"
    assert first("hull", "part", "001", "--part", "deck", "--state", "in-mould").status == 0
    first.repo.git("clone", "--quiet", "--bare", ".", str(folder / "hub.git"))
    shutil.rmtree(first.root)
    for who in PEOPLE:
        GitRepo(folder, folder / "home").git("clone", "--quiet", "--template=", "hub.git", who)
        GitRepo(folder / who, folder / "home").git("remote", "set-url", "origin", "../hub.git")
    return _team(folder, first.repo.clock)


def _team(folder: Path, clock: int) -> Team:
    team = Team(folder, clock)
    for who in PEOPLE:
        team.clones[who] = Clone(team, who, Yard(GitRepo(folder / who, folder / "home", clock)))
    return team


def _first_issue(folder: Path) -> GitRepo:
    """The worked recipe, and a hull of one zone beside its deck."""
    repo = GitRepo.create(folder, name="first")
    texts = {path.relative_to(WORKED).as_posix(): path.read_text("utf-8") for path in WORKED.rglob("*.toml")}
    texts["recipe-track.toml"] = SETTINGS
    texts["models/demo/hull/part.toml"] = texts["models/demo/deck/part.toml"].replace('"Deck"', '"Hull"')
    texts[BOTTOM] = texts[COAMING].replace('"Coaming"', '"Bottom"')
    repo.commit("First issue of the demo\n\nReason: first issue for hull 001\n", files=texts)
    return repo


# What is asked of a clone, and told the same by all clones in step. Where in git something lies changes with a
# rebase, what a change does to the figures with what stands around it.
MOVING = frozenset({"commit", "date", "tag_commit", "label", "now", "differences"})
LISTS = {"history": "revisions", "hull": "lacking"}  # what others bring adds to these


def answers(clone: Clone, changes: Iterable[str] = (), zone: str = "deck/side") -> dict[str, Any]:
    """What a clone says of its main, its hulls, a zone and some changes."""
    asked = {
        "audit": ("audit",), "why": ("why", zone), "history": ("history",), "hull": ("hull", "show", "001"),
        **{change: ("change", "show", change) for change in changes},
    }  # fmt: skip
    told = {name: clone(*args, "--json") for name, args in asked.items()}
    assert all(said.status in (0, 1) for said in told.values()), [said.err for said in told.values()]
    return {name: said.json for name, said in told.items()}


def lasting(value: Any) -> Any:
    """An answer without where in git it is from."""
    if isinstance(value, dict):
        return {key: lasting(one) for key, one in value.items() if key not in MOVING}
    return [lasting(one) for one in value] if isinstance(value, list) else value


def in_step(team: Team, sender: Clone, before: Answers, zone: str = "deck/side") -> dict[str, Any]:
    """Let all have what one has: no finding appears, all say the same, and what was said before stays true.

    `before` are the answers of whoever approved the changes that it holds; the answers now are returned.
    """
    team.share(sender)
    changes = [name for name in before if name.startswith("C-")]
    others = [clone for clone in team.clones.values() if clone is not sender]
    first = answers(sender, changes, zone)
    assert [one["message"] for one in first["audit"]["findings"]] == []
    assert first["audit"]["notices"] == []
    assert answers(others[0], changes, zone) == first
    assert others[1]("audit", "--json").json == first["audit"]
    for name in before.keys() - {"audit"}:
        was, now = lasting(before[name]), lasting(first[name])
        if name in LISTS:
            rows = was.pop(LISTS[name]), now.pop(LISTS[name])
            assert all(_brought(row) in map(_brought, rows[1]) for row in rows[0]), rows
        assert now == was, name
    return first


def _brought(row: dict[str, Any]) -> dict[str, Any]:
    """A row of a list without the figures, which add up to others on another line."""
    return {key: row[key] for key in ("changes", "zones", "author", "change", "part", "action") if key in row}
