"""A use above 1 from the edit on: said wherever it is met, until it is checked by somebody or lower."""

from pathlib import Path

import pytest

from tests.journeys.yard import (
    SIDE,
    Yard,
    answered,
    change_record,
    decide,
    edit_of,
    new_yard,
    only,
)

CHECKED = ("--reverified", "SC-014 rev C", "--body", "Registry")
WHERE = "layer 5 biax-800, bag side, fibre at -15°: transverse"
PROPOSE = (
    "change",
    "propose",
    "--title",
    "Faster",
    "--reason",
    "she is to run at 30 kn",
    "--category",
    "layup",
)


@pytest.fixture
def yard(tmp_path: Path) -> Yard:
    return new_yard(tmp_path)


def press(yard: Yard, kpa: float, was: float = 18.0) -> None:
    """Another pressure on the side deck: at 18 kPa it uses 0.45 of its strain; nobody typed a limit."""
    yard.edit(SIDE, f"pressure_kpa = {was}", f"pressure_kpa = {kpa}")


def by_hand(yard: Yard, change: str = "C-AAAAAA", decision: str = "D-AAAAAA") -> None:
    """The edit of the work tree on main, decided by hand without a word of a check."""
    commit = yard.repo.commit("by hand")
    change_record(yard, change, edits=[edit_of(yard, commit)])
    decide(yard, change, "approved", decision)


def test_it_is_told_and_asked_for_when_it_is_proposed(yard: Yard) -> None:
    press(yard, 45.0)
    said = yard(*PROPOSE)
    assert "approving it needs --reverified DOCUMENT --body B:" in said.err
    assert "deck/side: strain_use 1.127 is above 1: pressure on the mould side" in said.err
    assert WHERE in said.err
    refused = yard("change", "approve", said.id, who="ben")
    assert refused.status == 1
    assert WHERE in refused.err
    assert yard("change", "approve", said.id, *CHECKED, who="ben").status == 0
    assert yard.findings() == {}
    assert yard("release", "demo").id == "r2"


def test_it_stands_in_figures_and_comparisons(yard: Yard) -> None:
    press(yard, 45.0)
    figures = yard("figures")
    assert "EXCEEDED: strain use 1.127: pressure on the mould side" in figures.out.replace("\n", " ")
    assert WHERE in " ".join(figures.out.split())
    (side,) = yard("figures", "deck/side", "--json").json["zones"]
    assert side["exceeded"] == ["strain_use"]
    assert WHERE in side["governs"]["strain_use"]
    compared = " ".join(yard("compare").out.split())
    assert "EXCEEDED in deck/side: strain use 1.127" in compared
    assert WHERE in compared
    json = yard("compare", "--json").json
    assert [zone["exceeded"] for zone in json["zones"]] == [[], ["strain_use"]]
    assert WHERE in json["zones"][1]["governs"]["strain_use"]


def test_the_audit_tells_it_and_a_release_is_refused_until_a_document_answers_it(yard: Yard) -> None:
    press(yard, 45.0)
    by_hand(yard)
    finding = only(yard.findings(), "margin-exceeded")
    assert finding["subject"] == "deck/side"
    assert WHERE in finding["message"]
    assert "since C-AAAAAA, without a re-verification" in finding["message"]
    refused = yard("release", "demo")
    assert refused.status == 1
    assert "deck/side: strain_use 1.127 is above 1" in refused.err
    bare = yard("action", "record", finding["id"], "--cause", "c", "--done", "d", who="cem")
    assert (bare.status, "by a document" in bare.err) == (1, True)
    answered(yard, finding, "--document", "SC-014 rev C", "--body", "Registry")
    assert yard("release", "demo").id == "r2"


def test_it_ends_with_a_lower_use(yard: Yard) -> None:
    press(yard, 45.0)
    by_hand(yard)
    only(yard.findings(), "margin-exceeded")
    press(yard, 30.0, was=45.0)
    assert yard.change() != "C-AAAAAA"
    assert yard.findings() == {}


def test_an_answer_holds_for_a_use_that_grows_no_further(yard: Yard) -> None:
    press(yard, 45.0)
    by_hand(yard)
    answered(yard, only(yard.findings(), "margin-exceeded"), "--document", "SC-014", "--body", "Registry")
    press(yard, 44.0, was=45.0)
    assert yard.change()
    assert yard.findings() == {}
    press(yard, 50.0, was=44.0)
    by_hand(yard, "C-BBBBBB", "D-BBBBBB")
    finding = only(yard.findings(), "margin-exceeded")
    assert "since C-BBBBBB" in finding["message"]


def test_a_later_check_of_the_zone_covers_it(yard: Yard) -> None:
    press(yard, 45.0)
    by_hand(yard)
    only(yard.findings(), "margin-exceeded")
    press(yard, 47.0, was=45.0)
    change = yard(*PROPOSE).id
    assert yard("change", "approve", change, *CHECKED, who="ben").status == 0
    assert yard.findings() == {}
