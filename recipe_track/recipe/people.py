"""People as records name them: compared by mail address, ignoring case; who of them may decide."""

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
