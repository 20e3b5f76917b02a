"""The values the rule works on: edits of governed files, changes that hold them, commits that did them."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal, NamedTuple

NONE = ""  # the blob of a file that is not there
SETTINGS = "recipe-track.toml"
PRICES = "prices.toml"

Standing = Literal["approved", "rejected", "undecided"]


class Edit(NamedTuple):
    """What was done to one file: the blob before and after, `NONE` where there is no file."""

    path: str
    before: str
    after: str


@dataclass(frozen=True, slots=True)
class Change:
    """A change record: its edits in the order of its commits, and how it stands.

    `record` and `decision` are the paths of the records: a release that holds the decision holds the change.
    """

    id: str
    standing: Standing
    edits: tuple[Edit, ...]
    record: str = ""
    decision: str = ""


@dataclass(frozen=True, slots=True)
class Commit:
    """One commit: its governed edits against its first parent, and what it says of itself.

    `records` are the paths of records it added; `claims` the changes its trailers name, which prove nothing.
    At the edge of a shallow clone (`edge`) the edits are the whole content; nothing before it can be seen.
    """

    id: str
    parents: tuple[str, ...]
    edits: tuple[Edit, ...]
    author: str = ""
    author_mail: str = ""
    committer: str = ""
    committer_mail: str = ""
    date: str = ""
    claims: tuple[str, ...] = ()
    records: tuple[str, ...] = ()
    edge: bool = False


def is_governed(path: str) -> bool:
    """Whether an edit of this file needs a decision."""
    return path in (SETTINGS, PRICES) or path.startswith(("models/", "materials/"))


def subject_of(path: str) -> str:
    """What is issued for the first time together: a model, a material, the prices, the settings."""
    return "/".join(path.split("/")[:2])


def subjects_of(paths: Iterable[str]) -> frozenset[str]:
    """The subjects of some files."""
    return frozenset(map(subject_of, paths))
