"""Who may decide, and whether a record is proven to be theirs."""

from __future__ import annotations

from typing import TYPE_CHECKING

from recipe_track.errors import Refused
from recipe_track.recipe.people import is_entitled, same_person

if TYPE_CHECKING:
    from recipe_track.history.signatures import Signature
    from recipe_track.recipe.craft import Approval


def require_decider(
    approval: Approval, person: str, asked_by: tuple[str, ...], what: str, did: str = "asked for"
) -> None:
    """Refuse someone who is not entitled, or who decides on what they did themselves; `did` says what."""
    require_entitled(approval, person, what)
    if approval.distinct_approver and any(same_person(person, asker) for asker in asked_by):
        raise Refused(
            f"{person} {did} {what} and so cannot decide on it",
            "someone else has to decide (approval.distinct_approver in recipe-track.toml on main)",
        )


def require_entitled(approval: Approval, person: str, what: str) -> None:
    """Refuse someone whom the list of approvers does not name."""
    if not is_entitled(approval, person):
        raise Refused(
            f"{person} is not entitled to decide on {what}",
            f"approval.approvers in recipe-track.toml names {', '.join(approval.approvers)}",
        )


NOT_PROVEN = "identity not proven"


def proof_words(signature: Signature | None) -> str:
    """`signed by …`, or what keeps the identity from being proven."""
    if signature is None or signature.verdict == "none":
        return NOT_PROVEN
    if signature.verdict == "good":
        return f"signed by {signature.signer}"
    if signature.verdict == "bad":
        return f"{NOT_PROVEN}: the signature does not fit the content"
    return f"{NOT_PROVEN}: signed with a key that nobody vouches for"
