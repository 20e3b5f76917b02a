"""Revisions of a model on main and their labels: `r7`, `r7+2`, or none before the first release."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from recipe_track.history.log import Commit, FileChange, walk
from recipe_track.history.objects import tree
from recipe_track.history.refs import Refs, Release, is_ancestor, read_refs
from recipe_track.history.repository import Repository

_LABEL = re.compile(
    r"(?:(?P<model>[a-z0-9][a-z0-9-]*)/)?r(?P<n>[1-9][0-9]{0,8})(?:\+(?P<k>[1-9][0-9]{0,8}))?"
)


@dataclass(frozen=True, slots=True)
class Labels:
    """The revisions of one model on main, newest first, and what they are called."""

    model: str
    main: str | None
    revisions: tuple[Commit, ...]
    releases: tuple[Release, ...]
    _chain: Mapping[str, int]  # commit of main → place of its revision, oldest 0, −1 before the first
    _names: tuple[str | None, ...]  # by place
    _bases: tuple[tuple[int, int], ...]  # (place, N) of the releases on main, in order

    @property
    def latest(self) -> Release | None:
        """The last release on main."""
        by_n = {release.n: release for release in self.releases}
        return by_n[self._bases[-1][1]] if self._bases else None

    def of(self, commit: str) -> str | None:
        """Label of the latest revision at or before a commit; None off main and before the first release."""
        place = self._chain.get(commit)
        if place is not None:
            return self._names[place] if place >= 0 else None
        released = [
            release.label for release in self.releases if release.on_main and release.commit == commit
        ]
        return released[-1] if released else None

    def revision(self, commit: str) -> Commit | None:
        """The latest revision at or before a commit of main."""
        place = self._chain.get(commit, -1)
        return self.revisions[len(self.revisions) - 1 - place] if place >= 0 else None

    def commit(self, text: str) -> str | None:
        """The commit a typed label stands for, if any; a label noted down before a release stays good."""
        match = _LABEL.fullmatch(text)
        if match is None or match["model"] not in (None, self.model):
            return None
        n = int(match["n"])
        if match["k"] is None:
            return next((release.commit for release in self.releases if release.n == n), None)
        return self._counted(n, int(match["k"]))

    def _counted(self, n: int, k: int) -> str | None:
        start = next((place for place, number in self._bases if number == n), None)
        if start is None:
            return None
        last = min((place for place, _ in self._bases if place > start), default=len(self.revisions) - 1)
        place = start + k
        return self.revisions[len(self.revisions) - 1 - place].id if place <= last else None


def labels(
    repo: Repository,
    model: str,
    main_branch: str,
    *,
    refs: Refs | None = None,
    commits: Sequence[Commit] | None = None,
) -> Labels:
    """The labels of a model; hand over refs and main's first-parent commits where they are read already."""
    refs = refs or read_refs(repo, main_branch)
    tags = [tag for tag in refs.releases if tag.model == model]
    if refs.main is None:
        return Labels(model, None, (), tuple(replace(tag, on_main=False) for tag in tags), {}, (), ())
    chain = list(reversed(walk(repo, refs.main) if commits is None else commits))
    places, revisions, contents = _revisions(chain, model)
    starts = {tag.n: _start(repo, tag, refs.main, chain, places, contents) for tag in tags}
    anchors = [(start, n) for n, start in starts.items() if start is not None]
    anchors.sort(key=lambda anchor: (anchor[0].base, anchor[1]))
    return Labels(
        model=model,
        main=refs.main,
        revisions=tuple(reversed(revisions)),
        releases=tuple(replace(tag, on_main=starts[tag.n] is not None) for tag in tags),
        _chain=places,
        _names=_names(contents, anchors),
        _bases=tuple((start.base, n) for start, n in anchors),
    )


def touches(commit: Commit, model: str) -> bool:
    """Whether a commit changes what a model is made of; a changed file mode does not."""
    return any(_is_of(path, model) for change in commit.changes if _differs(change) for path in change.paths)


@dataclass(frozen=True, slots=True)
class _Start:
    """Where a release enters main: revisions count from `base`, its content may return from `seen` on."""

    base: int
    seen: int
    content: int


def _revisions(chain: Sequence[Commit], model: str) -> tuple[dict[str, int], list[Commit], list[int]]:
    """Place of every commit, the revisions, and a fingerprint of the content at each; all oldest first."""
    files: dict[str, str] = {}
    places: dict[str, int] = {}
    revisions: list[Commit] = []
    contents: list[int] = []
    content = 0
    for commit in chain:
        if touches(commit, model):
            content ^= _apply(commit, model, files)
            revisions.append(commit)
            contents.append(content)
        places[commit.id] = len(revisions) - 1
    return places, revisions, contents


def _apply(commit: Commit, model: str, files: dict[str, str]) -> int:
    """Bring the files up to a commit; returns what that adds to the fingerprint, an xor over path and id."""
    content = 0
    for change in commit.changes:
        for path in change.paths if change.status == "R" else (change.path,):
            if _is_of(path, model) and path in files:
                content ^= hash((path, files.pop(path)))
        if change.oid is not None and _is_of(change.path, model):
            files[change.path] = change.oid
            content ^= hash((change.path, change.oid))
    return content


def _start(
    repo: Repository,
    tag: Release,
    main: str,
    chain: Sequence[Commit],
    places: Mapping[str, int],
    contents: Sequence[int],
) -> _Start | None:
    """Where a release enters main, None if main does not contain it."""
    place = places.get(tag.commit)
    if place is not None:
        return _Start(place, place, contents[place] if place >= 0 else 0)
    if not is_ancestor(repo, tag.commit, main):
        return None
    after = set(repo.git("rev-list", "--ancestry-path", main, f"^{tag.commit}").decode().split())
    at = next(at for at, commit in enumerate(chain) if commit.id in after)
    place = places[chain[at].id]
    content = 0
    for path, oid in tree(repo, tag.commit, (f"models/{tag.model}", "materials", "prices.toml")).items():
        content ^= hash((path, oid))
    is_revision = place > (places[chain[at - 1].id] if at else -1)
    same = place >= 0 and contents[place] == content
    return _Start(place if same or not is_revision else place - 1, place, content)


def _names(contents: Sequence[int], anchors: Sequence[tuple[_Start, int]]) -> tuple[str | None, ...]:
    names: list[str | None] = []
    for place, content in enumerate(contents):
        equal = [n for start, n in anchors if start.seen <= place and start.content == content]
        before = [(start.base, n) for start, n in anchors if start.base < place and start.seen <= place]
        if equal:
            names.append(f"r{max(equal)}")
        else:
            names.append(f"r{max(before)[1]}+{place - max(before)[0]}" if before else None)
    return tuple(names)


def _differs(change: FileChange) -> bool:
    return change.oid != change.old_oid or change.old_path != change.path


def _is_of(path: str, model: str) -> bool:
    return path == "prices.toml" or path.startswith((f"models/{model}/", "materials/"))
