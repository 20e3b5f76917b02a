"""Joins main's ancestry, the texts it needs and the changes decided: the covering rule on a repository."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

import tomli

from recipe_track.history.ancestry import Ancestor, ancestry
from recipe_track.history.texts import read_present
from recipe_track.textfiles.writing.merge import is_mergeable, merge
from recipe_track.trail import Change, Commit, Edit, Verdict, walk
from recipe_track.trail.edits import NONE, is_governed
from recipe_track.trail.texts import blob_id, git_joins

if TYPE_CHECKING:
    from recipe_track.history.repository import Repository

_DIGITS = {"sha1": 40, "sha256": 64}
FREE_TABLES = ("alternatives", "csv", "lessons")  # habits, which need no decision
_HEAD = re.compile(rb"\s*\[{1,2}\s*([A-Za-z0-9_-]+)[^\]]*\]")  # of a table, or of one below it


@dataclass
class BlobTexts:
    """Texts by blob: given ones first, all others out of one reading once the first is asked for."""

    repo: Repository
    wanted: frozenset[str]
    given: Mapping[str, bytes]
    _read: dict[str, bytes] | None = field(default=None)

    def __call__(self, blob: str) -> bytes | None:
        """The text, None where it is lost."""
        if blob in self.given:
            return self.given[blob]
        if self._read is None:
            self._read = read_present(self.repo, sorted(self.wanted - self.given.keys()))
        return self._read.get(blob)


def covering(
    repo: Repository,
    tip: str,
    changes: Sequence[Change],
    *,
    texts: Mapping[str, bytes] | None = None,
    asked: Iterable[str] = (),
    commits: Sequence[Ancestor] | None = None,
) -> Verdict:
    """What landed on main and what no decision covers; hand over the ancestry where it is read already.

    `tip` is a commit's id. `texts` are those that records keep of their edits, by blob, should git have lost
    them; one that is not the blob's is not believed. `asked` are the commits, of releases say, to answer for
    beside the tip.
    """
    known = ancestry(repo, tip) if commits is None else commits
    walked = [as_commit(commit) for commit in known]
    own = blobs_of(edit for commit in walked for edit in commit.edits)
    recorded = blobs_of(edit for change in changes for edit in change.edits)
    kept = {blob_id(text, tip): text for text in (texts or {}).values()}
    true = {blob: text for blob, text in (texts or {}).items() if blob_id(text, blob) == blob}
    read = BlobTexts(repo, own | recorded, true | kept)
    foreign = sorted(blob for blob in recorded if len(blob) != _DIGITS[repo.object_format])
    names = renamed_blobs(read, own | kept.keys(), foreign) if foreign else {}
    return walk(
        walked,
        [in_own_blobs(change, names) for change in changes],
        read,
        asked=asked,
        mergers=(git_joins, driver_joins),
        formerly=former_paths,
        is_free=is_free,
    )


def blobs_of(edits: Iterable[Edit]) -> frozenset[str]:
    """Every blob that edits name."""
    return frozenset(blob for edit in edits for blob in (edit.before, edit.after) if blob != NONE)


def renamed_blobs(read: BlobTexts, own: Iterable[str], foreign: Sequence[str]) -> dict[str, str]:
    """Blob by the id that it had where the repository hashed otherwise."""
    texts = {blob: read(blob) for blob in own}
    return {blob_id(text, foreign[0]): blob for blob, text in texts.items() if text is not None}


def in_own_blobs(change: Change, names: Mapping[str, str]) -> Change:
    """A change with its edits named as this repository names them, as far as it knows the texts."""
    edits = tuple(
        Edit(edit.path, names.get(edit.before, edit.before), names.get(edit.after, edit.after))
        for edit in change.edits
    )
    return replace(change, edits=edits) if names else change


def as_commit(commit: Ancestor) -> Commit:
    """A commit as the rule looks at it: its governed edits, the records it added, what its trailers claim."""
    return Commit(
        id=commit.id,
        parents=commit.parents,
        edits=tuple(Edit(t.path, t.before, t.after) for t in commit.touches if is_governed(t.path)),
        author=commit.author,
        author_mail=commit.author_mail,
        committer=commit.committer,
        committer_mail=commit.committer_mail,
        date=commit.date,
        claims=commit.trailer("Change"),
        records=tuple(t.path for t in commit.touches if t.path.startswith("records/") and not t.before),
        edge=commit.edge,
    )


def former_paths(path: str, text: bytes) -> tuple[str, ...]:
    """The files that a zone was before, by its `formerly`."""
    pieces = path.split("/")
    if b"formerly" not in text or len(pieces) != 4 or pieces[0] != "models":
        return ()
    names = _tables(text).get("formerly")
    if not isinstance(names, list):
        return ()
    return tuple(f"models/{pieces[1]}/{name}.toml" for name in names if isinstance(name, str))


def is_free(before: bytes, after: bytes) -> bool:
    """Whether two settings differ in tables of habits, and in no byte beside; what cannot be read does not.

    By their values too: a line that looks like the head of a table may stand inside a text.
    """
    one, other = _tables(before), _tables(after)
    if not one or not other:
        return False
    (ruled, habits), (ruled_after, habits_after) = _parted(before), _parted(after)
    alike = all(one.get(key) == other.get(key) for key in {*one, *other} - set(FREE_TABLES))
    return alike and ruled == ruled_after and habits != habits_after


def _parted(text: bytes) -> tuple[bytes, bytes]:
    """The lines outside and inside the tables of habits; blank lines around a table go with it."""
    sides: tuple[list[bytes], list[bytes]] = [], []
    inside, blank = False, 0
    for line in text.replace(b"\r\n", b"\n").splitlines(keepends=True):
        was, head = inside, _HEAD.match(line)
        inside = head[1].decode() in FREE_TABLES if head else inside
        if line == b"\n":
            blank += 1
            continue
        sides[was or inside].append(b"\n" * blank)
        sides[inside].append(line)
        blank = 0
    sides[inside].append(b"\n" * blank)
    return b"".join(sides[0]), b"".join(sides[1])


def driver_joins(path: str, base: bytes, ours: bytes, theirs: bytes) -> tuple[bytes, ...]:
    """Our merge driver's way of joining, finer than git's, for files that can stand at the path."""
    joined = merge(path, base, ours, theirs) if is_mergeable(path, base, ours, theirs) else None
    return () if joined is None else (joined,)


def _tables(text: bytes) -> dict[str, object]:
    try:
        return tomli.loads(text.decode())
    except (tomli.TOMLDecodeError, UnicodeDecodeError):
        return {}
