"""Refusals and findings say what is so: whose doing something was, what a commit claims, where main is behind."""

from pathlib import Path

import pytest

from tests.journeys.team import THICKER, Team, new_team
from tests.journeys.yard import Yard, new_yard, thicken

SEEN = ("--hull", "001", "--zone", "deck/side", "--observation", "crack", "--text", "a crack")


@pytest.fixture
def yard(tmp_path: Path) -> Yard:
    return new_yard(tmp_path)


@pytest.fixture
def team(tmp_path: Path) -> Team:
    return new_team(tmp_path)


def proposed(yard: Yard) -> str:
    thicken(yard)
    change = yard(
        "change", "propose", "--title", "t", "--reason", "too soft underfoot", "--category", "layup"
    ).id
    yard.repo.git("checkout", "--quiet", "HEAD", "--", ".")
    return change


def test_what_fetched_main_holds_is_not_the_doing_of_a_branch(team: Team) -> None:
    ada, ben, cem = (team.clones[who] for who in ("ada", "ben", "cem"))
    assert cem("trial", "log", *SEEN, "--severity", "2").status == 0
    cem.git("push", "--quiet", "origin", "main")
    ada.git("pull", "--quiet", "origin", "main")
    change = ada.propose(THICKER)
    ada.git("push", "--quiet", "origin", f"change/{change}")
    ben.git("fetch", "--quiet")
    said = ben("change", "approve", change)
    assert said.status == 0, said.err
    assert ben("audit").status == 0
    # Who logged on main what the branch stands on has made no commit of the branch.
    other = ada.propose((THICKER[0], "overlap_fraction = 0.06", "overlap_fraction = 0.07"))
    ada.git("push", "--quiet", "origin", f"change/{other}")
    cem.git("fetch", "--quiet")
    cem.git("reset", "--quiet", "--hard", "HEAD~1")
    said = cem("change", "approve", other)
    assert said.status == 0, said.err


def test_where_it_cannot_be_told_the_way_is_to_fetch_and_pull(team: Team) -> None:
    ada, ben = team.clones["ada"], team.clones["ben"]
    assert ada("trial", "log", *SEEN, "--severity", "2").status == 0
    change = ada.propose(THICKER)
    ada.git("push", "--quiet", "origin", f"change/{change}")  # and main is not pushed
    ben.git("fetch", "--quiet")
    said = ben("change", "approve", change)
    assert said.status == 1
    assert "fetch and pull first" in said.err


def test_an_edit_that_its_claim_holds_is_not_said_to_lack_it(yard: Yard) -> None:
    change = proposed(yard)
    yard.repo.git("merge", "--quiet", "--no-ff", f"change/{change}", "-m", f"in by hand\n\nChange: {change}")
    (found,) = yard.findings()["edit-not-decided"]
    assert "does not hold this edit" not in found["message"]
    assert f"an edit of {change}, which is not approved" in found["message"]


def test_who_only_squashed_a_branch_has_not_asked_for_it(yard: Yard) -> None:
    change = proposed(yard)
    yard.repo.git("checkout", "--quiet", f"change/{change}")
    yard.repo.clock += 3600
    yard.repo.git("commit", "--quiet", "--amend", "--reset-author", "--no-edit", who="ben")
    yard.repo.git("checkout", "--quiet", "main")
    refused = yard("change", "approve", change, who="ben")
    assert refused.status == 1
    assert f"made commits of {change} and so cannot decide on it" in refused.err
    assert "asked for" not in refused.err
    assert "asked for" in yard("change", "approve", change, who="ada").err


def test_an_action_says_whose_doing_a_finding_is(yard: Yard) -> None:
    trial = yard("trial", "log", *SEEN, "--severity", "2").id
    assert f"wrote {trial}" in yard("action", "record", trial, "--cause", "c", "--done", "d", who="ada").err


def test_an_observation_repeats_one_that_is_named(yard: Yard) -> None:
    first = yard("trial", "log", *SEEN, "--severity", "2").id
    again = yard("trial", "log", *SEEN, "--severity", "2").id
    said = ("trial", "decide", again, "--note", "the same crack", "--decision")
    for wrong in (("same-as",), ("contained", "--same-as", first)):
        refused = yard(*said, *wrong)
        assert refused.status == 2
        assert "--same-as T-… goes with --decision same-as" in refused.err
    assert yard(*said, "same-as", "--same-as", again).status == 1
    assert yard(*said, "same-as", "--same-as", "T-ZZZZZZ").status == 2
    assert yard(*said, "same-as", "--same-as", first.lower()).status == 0
    shown = yard("trial", "show", again, "--json").json
    assert shown["decisions"][0]["same_as"] == first
    assert shown["state"] == "answered"
