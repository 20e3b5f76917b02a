"""A small yard to play stories in: the worked recipe, one hull, and the command line called in this process."""

import contextlib
import io
import json
import shutil
import tempfile
from collections.abc import Mapping
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
        out, err = io.StringIO(), io.StringIO()
        values = {**self.repo.env(who), **more}
        with environment(values), contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
            status = run(["-C", str(at or self.root), *args])
        answer = Said(status, out.getvalue(), err.getvalue())
        self.said.append(answer)
        return answer

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
        assert yard("hull", "add", "001", "--revision", "r1", "--status", "in-build").id == "001"
    return yard


def main_files(yard: Yard, revision: str = "main") -> set[str]:
    """The paths that a revision holds."""
    return set(yard.repo.git("ls-tree", "-r", "--name-only", revision).splitlines())


def record(yard: Yard, record_id: str, who: str = "ada", on: str = "2026-02-01", **keys: str) -> str:
    """A record put on main by hand."""
    name, mail = PEOPLE[who]
    lines = [f'{key} = "{value}"' for key, value in keys.items()]
    text = "\n".join([*lines, f'by = "{name} <{mail}>"', f"on = {on}", ""])
    yard.repo.commit(record_id, files={f"records/2026/{record_id}.toml": text}, who=who)
    return record_id


def change_record(yard: Yard, change: str = "C-AAAAAA", who: str = "ada", on: str = "2026-02-01") -> str:
    """A change record without a branch."""
    return record(
        yard,
        change,
        who,
        on,
        kind="change",
        model="demo",
        title="t",
        reason="too soft underfoot",
        category="layup",
    )


def decide(yard: Yard, about: str, word: str, decision: str, who: str = "ben", on: str = "2026-02-02") -> str:
    return record(yard, decision, who, on, kind="decision", about=about, decision=word)


def thicken(yard: Yard, to: float = 25) -> None:
    text = (yard.root / SIDE).read_text()
    old = text.split('"pvc-80", thickness_mm = ')[1].split(" ")[0]
    yard.edit(SIDE, f"thickness_mm = {old} }}", f"thickness_mm = {to:g} }}")


def only(found: Mapping[str, list[dict[str, str]]], rule: str, count: int = 1) -> dict[str, str]:
    assert list(found) == [rule], found
    assert len(found[rule]) == count
    assert found[rule][0]["remedy"]
    return found[rule][0]
