"""Revisions of a model and their labels: `r7`, `r7+2`, or none before the first release.

A revision is a commit that main contains and whose content of the model differs from that of each parent: an
edit that landed there, or a merge that joined two lines. Where lines ran side by side, all of them count.
"""

import heapq
import re
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from recipe_track.history.ancestry import Ancestor
from recipe_track.history.refs import Release

_LABEL = re.compile(
    r"(?:(?P<model>[a-z0-9][a-z0-9-]*)/)?r(?P<n>[1-9][0-9]{0,8})(?:\+(?P<k>[1-9][0-9]{0,8}))?"
)
Plain = Callable[[str], str]  # a blob → the same for all blobs that differ by line ends alone


@dataclass(frozen=True, slots=True)
class Labels:
    """The revisions of one model, newest first, and what they are called."""

    model: str
    main: str | None
    revisions: tuple[Ancestor, ...]
    releases: tuple[Release, ...]
    _by_id: Mapping[str, Ancestor]
    _revision_of: Mapping[str, str]  # commit of main → its revision; absent before the first
    _names: Mapping[str, str | None]  # by revision
    _counted: Mapping[tuple[int, int], str]  # (N, k) → revision
    _behind: Mapping[int, frozenset[str]]  # N → every commit that the release contains
    through: frozenset[str]  # revisions that contain every older one: none beside another line

    @property
    def latest(self) -> Release | None:
        """The last release on main."""
        return next((release for release in reversed(self.releases) if release.on_main), None)

    def of(self, commit: str) -> str | None:
        """Label of the latest revision at or before a commit; None off main and before the first release."""
        revision = self._revision_of.get(commit)
        if revision is not None:
            return self._names[revision]
        released = [r.label for r in self.releases if r.on_main and r.commit == commit]
        return released[-1] if released else None

    def revision(self, commit: str) -> Ancestor | None:
        """The latest revision at or before a commit of main."""
        named = self._revision_of.get(commit)
        return self._by_id[named] if named is not None else None

    def commit(self, text: str) -> str | None:
        """The commit a typed label stands for, if any; a label noted down before a release stays good."""
        match = _LABEL.fullmatch(text)
        if match is None or match["model"] not in (None, self.model):
            return None
        n = int(match["n"])
        if match["k"] is not None:
            return self._counted.get((n, int(match["k"])))
        return next((release.commit for release in self.releases if release.n == n), None)

    def first_with(self, commit: str) -> str | None:
        """The label of the first release that contains a commit."""
        return next((f"r{n}" for n, behind in sorted(self._behind.items()) if commit in behind), None)


def labels(
    model: str,
    ancestors: Sequence[Ancestor],
    tags: Iterable[Release],
    *,
    plain: Plain = str,
    content_of: Callable[[str], Mapping[str, str]] = lambda _commit: {},
) -> Labels:
    """The labels of a model out of main's ancestry, parents first.

    `content_of` gives path → blob of a released commit that main does not contain.
    """
    own = sorted((tag for tag in tags if tag.model == model), key=lambda tag: tag.n)
    content, revision_of = _revisions(model, ancestors, plain)
    ids = [commit.id for commit in _in_order(ancestors) if revision_of.get(commit.id) == commit.id]
    stands: dict[int, str] = {}
    for tag in own:
        if (commit := _anchor(tag, model, content, ids, plain, content_of)) is not None:
            stands[tag.n] = commit
    behind = {n: frozenset(_behind(commit, ancestors)) for n, commit in stands.items()}
    counted = {n: [name for name in ids if name not in held] for n, held in behind.items()}
    by_id = {commit.id: commit for commit in ancestors}
    equal = _released(ids, content, revision_of, stands, ancestors)
    return Labels(
        model=model,
        main=ancestors[-1].id if ancestors else None,
        revisions=tuple(by_id[name] for name in reversed(ids)),
        releases=tuple(replace(tag, on_main=tag.n in stands) for tag in own),
        _by_id=by_id,
        _revision_of=revision_of,
        _names={**_since_release(ids, ancestors, stands, counted), **equal},
        _counted={(n, k): name for n, after in counted.items() for k, name in enumerate(after, start=1)},
        _behind=behind,
        through=frozenset(_holding_all_older(ids, ancestors)),
    )


def is_of(path: str, model: str) -> bool:
    """Whether a file is content of a model: its own folder, or what all models share."""
    return path == "prices.toml" or path.startswith((f"models/{model}/", "materials/"))


