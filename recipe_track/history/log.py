"""Commits and what each changed, out of one run of `git log --raw`; files that git takes for renamed."""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime

from recipe_track.history.process import as_path
from recipe_track.history.repository import Repository

# Files that are half alike are one file renamed; with more than 1,000 that went or came only equal ones are.
# Git's own defaults since 2.34, said so that neither an older git nor a configuration finds other renames.
_RENAMES = ("-M50%", "-l1000")
# `git log` is for people, and a person's configuration changes what it prints: all of that is said here.
# Without --diff-merges a merge shows nothing at all, not even an edit made while merging; without -z a path
# that is not ASCII comes between quotes.
_FIXED = (
    *("--raw", "-z", "--root", "--no-abbrev", "--no-color", "--no-decorate", "--no-show-signature"),
    *("--no-notes", "--no-ext-diff", "--no-textconv", "--encoding=UTF-8", "--diff-merges=first-parent"),
    *_RENAMES,
)
_HEADER = ("%H", "%P", "%an", "%ae", "%ct", "%B")
_LAST_SECOND = 253402300799  # of the year 9999, the last that datetime knows
_TRAILER = re.compile(r"([A-Za-z0-9][A-Za-z0-9-]*)[ \t]*:[ \t]*(.*)")


@dataclass(frozen=True, slots=True)
class FileChange:
    """A file changed against the first parent: A added, M modified, D deleted, R renamed, T retyped."""

    status: str
    path: str
    old_path: str | None
    oid: str | None
    old_oid: str | None

    @property
    def paths(self) -> tuple[str, ...]:
        """The path, and the one it had before where it was renamed."""
        return (self.path,) if self.old_path in (None, self.path) else (self.path, str(self.old_path))


@dataclass(frozen=True, slots=True)
class Commit:
    """A commit; `date` is the committer's, in UTC; a merge shows what it brought to its first parent."""

    id: str
    parents: tuple[str, ...]
    author: str
    author_mail: str
    date: str
    message: str
    trailers: tuple[tuple[str, str], ...]
    changes: tuple[FileChange, ...]

    def trailer(self, key: str) -> tuple[str, ...]:
        """Every value of a trailer, in order; keys are compared ignoring case."""
        return tuple(value for name, value in self.trailers if name.lower() == key.lower())


def walk(
    repo: Repository,
    tip: str,
    *,
    since: Sequence[str] = (),
    first_parent: bool = True,
    limit: int | None = None,
) -> tuple[Commit, ...]:
    """The commits behind a tip, newest first, without those that `since` already holds."""
    order = ("--first-parent",) if first_parent else ("--topo-order",)
    count = () if limit is None else (f"--max-count={limit}",)
    out = repo.git(
        "-c", "log.follow=false", "log", *_FIXED, f"--format={'%x00'.join(_HEADER)}", *order, *count,
        tip, *(f"^{known}" for known in since), "--",
    )  # fmt: skip
    return tuple(_commits(out.split(b"\0")))


def merged(repo: Repository, merge: Commit) -> tuple[Commit, ...]:
    """The commits that a merge brought in, newest first; none for a commit with one parent."""
    if len(merge.parents) < 2:
        return ()
    first, *others = merge.parents
    brought = [commit for tip in others for commit in walk(repo, tip, since=(first,), first_parent=False)]
    return tuple({commit.id: commit for commit in brought}.values())


def parse_trailers(message: str) -> tuple[tuple[str, str], ...]:
    """The `Key: value` lines of a message's last paragraph, unless it is the subject or holds other lines."""
    paragraphs = re.split(r"\n[ \t]*\n", message.strip().replace("\r\n", "\n"))
    trailers: list[tuple[str, str]] = []
    for line in paragraphs[-1].split("\n") if len(paragraphs) > 1 else ():
        if line[:1] in " \t" and trailers:
            key, value = trailers.pop()
            trailers.append((key, f"{value} {line.strip()}"))
        elif match := _TRAILER.fullmatch(line):
            trailers.append((match[1], match[2].strip()))
        else:
            return ()
    return tuple(trailers)


def utc(seconds: int) -> str:
    """A moment as ISO 8601 in UTC; dates beyond what a calendar holds are cut to it."""
    return datetime.fromtimestamp(max(0, min(seconds, _LAST_SECOND)), UTC).strftime("%Y-%m-%dT%H:%M:%SZ")


def _commits(tokens: list[bytes]) -> Iterator[Commit]:
    # One run of tokens: six of the header, then `:<modes> <ids> <status>` and one path, or two of a rename,
    # for each file. Git ends a header with a line end of its own before the first file; a header never
    # begins with a colon, because its first token is an id.
    at, size = 0, len(_HEADER)
    while at + size <= len(tokens):
        header = [token.decode("utf-8", "replace") for token in tokens[at : at + size]]
        at += size
        changes: list[FileChange] = []
        while at < len(tokens) and (entry := tokens[at].lstrip(b"\n")).startswith(b":"):
            count = 2 if entry.rsplit(b" ", 1)[1][:1] in b"RC" else 1
            changes.append(_change(entry, tokens[at + 1 : at + 1 + count]))
            at += 1 + count
        yield _commit(header, changes)


def _commit(header: list[str], changes: list[FileChange]) -> Commit:
    commit, parents, author, mail, seconds, message = header
    return Commit(
        id=commit,
        parents=tuple(parents.split()),
        author=author,
        author_mail=mail,
        date=utc(int(seconds or 0)),
        message=message.rstrip("\n"),
        trailers=parse_trailers(message),
        changes=tuple(sorted(changes, key=lambda change: change.path)),
    )


def _change(entry: bytes, paths: list[bytes]) -> FileChange:
    _old_mode, _mode, old_oid, oid, status = entry[1:].decode().split(" ")
    *before, path = (text.decode("utf-8", "surrogateescape") for text in paths)
    letter = status[0]
    old_path = None if letter == "A" else (before[0] if before else path)
    return FileChange(letter, path, old_path, _object(oid), _object(old_oid))


def _object(oid: str) -> str | None:
    return None if set(oid) == {"0"} else oid


def renamed(repo: Repository, before: str, after: str, folder: str) -> dict[str, str]:
    """New path → old path of the files under a folder that are at least half alike."""
    out = repo.git(
        "diff-tree", "-r", "-z", "--no-ext-diff", "--no-textconv", "--diff-filter=R", *_RENAMES,
        "--name-status", before, after, "--", folder,
    )  # fmt: skip
    fields = out.split(b"\0")
    rows = zip(fields[0::3], fields[1::3], fields[2::3], strict=False)
    return {as_path(new): as_path(old) for status, old, new in rows if status.startswith(b"R")}
