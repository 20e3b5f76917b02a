"""Every commit that main contains, parents first, with what it did to each file against its first parent."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from recipe_track.history.log import parse_trailers, utc
from recipe_track.history.repository import Repository

# Everything a user's configuration could change is said here. A merge is told against its first parent alone:
# what it did to the others follows from the trees, which these differences add up to.
_FIXED = (
    *("--raw", "-z", "--root", "--no-abbrev", "--no-color", "--no-decorate", "--no-show-signature"),
    *("--no-notes", "--no-ext-diff", "--no-textconv", "--no-renames", "--encoding=UTF-8"),
    *("--diff-merges=first-parent", "--topo-order", "--reverse"),
)
_HEADER = ("%H", "%P", "%an", "%ae", "%cn", "%ce", "%ct", "%B")
_FILE_MODES = (b"100644", b"100755", b"100664")
_KINDS = {b"120000": "link:"}


@dataclass(frozen=True, slots=True)
class Touch:
    """A file's blob before and after a commit, empty for none; what is no plain file is marked so."""

    path: str
    before: str
    after: str


@dataclass(frozen=True, slots=True)
class Ancestor:
    """One commit of main's ancestry; `edge` where a shallow clone holds no parent of it."""

    id: str
    parents: tuple[str, ...]
    author: str
    author_mail: str
    committer: str
    committer_mail: str
    date: str
    message: str
    touches: tuple[Touch, ...]
    edge: bool = False

    def trailer(self, key: str) -> tuple[str, ...]:
        """Every value of a trailer, in order; keys are compared ignoring case."""
        return tuple(value for name, value in parse_trailers(self.message) if name.lower() == key.lower())


def ancestry(repo: Repository, tip: str, *, since: Sequence[str] = ()) -> tuple[Ancestor, ...]:
    """The commits behind a tip, parents before children, without those that `since` already holds."""
    out = repo.git(
        "-c", "log.follow=false", "log", *_FIXED, f"--format={'%x00'.join(_HEADER)}",
        tip, *(f"^{known}" for known in since), "--",
    )  # fmt: skip
    return tuple(_commits(out.split(b"\0"), _edges(repo)))


def _edges(repo: Repository) -> frozenset[str]:
    """The commits at which a shallow clone ends."""
    file = repo.common_dir / "shallow"
    return frozenset(file.read_text("ascii").split()) if repo.shallow and file.exists() else frozenset()


def _commits(tokens: list[bytes], edges: frozenset[str]) -> Iterator[Ancestor]:
    at, size = 0, len(_HEADER)
    while at + size <= len(tokens):
        header = [token.decode("utf-8", "replace") for token in tokens[at : at + size]]
        at += size
        touches: list[Touch] = []
        while at < len(tokens) and (entry := tokens[at].lstrip(b"\n")).startswith(b":"):
            touches.append(_touch(entry, tokens[at + 1]))
            at += 2
        commit, parents, author, mail, committer, committer_mail, seconds, message = header
        yield Ancestor(
            id=commit,
            parents=tuple(parents.split()),
            author=author,
            author_mail=mail,
            committer=committer,
            committer_mail=committer_mail,
            date=utc(int(seconds or 0)),
            message=message.rstrip("\n"),
            touches=tuple(touch for touch in touches if touch.before != touch.after),
            edge=commit in edges,
        )


def _touch(entry: bytes, path: bytes) -> Touch:
    old_mode, mode, old_oid, oid, _status = entry[1:].split(b" ")
    return Touch(path.decode("utf-8", "surrogateescape"), _blob(old_mode, old_oid), _blob(mode, oid))


def _blob(mode: bytes, oid: bytes) -> str:
    # A submodule is a repository of its own: what it holds is no file of this one.
    if mode in (b"000000", b"160000"):
        return ""
    return (oid if mode in _FILE_MODES else _KINDS.get(mode, "other:").encode() + oid).decode()
