"""A small yard to play stories in: the worked recipe, one hull, and the command line called in this process."""

import contextlib
import io
import json
import shutil
import tempfile
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from recipe_track.cli.main import run
from tests.journeys.gitrepo import PEOPLE, GitRepo, environment
from tests.recipes import WORKED

SIDE = "models/demo/deck/side.toml"
COAMING = "models/demo/deck/coaming.toml"
CORE = '{ material = "pvc-80", thickness_mm = 20 }'
THICKER = '{ material = "pvc-80", thickness_mm = 25 }'
REQUIRED = """
[required]
source = "SC-014 rev B"
core_thickness_mm_min = 15.0
deflection_mm_max = 6.0
"""
SETTINGS = """format = 1
main_branch = "main"
"""
# Commands that take the day they are about; left out, it is the day of the machine, and the story has its own.
DATED = (
    *(("trial", "log"), ("trial", "decide"), ("deviation", "report"), ("deviation", "decide")),
    *(("change", "propose"), ("change", "approve"), ("change", "reject"), ("change", "verify")),
    *(("hull", "add"), ("hull", "part"), ("hull", "state"), ("hull", "weigh")),
    *(("action", "record"), ("record", "confirm")),
)


@dataclass
class Said:
    """What one call answered."""

    status: int
    out: str
    err: str

    @property
    def id(self) -> str:
        """The id or label alone on stdout."""
        assert self.status == 0, self.err
        assert self.out.count("\n") == 1, self.out
        return self.out.strip()

    @property
    def json(self) -> Any:
        """The one object on stdout."""
        return json.loads(self.out)


@dataclass
class Yard:
    """A repository and the program at work in it."""

    repo: GitRepo
    said: list[Said] = field(default_factory=list)

    @property
    def root(self) -> Path:
        """The work tree."""
        return self.repo.root

    def __call__(self, *args: str, who: str = "ada", at: Path | None = None, **more: str) -> Said:
        """Run a command as someone, an hour later; further keywords are environment variables."""
        self.repo.clock += 3600
        dated = self._dated(args)
        out = io.TextIOWrapper(io.BytesIO(), "utf-8", newline="", write_through=True)
        err = io.StringIO()
        values = {**self.repo.env(who), **more}
        with environment(values), contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
            status = run(["-C", str(at or self.root), *dated])
        printed = out.detach().getvalue().decode()
        answer = Said(status, printed, err.getvalue())
        self.said.append(answer)
        return answer

    def _dated(self, args: tuple[str, ...]) -> tuple[str, ...]:
        """The call with its day: the one that is said, which the story then reaches, or the story's own."""
        if "--on" in args:
            self.repo.reach(args[args.index("--on") + 1])
            return args
        return (*args, "--on", self.repo.today) if args[:2] in DATED else args

    def edit(self, path: str, old: str, new: str) -> None:
        """Replace a piece of a file of the work tree; it has to be there."""
        file = self.root / path
        text = file.read_text(encoding="utf-8")
        assert old in text, f"{old} is not in {path}"
        file.write_text(text.replace(old, new), encoding="utf-8")

    def change(
        self, *args: str, who: str = "ada", approve: str = "ben", reason: str = "too soft underfoot"
    ) -> str:
        """Propose what the work tree holds and have it approved; the id of the change."""
        change = self(
            "change", "propose", "--title", "Stiffen the side deck", "--reason", reason, "--category",
            "layup", *args, who=who,
        ).id  # fmt: skip
        assert self("change", "approve", change, who=approve).status == 0, self.said[-1].err
        return change

    def findings(self, *args: str) -> dict[str, list[dict[str, str]]]:
        """The audit's findings by rule."""
        found: dict[str, list[dict[str, str]]] = {}
        answer = self("audit", "--json", *args)
        for finding in answer.json["findings"]:
            found.setdefault(finding["rule"], []).append(finding)
        assert answer.status == (1 if found else 0)
        return found


def new_yard(folder: Path, *, settings: str = SETTINGS, required: str = "", hull: bool = True) -> Yard:
    """A yard with a first issue, released as r1, and hull 001 built to it; made once, then copied."""
    key = (settings, required, hull)
    if key not in _MADE:
        _MADE[key] = _first_issue(Path(_FOLDER.name) / str(len(_MADE)), settings, required, hull)
    made = _MADE[key]
    shutil.copytree(made.root, folder / "yard")
    return Yard(GitRepo(folder / "yard", folder / "home", made.repo.clock))


_FOLDER = tempfile.TemporaryDirectory(prefix="recipe-track-yards-")
_MADE: dict[tuple[str, str, bool], Yard] = {}


def _first_issue(folder: Path, settings: str, required: str, hull: bool) -> Yard:
    repo = GitRepo.create(folder)
    for path in sorted(WORKED.rglob("*.toml")):
        repo.write(path.relative_to(WORKED).as_posix(), path.read_text(encoding="utf-8"))
    repo.write("recipe-track.toml", settings)
    side = (WORKED / SIDE).read_text(encoding="utf-8")
    repo.write(SIDE, side + required)
    repo.commit("First issue of the demo\n\nReason: first issue for hull 001\n")
    yard = Yard(repo)
    if hull:
        assert yard("release", "demo", "--from-hull", "001").id == "r1"
        assert yard("hull", "add", "001", "--revision", "r1", "--state", "in-build").id == "001"
    return yard


