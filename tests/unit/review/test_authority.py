"""Who may decide."""

import pytest

from recipe_track.errors import Refused
from recipe_track.recipe.craft import Approval
from recipe_track.review.authority import is_entitled, mail_of, require_decider, same_person

ADA, BEN = "Ada Quay <ada@quay.example>", "Ben Slip <BEN@quay.example>"


def test_people_are_their_mail_address_whatever_the_case() -> None:
    assert mail_of(BEN) == "ben@quay.example" == mail_of("ben@quay.example")
    assert same_person(BEN, "Someone Else <ben@Quay.example>")
    assert not same_person(ADA, BEN)


def test_no_list_entitles_anyone() -> None:
    assert is_entitled(Approval(), ADA)
    assert not is_entitled(Approval(approvers=("ben@quay.example",)), ADA)
    assert is_entitled(Approval(approvers=("Ben@Quay.Example",)), BEN)


def test_who_asked_cannot_decide_unless_settings_let_them() -> None:
    require_decider(Approval(), BEN, (ADA,), "C-AAAAAA")
    require_decider(Approval(distinct_approver=False), ADA, (ADA,), "C-AAAAAA")
    with pytest.raises(Refused, match="asked for C-AAAAAA"):
        require_decider(Approval(), ADA, (BEN, "ADA@quay.example"), "C-AAAAAA")
