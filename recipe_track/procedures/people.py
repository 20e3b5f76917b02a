"""Who may do what: people are compared by their mail address, ignoring case."""

from recipe_track.errors import Refused
from recipe_track.recipe.craft import Approval


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
