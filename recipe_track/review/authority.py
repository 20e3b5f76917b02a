"""Who may decide, and whether a decision or a release is proven to be theirs."""

from collections.abc import Mapping

from recipe_track.errors import Refused
from recipe_track.history.log import Commit, walk
from recipe_track.history.objects import read_files
from recipe_track.history.signatures import Signature, verify_commits
from recipe_track.recipe.craft import Approval
from recipe_track.recipe.paths import SETTINGS_PATH
from recipe_track.textfiles.meaning.read import read_file
from recipe_track.workspace import Workspace


def mail_of(person: str) -> str:
    """The mail address of `Name <mail>`, in lower case; a bare address is itself."""
    return person.rsplit("<", 1)[-1].rstrip(">").strip().lower()


def same_person(one: str, other: str) -> bool:
    """Whether two texts name one person."""
    return mail_of(one) == mail_of(other)


def is_entitled(approval: Approval, person: str) -> bool:
    """Whether the settings let this person decide; no list means anyone."""
    listed = {mail_of(approver) for approver in approval.approvers}
    return not listed or mail_of(person) in listed


def require_decider(approval: Approval, person: str, asked_by: tuple[str, ...], what: str) -> None:
    """Refuse someone who is not entitled, or who decides on what they asked for themselves."""
    require_entitled(approval, person, what)
    if approval.distinct_approver and any(same_person(person, asker) for asker in asked_by):
        raise Refused(
            f"{person} asked for {what} and so cannot decide on it",
            "someone else has to decide (approval.distinct_approver in recipe-track.toml on main)",
        )


def require_entitled(approval: Approval, person: str, what: str) -> None:
    """Refuse someone whom the list of approvers does not name."""
    if not is_entitled(approval, person):
        raise Refused(
            f"{person} is not entitled to decide on {what}",
            f"approval.approvers in recipe-track.toml names {', '.join(approval.approvers)}",
        )


ALLOWED_SIGNERS = ".allowed_signers"
NOT_PROVEN = "identity not proven"


def signers_before(ws: Workspace, parent: str | None) -> bytes:
    """The allowed signers that a state names; nobody before the first commit."""
    if parent is None:
        return b""
    return read_files(ws.repo, parent, ALLOWED_SIGNERS).get(ALLOWED_SIGNERS, b"")


def settings_before(ws: Workspace, parent: str | None) -> object | None:
    """The settings of a state; None where there are none that can be read."""
    data = read_files(ws.repo, parent, SETTINGS_PATH) if parent else {}
    return read_file(SETTINGS_PATH, data[SETTINGS_PATH])[0] if SETTINGS_PATH in data else None


def signatures(ws: Workspace, commits: Mapping[str, str | None]) -> dict[str, Signature]:
    """The signature of each commit, given with its first parent, by the signers that the parent names."""
    by_signers: dict[bytes, list[str]] = {}
    for commit, parent in commits.items():
        by_signers.setdefault(signers_before(ws, parent), []).append(commit)
    proven: dict[str, Signature] = {}
    for signers, group in by_signers.items():
        proven |= verify_commits(ws.repo, group, signers)
    return proven


def parent_of(commit: Commit) -> str | None:
    """The state before a commit: its first parent."""
    return commit.parents[0] if commit.parents else None


def proof_said(ws: Workspace, commit: str | None) -> tuple[str, ...]:
    """What is told about a decision just written; nothing where it was only tried."""
    if commit is None:
        return ()
    written = walk(ws.repo, commit, limit=1)[0]
    return (proof_words(signatures(ws, {commit: parent_of(written)}).get(commit)),)


def proof_words(signature: Signature | None) -> str:
    """`signed by …`, or what keeps the identity from being proven."""
    if signature is None or signature.verdict == "none":
        return NOT_PROVEN
    if signature.verdict == "good":
        return f"signed by {signature.signer}"
    if signature.verdict == "bad":
        return f"{NOT_PROVEN}: the signature does not fit the content"
    return f"{NOT_PROVEN}: signed with a key that nobody vouches for"
