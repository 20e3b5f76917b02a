"""What a walk along main found: where each change landed, what no decision covers, what is missing."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from recipe_track.trail.edits import Commit, Edit

Key = tuple[str, int]  # a change, and the number of the edit in its record


@dataclass(frozen=True, slots=True)
class Landing:
    """One edit of a change on one line of commits; `done` is what the commit did, moved or not."""

    change: str
    number: int  # of the edit in its record
    commit: str
    done: Edit


@dataclass(frozen=True, slots=True)
class Finding:
    """An edit that no decision covers: `edit-not-decided`.

    `edit` is that of the record where an undecided or a rejected change holds it, else what the commit did;
    `commits` are the copies on parallel lines, the first one first.
    """

    edit: Edit
    commits: tuple[str, ...]
    author: str
    author_mail: str
    committer: str
    committer_mail: str
    since: str
    claims: tuple[str, ...]
    change: str = ""
    taken_back: bool = False


@dataclass(frozen=True, slots=True)
class NotLanded:
    """An approved edit that a commit lacks though it holds the decision: `approved-not-landed`."""

    change: str
    number: int
    edit: Edit
    at: str


@dataclass(frozen=True, slots=True)
class Verdict:
    """All of it. `held` answers for main's tip and for every commit asked about."""

    landings: Mapping[str, tuple[Landing, ...]]  # by change, parents first
    landed_by: Mapping[str, tuple[Landing, ...]]  # by commit
    joined_by: Mapping[str, tuple[str, ...]]  # by merge: changes it brought to its first parent
    findings: tuple[Finding, ...]
    not_landed: tuple[NotLanded, ...]
    held: Mapping[str, frozenset[Key]]  # by commit: change and number of each edit it contains
    void: frozenset[Key]  # detours of a proposal that a squash dropped: not missing
    unseen: tuple[str, ...]  # merges that cannot be judged at the edge of a shallow clone

    @property
    def open(self) -> tuple[Finding, ...]:
        """The findings that stand at main's tip."""
        return tuple(finding for finding in self.findings if not finding.taken_back)

    def holds(self, commit: str, change: str, edits: int) -> bool:
        """Whether a commit that was asked about, and that main contains, has every edit of a change."""
        held = self.held.get(commit, frozenset())
        every = ((change, number) for number in range(edits))
        return any(key[0] == change for key in held) and all(key in held or key in self.void for key in every)


def first_holding(verdict: Verdict, change: str, edits: int, commits: Iterable[str]) -> str | None:
    """The first of some commits, in the order given, that contains a change."""
    return next((commit for commit in commits if verdict.holds(commit, change, edits)), None)


def finding_of(edit: Edit, commits: Sequence[Commit], change: str = "", taken_back: bool = False) -> Finding:
    """A finding as its first commit tells it."""
    first = commits[0]
    return Finding(
        edit=edit,
        commits=tuple(commit.id for commit in commits),
        author=first.author,
        author_mail=first.author_mail,
        committer=first.committer,
        committer_mail=first.committer_mail,
        since=first.date,
        claims=first.claims,
        change=change,
        taken_back=taken_back,
    )
