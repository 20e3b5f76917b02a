"""Which commit of main brought which change, and what it touched."""

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from recipe_track.history.log import Commit, FileChange, merged
from recipe_track.history.objects import RECIPE_EDITS
from recipe_track.history.repository import Repository
from recipe_track.recipe.fields import RECORD_ALPHABET
from recipe_track.recipe.paths import file_at

_CHANGE_ID = re.compile(rf"C-[{RECORD_ALPHABET}]{{6}}")


@dataclass(frozen=True, slots=True)
class ChangeOnMain:
    """A change arriving on main: the first-parent commit, the commit that holds its edit, the paths."""

    change: str
    commit: Commit
    source: Commit
    paths: frozenset[str]


def changes_on_main(repo: Repository, commits: Sequence[Commit]) -> dict[str, ChangeOnMain]:
    """Every change that commits of main brought; commits newest first, as a walk gives them."""
    brought: dict[str, ChangeOnMain] = {}
    for commit in reversed(commits):
        if not is_recipe_commit(commit):
            continue
        for source in sources(repo, commit):
            for change in change_ids(source):
                paths = edited_paths(source.changes)
                brought.setdefault(change, ChangeOnMain(change, commit, source, frozenset(paths)))
    return brought


def sources(repo: Repository, commit: Commit) -> tuple[Commit, ...]:
    """The commits that brought a step, oldest first: itself, or those that a merge of two lines joined."""
    if len(commit.parents) < 2 or commit.trailer("Change"):  # an approval carries the trailer itself
        return (commit,)
    inner = [one for one in reversed(merged(repo, commit)) if is_recipe_commit(one)]
    outermost: dict[tuple[str, ...], Commit] = {}
    for one in inner:  # a proposal and the merge that approved it carry the same id: the later one counts
        outermost[change_ids(one) or (one.id,)] = one
    return tuple(outermost.values()) or (commit,)


def is_recipe_commit(commit: Commit) -> bool:
    """Whether a commit changes the content of a recipe, not only its records."""
    return bool(edited_paths(commit.changes))


def edited_paths(changes: Iterable[FileChange]) -> set[str]:
    """The recipe files that changed in content or name."""
    return {
        path
        for change in changes
        if change.oid != change.old_oid or change.status == "R"
        for path in change.paths
        if path.split("/", 1)[0] in RECIPE_EDITS
    }


def change_ids(commit: Commit) -> tuple[str, ...]:
    """The changes that a commit names in its trailers or whose records it adds, each once."""
    return tuple(dict.fromkeys((*_named(commit), *_added(commit))))


def _named(commit: Commit) -> Iterator[str]:
    for value in commit.trailer("Change"):
        yield from _CHANGE_ID.findall(value)


def _added(commit: Commit) -> Iterator[str]:
    """Not of a commit without parents: an import, or where a shallow clone ends, has the work of others."""
    for change in commit.changes if commit.parents else ():
        file = file_at(change.path) if change.status == "A" else None
        if file and file.kind == "record" and file.id.startswith("C-"):
            yield file.id
