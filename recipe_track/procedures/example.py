"""The example repository: plain files and `history.toml`, planned as commits and replayed into git."""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import datetime
from importlib.resources import files
from importlib.resources.abc import Traversable
from pathlib import Path
from typing import Any

import tomli

from recipe_track.errors import TrackError
from recipe_track.history.replay import (
    MAIN,
    PlannedCommit,
    PlannedHistory,
    PlannedTag,
    Stamp,
    commit_id,
    write_history,
)  # fmt: skip

EXAMPLE = "example_repo"
PLACEHOLDER = re.compile(rb"\{commit:([^}\s]+)\}")


@dataclass(frozen=True, slots=True)
class DemoRepo:
    """The replayed example: where it lies, its tip, and the compare that tells most."""

    path: Path
    tip: str
    before: str
    after: str
    zone: str


@dataclass(slots=True)
class _Planning:
    """What is planned so far; commits by id, and every name a later entry may use for one."""

    commits: dict[str, PlannedCommit] = field(default_factory=dict)
    named: dict[str, str] = field(default_factory=dict)
    branches: dict[str, str] = field(default_factory=dict)
    tags: list[PlannedTag] = field(default_factory=list)


def replay(source: Traversable, target: Path) -> DemoRepo:
    """Build the repository written down in `source` at `target`, which must be missing or empty."""
    script = tomli.loads((source / "history.toml").read_text(encoding="utf-8"))
    history = plan_history(script, source / "commits")
    write_history(history, target)
    show = script["show"]
    return DemoRepo(target, history.branches[MAIN], show["before"], show["after"], show["zone"])


def plan_history(script: Mapping[str, Any], folders: Traversable) -> PlannedHistory:
    """The commits of a history script, in order; a file may name an earlier commit as {commit:NAME}."""
    planning = _Planning()
    for entry in script["commit"]:
        _plan_commit(planning, entry, script["people"], folders)
    open_branches = {branch: planning.named[branch] for branch in script.get("open_branches", ())}
    return PlannedHistory(
        planning.commits, {MAIN: planning.branches[MAIN], **open_branches}, tuple(planning.tags)
    )


def _plan_commit(
    planning: _Planning, entry: Mapping[str, Any], people: Mapping[str, str], folders: Traversable
) -> None:
    branch = entry.get("branch", MAIN)
    parents = _parents(planning, entry)
    stamp = _stamp(entry, people)
    files = _tree(planning, parents, entry, folders)
    message = _filled(planning, entry["message"].encode()).decode()
    commit = PlannedCommit(parents, stamp, stamp, message, files)
    made = commit_id(commit)
    planning.commits[made] = commit
    planning.branches[branch] = planning.named[branch] = planning.named[entry["folder"]] = made
    if tag := entry.get("tag"):
        planning.named[tag["name"]] = made
        planning.tags.append(PlannedTag(tag["name"], made, _stamp(tag, people), tag["message"]))


def _parents(planning: _Planning, entry: Mapping[str, Any]) -> tuple[str, ...]:
    """The tip of main as it is by now, and after it the branch that is merged."""
    tip = [planning.branches[MAIN]] if MAIN in planning.branches else []
    merged = [planning.named[entry["merges"]]] if "merges" in entry else []
    return (*tip, *merged)


def _stamp(entry: Mapping[str, Any], people: Mapping[str, str]) -> Stamp:
    when = entry["on"]
    assert isinstance(when, datetime)
    return Stamp(people[entry["by"]], when)


def _tree(
    planning: _Planning, parents: tuple[str, ...], entry: Mapping[str, Any], folders: Traversable
) -> dict[str, bytes]:
    """The first parent's files, what a merged branch did, then moves, deletions and the entry's own files."""
    files = dict(planning.commits[parents[0]].files) if parents else {}
    for merged in parents[1:]:
        _take(files, planning.commits[merged], planning.commits[planning.commits[merged].parents[0]])
    for old, new in entry.get("moved", {}).items():
        files[new] = files.pop(old)
    for path in entry.get("deleted", ()):
        del files[path]
    for path, data in _files_below(folders / entry["folder"]):
        files[path] = _filled(planning, data)
    return dict(sorted(files.items()))


def _take(files: dict[str, bytes], branch: PlannedCommit, base: PlannedCommit) -> None:
    """Bring what a branch of one commit changed; main must not have changed the same file meanwhile."""
    for path in sorted({*branch.files, *base.files}):
        old, new = base.files.get(path), branch.files.get(path)
        if old == new:
            continue
        if files.get(path) != old:
            raise ValueError(f"both sides of a merge changed {path}")
        if new is None:
            del files[path]
        else:
            files[path] = new


def _files_below(folder: Traversable, prefix: str = "") -> Iterator[tuple[str, bytes]]:
    if not folder.is_dir():
        return
    for entry in sorted(folder.iterdir(), key=lambda e: e.name):
        if entry.is_dir():
            yield from _files_below(entry, f"{prefix}{entry.name}/")
        else:
            yield prefix + entry.name, entry.read_bytes()


def _filled(planning: _Planning, data: bytes) -> bytes:
    return PLACEHOLDER.sub(lambda match: planning.named[match[1].decode()].encode(), data)


def example_repo() -> Traversable:
    """The plain files of the example repository: packed into a wheel, else at the top of the checkout."""
    packed = files("recipe_track") / "_data" / EXAMPLE
    if packed.is_dir():
        return packed
    beside = Path(__file__).resolve().parents[2] / EXAMPLE
    if beside.is_dir():
        return beside
    raise TrackError(
        f"the data folder {EXAMPLE} is missing from this installation", "install recipe-track again"
    )
