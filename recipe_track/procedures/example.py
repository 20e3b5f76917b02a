"""The example repository: plain files and `history.toml`, planned as commits and replayed into git."""

import re
from collections.abc import Iterable, Iterator, Mapping
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
)
from recipe_track.textfiles.writing.render import to_toml
from recipe_track.trail.texts import blob_id

GOVERNED = ("models/", "materials/", "prices.toml", "recipe-track.toml")
COMMIT = re.compile(rb"\{commit:([^}\s]+)\}")
BLOB = re.compile(rb"\{blob:([^}\s]+)\}")
EDITS = re.compile(rb"\{edits(?::([^}\s]+))?\}\n")


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
    branches = {MAIN: planning.branches[MAIN], **open_branches}
    kept = _behind(planning, (*branches.values(), *(tag.commit for tag in planning.tags)))
    commits = {name: commit for name, commit in planning.commits.items() if name in kept}
    return PlannedHistory(commits, branches, tuple(planning.tags))


def _behind(planning: _Planning, tips: Iterable[str]) -> set[str]:
    """What git keeps of it: a proposal that was rejected is gone with its branch, but for its record."""
    kept = set(tips)
    for name in reversed(planning.commits):  # children before parents
        if name in kept:
            kept.update(planning.commits[name].parents)
    return kept


def _plan_commit(
    planning: _Planning, entry: Mapping[str, Any], people: Mapping[str, str], folders: Traversable
) -> None:
    """One commit, or for an approval two: the decision on top of the proposal, then the merge of both."""
    message = _filled(planning, entry["message"].encode()).decode()
    stamps = (_stamp(entry, people, entry.get("author", entry["by"])), _stamp(entry, people, entry["by"]))
    branch = entry.get("branch", MAIN)
    if merged := entry.get("merges"):
        on_branch = (planning.named[merged],)
        _add(planning, merged, on_branch, _tree(planning, on_branch, entry, folders), stamps, message)
        parents = (planning.branches[MAIN], planning.branches[merged])
        made = _add(planning, MAIN, parents, _merged(planning, *parents), stamps, message)
    else:
        tip = (planning.branches[MAIN],) if MAIN in planning.branches else ()
        made = _add(planning, branch, tip, _tree(planning, tip, entry, folders), stamps, message)
    planning.named[entry["folder"]] = made
    if tag := entry.get("tag"):
        planning.named[tag["name"]] = made
        planning.tags.append(PlannedTag(tag["name"], made, _stamp(tag, people, tag["by"]), tag["message"]))


def _add(
    planning: _Planning, branch: str, parents: tuple[str, ...], files: Mapping[str, bytes],
    stamps: tuple[Stamp, Stamp], message: str,
) -> str:  # fmt: skip
    commit = PlannedCommit(parents, *stamps, message, files)
    made = commit_id(commit)
    planning.commits[made] = commit
    planning.branches[branch] = planning.named[branch] = made
    return made


def _stamp(entry: Mapping[str, Any], people: Mapping[str, str], who: str) -> Stamp:
    when = entry["on"]
    assert isinstance(when, datetime)
    return Stamp(people[who], when)


def _tree(
    planning: _Planning, parents: tuple[str, ...], entry: Mapping[str, Any], folders: Traversable
) -> dict[str, bytes]:
    """The parent's files, then moves, deletions and the entry's own files."""
    before = dict(planning.commits[parents[0]].files) if parents else {}
    files = dict(before)
    for old, new in entry.get("moved", {}).items():
        files[new] = files.pop(old)
    for path in entry.get("deleted", ()):
        del files[path]
    own = {path: _filled(planning, data) for path, data in _files_below(folders / entry["folder"])}
    files.update(own)
    for path, data in own.items():
        files[path] = _with_blobs(files, _with_edits(planning, before, files, data))
    return dict(sorted(files.items()))


def _with_edits(
    planning: _Planning, before: Mapping[str, bytes], after: Mapping[str, bytes], data: bytes
) -> bytes:
    """A change record with the edits of its own commit, or of an earlier one that it explains afterwards."""

    def tables(match: re.Match[bytes]) -> bytes:
        if match[1] is None:
            return _edit_tables(before, after)
        named = planning.commits[planning.named[match[1].decode()]]
        return _edit_tables(planning.commits[named.parents[0]].files, named.files)

    return EDITS.sub(tables, data)


def _edit_tables(before: Mapping[str, bytes], after: Mapping[str, bytes]) -> bytes:
    edits = [
        {
            "path": path,
            "before": blob_id(before[path]) if path in before else "",
            "after": blob_id(after[path]) if path in after else "",
        }
        for path in sorted({*before, *after})
        if path.startswith(GOVERNED) and before.get(path) != after.get(path)
    ]
    return to_toml({"edit": edits}).encode()


def _with_blobs(files: Mapping[str, bytes], data: bytes) -> bytes:
    """A decision with the blob of the record it decides."""
    return BLOB.sub(lambda match: blob_id(files[match[1].decode()]).encode(), data)


def _merged(planning: _Planning, main: str, branch: str) -> dict[str, bytes]:
    """Main's files with what a branch changed; main must not have changed the same file meanwhile."""
    base = planning.commits[branch]
    while base.parents and base.parents[0] not in _line(planning, main):
        base = planning.commits[base.parents[0]]
    files = dict(planning.commits[main].files)
    _take(files, planning.commits[branch], planning.commits[base.parents[0]])
    return dict(sorted(files.items()))


def _line(planning: _Planning, tip: str) -> set[str]:
    """The first-parent commits behind a tip."""
    found = {tip}
    while planning.commits[tip].parents:
        tip = planning.commits[tip].parents[0]
        found.add(tip)
    return found


def _take(files: dict[str, bytes], branch: PlannedCommit, base: PlannedCommit) -> None:
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
    return COMMIT.sub(lambda found: planning.named[found[1].decode()].encode(), data)


def data_folder(name: str) -> Traversable:
    """The data folder `recipe_track/_data/<name>` of a wheel, else the checkout's top-level `<name>`."""
    packed = files("recipe_track") / "_data" / name
    if packed.is_dir():
        return packed
    beside = Path(__file__).resolve().parents[2] / name
    if beside.is_dir():
        return beside
    raise TrackError(
        f"the data folder {name} is missing from this installation", "install recipe-track again"
    )


def example_repo() -> Traversable:
    """The plain files of the example repository."""
    return data_folder("example_repo")
