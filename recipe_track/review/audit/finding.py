"""What an audit finds: a rule, what it is about, where, who, since when, and what ends it."""

from __future__ import annotations

import hashlib
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, TypedDict

if TYPE_CHECKING:
    from recipe_track.history.ancestry import Ancestor

# Holds before all, then what makes the record itself false, then what is unfinished.
WORST_FIRST = (
    "hold",
    "main-invalid",
    "edit-not-decided",
    "approved-not-landed",
    "record-altered",
    "record-deleted",
    "record-by-another",
    "signature-missing",
    "signature-invalid",
    "release-moved",
    "release-deleted",
    "release-no-commit",
    "release-off-main",
    "step-not-at-release",
    "steps-disagree",
    "hull-revision-missing",
    "approved-by-proposer",
    "approver-not-entitled",
    "correction-without-effect",
    "corrections-disagree",
    "attachment-altered",
    "zone-vanished",
    "minimum-broken",
    "margin-exceeded",
    "minimum-rebased",
    "hold-ignored",
    "invalid-at-release",
    "observation-unanswered",
    "nonconformity-open",
    "change-not-confirmed",
    "hull-action-open",
    "change-unverified",
    "records-contradict",
    "record-dated-ahead",
    "step-back",
    "first-issue-without-reason",
)
# These have ways of their own to end, which no account of what was done about them replaces.
NOT_ANSWERED = frozenset({"hold", "main-invalid", "edit-not-decided"})
# What a document has to stand for: an account of what was done is not enough.
NEEDS_DOCUMENT = frozenset({"minimum-broken", "margin-exceeded", "minimum-rebased"})
_DIGITS = 6


@dataclass(frozen=True, slots=True)
class Finding:
    """Something not in order; `basis` is what it hangs on: where that changes, it is another finding."""

    rule: str
    subject: str
    message: str
    remedy: str
    file: str | None = None
    commit: str | None = None
    by: str | None = None
    since: str | None = None
    basis: tuple[str, ...] = ()
    id: str = ""

    @property
    def seen(self) -> tuple[str, ...]:
        """The evidence that an answer to it has to name."""
        return self.basis or (self.message,)

    @property
    def names(self) -> tuple[str, str]:
        """Its id alone, and its id beside others of the same rule about the same thing.

        The second hangs on what is wrong, never on a commit: a rebase leaves it as it was.
        """
        plain = f"{self.rule} {self.subject}"
        hashed = hashlib.sha256("\0".join(self.seen).encode("utf-8", "surrogateescape")).hexdigest()
        return plain, f"{plain}#{hashed[:_DIGITS]}"


class Place(TypedDict):
    """The commit something was found in, who made it, and when; not who and when where a clone ends."""

    commit: str
    by: str | None
    since: str | None


def found_in(commit: Ancestor) -> Place:
    """Where, who and since when, as a finding tells it of a commit."""
    if commit.edge:  # what a shallow clone begins with holds the work of all before
        return {"commit": commit.id, "by": None, "since": None}
    return {"commit": commit.id, "by": f"{commit.author} <{commit.author_mail}>", "since": commit.date}


def said_by_action(rule: str, subject: str) -> str:
    """What ends a finding that no other record undoes: who may says how it came, and what was done."""
    return f"find out which is right, and say so: `action record '{rule} {subject}' --cause … --done …`"


def ordered(findings: Sequence[Finding]) -> tuple[Finding, ...]:
    """Each finding once, worst first, with its id; several of one rule about one thing are told apart."""
    once = tuple(dict.fromkeys(findings))
    shared = Counter((finding.rule, finding.subject) for finding in once)
    named = [replace(f, id=f.names[shared[f.rule, f.subject] > 1]) for f in once]
    return tuple(sorted(named, key=lambda f: (WORST_FIRST.index(f.rule), f.since or "9999", f.subject, f.id)))
