"""What a decision lacks in the person who made it: it then has no effect, wherever it came from."""

from collections.abc import Sequence
from typing import Literal

from recipe_track.recipe.craft import Approval
from recipe_track.recipe.people import is_entitled, same_person
from recipe_track.recipe.records import CONFIRMED, Decision, Record, Trial

DeciderFault = Literal["approved-by-proposer", "approver-not-entitled"]
HOLD_SEVERITY = 4
ACCEPTING = ("approved", "accepted")


def decider_fault(
    decision: Decision, subject: Record, rules: Sequence[Approval], makers: Sequence[str] = ()
) -> DeciderFault | None:
    """By the settings a decision has to satisfy; `makers` made, beside who wrote it, what is decided.

    Whoever asked for something may withdraw it. An observation that puts nothing on hold is closed by anyone.
    """
    if decision.decision == CONFIRMED or (isinstance(subject, Trial) and subject.severity < HOLD_SEVERITY):
        return None
    own = any(same_person(decision.by, person) for person in (subject.by, *makers))
    settles = decision.decision in ACCEPTING or isinstance(subject, Trial)
    if settles and own and any(one.distinct_approver for one in rules):
        return "approved-by-proposer"
    withdrawn = own and not settles
    if not withdrawn and not all(is_entitled(one, decision.by) for one in rules):
        return "approver-not-entitled"
    return None