def main_files(yard: Yard, revision: str = "main") -> set[str]:
    """The paths that a revision holds."""
    return set(yard.repo.git("ls-tree", "-r", "--name-only", revision).splitlines())


def record(yard: Yard, record_id: str, who: str = "ada", on: str = "2026-02-01", **keys: str) -> str:
    """A record put on main by hand."""
    yard.repo.reach(on)
    yard.repo.commit(record_id, files={record_path(record_id): record_text(who, on, **keys)}, who=who)
    return record_id


def record_path(record_id: str) -> str:
    """Where the records written by hand lie."""
    return f"records/2026/{record_id}.toml"


def record_text(who: str = "ada", on: str = "2026-02-01", **keys: str) -> str:
    """A record of plain texts."""
    name, mail = PEOPLE[who]
    lines = [f'{key} = "{value}"' for key, value in keys.items()]
    return "\n".join([*lines, f'by = "{name} <{mail}>"', f"on = {on}", ""])


def change_text(who: str = "ada", on: str = "2026-02-01", edits: Sequence[tuple[str, str, str]] = ()) -> str:
    """A change record with its edits: path, blob before, blob after."""
    tables = [
        f'\n[[edit]]\npath = "{path}"\nbefore = "{before}"\nafter = "{after}"\n'
        for path, before, after in edits
    ]
    keys = {"model": "demo", "title": "t", "reason": "too soft underfoot", "category": "layup"}
    return record_text(who, on, kind="change", **keys) + "".join(tables)


def edit_of(yard: Yard, commit: str, path: str = SIDE) -> tuple[str, str, str]:
    """What a commit did to a file, as a change record says it."""
    blobs = (
        yard.repo.run("rev-parse", "--verify", "--quiet", f"{at}:{path}") for at in (f"{commit}~1", commit)
    )
    before, after = (done.stdout.decode().strip() for done in blobs)
    return path, before, after


def change_record(
    yard: Yard, change: str = "C-AAAAAA", who: str = "ada", on: str = "2026-02-01",
    edits: Sequence[tuple[str, str, str]] = (),
) -> str:  # fmt: skip
    """A change record without a branch."""
    yard.repo.reach(on)
    yard.repo.commit(change, files={record_path(change): change_text(who, on, edits)}, who=who)
    return change


def decide(yard: Yard, about: str, word: str, decision: str, who: str = "ben", on: str = "2026-02-02") -> str:
    """A decision put on main by hand; it names the record as it is on main."""
    path = next(path for path in main_files(yard) if path.endswith(f"{about}.toml"))
    blob = yard.repo.git("rev-parse", f"main:{path}")
    return record(yard, decision, who, on, kind="decision", about=about, decision=word, decides=blob)


def explained(yard: Yard, *commits: str, approve: str | None = "ben") -> str:
    """A change record for what is on main already, and its approval; the id of the change."""
    landed = [word for commit in commits for word in ("--landed", commit)]
    change = yard(
        "change", "propose", *landed, "--title", "As it was done", "--reason", "the gun is set finer",
        "--category", "layup",
    ).id  # fmt: skip
    if approve is not None:
        assert yard("change", "approve", change, who=approve).status == 0, yard.said[-1].err
    return change


def thicken(yard: Yard, to: float = 25) -> None:
    """Another thickness of the core of the side deck, in the work tree."""
    text = (yard.root / SIDE).read_text()
    old = text.split('"pvc-80", thickness_mm = ')[1].split(" ")[0]
    yard.edit(SIDE, f"thickness_mm = {old} }}", f"thickness_mm = {to:g} }}")


def only(found: Mapping[str, list[dict[str, str]]], rule: str, count: int = 1) -> dict[str, str]:
    """The finding of the one rule that found something."""
    assert list(found) == [rule], found
    assert len(found[rule]) == count
    assert found[rule][0]["remedy"]
    return found[rule][0]


def answered(yard: Yard, finding: Mapping[str, str], *more: str, who: str = "cem") -> None:
    """Record what was done about a finding: it is listed as answered then, and fails the audit no more."""
    action = yard(
        "action", "record", finding["id"], "--cause", "a slip", "--done", "talked over", *more, who=who
    ).id  # fmt: skip
    told = yard("audit", "--json").json
    assert finding["id"] not in {one["id"] for one in told["findings"]}
    assert {one["id"]: one["answered_by"] for one in told["answered"]}[finding["id"]] == action


def unanswerable(yard: Yard, finding: Mapping[str, str]) -> None:
    """What has a way of its own to end is not ended by an account of what was done."""
    main = yard.repo.head("main")
    refused = yard("action", "record", finding["id"], "--cause", "c", "--done", "d", who="cem")
    assert refused.status == 1
    assert "not ended by an action" in refused.err
    assert yard.repo.head("main") == main


def take_back(yard: Yard, commit: str, who: str = "ada") -> str:
    """Undo a commit by another one."""
    yard.repo.clock += 3600
    yard.repo.git("revert", "--no-edit", commit, who=who)
    return yard.repo.head()


def take_in(yard: Yard, copy: Yard, who: str = "ada") -> None:
    """Merge another clone's main into this one."""
    yard.repo.clock = max(yard.repo.clock, copy.repo.clock)
    yard.repo.git("fetch", "--quiet", copy.root.as_uri(), "main")
    yard.repo.merge("FETCH_HEAD", "take in the other line", who)