def _revisions(
    model: str, ancestors: Sequence[Ancestor], plain: Plain
) -> tuple[dict[str, int], dict[str, str]]:
    """A fingerprint of the content at every commit, an xor over path and blob, and each one's revision."""
    content: dict[str, int] = {}
    revision_of: dict[str, str] = {}
    for commit in ancestors:
        mark = content.get(commit.parents[0], 0) if commit.parents else 0
        for touch in commit.touches:
            if is_of(touch.path, model):
                mark ^= _mark(touch.path, touch.before, plain) ^ _mark(touch.path, touch.after, plain)
        content[commit.id] = mark
        same = [parent for parent in commit.parents if content.get(parent, 0) == mark]
        if not same and (commit.parents or mark):
            revision_of[commit.id] = commit.id
        elif same and same[0] in revision_of:
            revision_of[commit.id] = revision_of[same[0]]
    return content, revision_of


def _mark(path: str, blob: str, plain: Plain) -> int:
    return hash((path, plain(blob))) if blob else 0


def _anchor(
    tag: Release, model: str, content: Mapping[str, int], ids: Sequence[str], plain: Plain,
    content_of: Callable[[str], Mapping[str, str]],
) -> str | None:  # fmt: skip
    """The commit of main at which a release stands: its own, or the first of equal content."""
    if tag.commit in content:
        return tag.commit
    mark = 0
    for path, blob in content_of(tag.commit).items():
        if is_of(path, model):
            mark ^= _mark(path, blob, plain)
    return next((name for name in ids if content[name] == mark), None) if mark else None


def _behind(commit: str, ancestors: Sequence[Ancestor]) -> Iterator[str]:
    """A commit and all that it contains."""
    wanted = {commit}
    for known in reversed(ancestors):  # children before parents
        if known.id in wanted:
            yield known.id
            wanted.update(known.parents)


def _in_order(ancestors: Sequence[Ancestor]) -> Iterator[Ancestor]:
    """Parents before children, ties by id: the same in every clone, whatever git's log makes of the dates."""
    by_id = {commit.id: commit for commit in ancestors}
    waiting = Counter({c.id: sum(parent in by_id for parent in c.parents) for c in ancestors})
    children: dict[str, list[str]] = {}
    for commit in ancestors:
        for parent in commit.parents:
            children.setdefault(parent, []).append(commit.id)
    ready = [commit.id for commit in ancestors if not waiting[commit.id]]
    heapq.heapify(ready)
    while ready:
        name = heapq.heappop(ready)
        yield by_id[name]
        for child in children.get(name, ()):
            waiting[child] -= 1
            if not waiting[child]:
                heapq.heappush(ready, child)


def _holding_all_older(ids: Sequence[str], ancestors: Sequence[Ancestor]) -> Iterator[str]:
    """What a commit contains is a set of bits, one for each revision in order."""
    bits = {name: 1 << n for n, name in enumerate(ids)}
    held: dict[str, int] = {}
    for commit in ancestors:
        mask = bits.get(commit.id, 0)
        for parent in commit.parents:
            mask |= held.get(parent, 0)
        held[commit.id] = mask
    for n, name in enumerate(ids):
        if held[name] == (1 << n + 1) - 1:
            yield name


def _released(
    ids: Sequence[str], content: Mapping[str, int], revision_of: Mapping[str, str],
    stands: Mapping[int, str], ancestors: Sequence[Ancestor],
) -> Mapping[str, str]:  # fmt: skip
    """Revisions with the content of a release: of several such, the last that they contain, or the first."""
    equal: dict[int, list[int]] = {}
    for n in sorted(stands):
        equal.setdefault(content[stands[n]], []).append(n)
    names: dict[str, str] = {}
    for name in ids:
        numbers = equal.get(content[name], [])
        if len(numbers) > 1:
            held = frozenset(_behind(name, ancestors))
            numbers = [n for n in numbers if revision_of[stands[n]] in held][-1:] or numbers
        if numbers:
            names[name] = f"r{numbers[0]}"
    return names


def _since_release(
    ids: Sequence[str], ancestors: Sequence[Ancestor], stands: Mapping[int, str],
    counted: Mapping[int, Sequence[str]],
) -> Mapping[str, str | None]:  # fmt: skip
    """`rN+k`: N the last release that a revision contains, k its place among those that rN does not."""
    tagged = {commit: n for n, commit in sorted(stands.items())}
    before: dict[str, int] = {}
    last: dict[str, int] = {}
    for commit in ancestors:
        before[commit.id] = max((last.get(parent, 0) for parent in commit.parents), default=0)
        last[commit.id] = max(before[commit.id], tagged.get(commit.id, 0))
    place = {(n, name): k for n, after in counted.items() for k, name in enumerate(after, start=1)}
    return {name: f"r{n}+{place[n, name]}" if (n := before[name]) else None for name in ids}
