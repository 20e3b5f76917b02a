"""The rule for a merge: the side that holds the other, else the clean merge of both; all else is an edit."""

import pytest

from tests.unit.trail.stories import OTHER, START, ZONE, Story, is_quiet, missing, started, text, undecided


def two_lines() -> Story:
    """One change landed here, another there."""
    story = started()
    story.change("C-1", story.edit(text(), text("3x")))
    story.change("C-2", story.edit(text(), text("8y")))
    story.commit("a", START, side=text("3x"))
    story.commit("b", START, side=text("8y"))
    return story


def test_a_clean_merge_of_both_sides_is_no_edit() -> None:
    story = two_lines()
    story.commit("m", ["a", "b"], side=text("3x", "8y"))
    verdict = story.verdict()
    assert is_quiet(verdict)
    assert verdict.joined_by == {"m": ("C-2",)}


def test_an_edit_inside_a_merge_is_found() -> None:
    story = two_lines()
    story.commit("m", ["a", "b"], side=text("3x", "8y", "0z"))
    (finding,) = story.verdict().open
    assert finding.edit == story.edit(text("3x"), text("3x", "8y", "0z"))
    story.change("C-3", finding.edit)
    assert is_quiet(story.verdict())


def test_an_edit_inside_a_merge_that_was_decided_is_covered() -> None:
    story = two_lines()
    story.change("C-3", story.edit(text(), text("0z")))
    story.commit("m", ["a", "b"], side=text("3x", "8y", "0z"))
    verdict = story.verdict()
    assert is_quiet(verdict)
    assert [landing.change for landing in verdict.landed_by["m"]] == ["C-3"]


@pytest.mark.parametrize(("kept", "lost"), [("3x", "8y"), ("8y", "3x")])
def test_a_side_dropped_by_a_merge_is_found_as_an_edit_of_that_side(kept: str, lost: str) -> None:
    story = two_lines()
    story.commit("m", ["a", "b"], side=text(kept))
    (finding,) = story.verdict().open
    assert finding.edit == story.edit(text(lost), text(kept))


def test_a_decision_about_the_other_side_does_not_excuse_what_a_merge_dropped() -> None:
    story = two_lines()
    story.change("C-3", story.edit(text("3x"), text("3x", "0z")))
    story.commit("m", ["a", "b"], side=text("3x", "0z"))
    (finding,) = story.verdict().open
    assert finding.edit == story.edit(text("8y"), text("3x", "0z"))


def test_a_merge_by_hand_is_decided_against_each_side() -> None:
    story = started()
    story.change("C-1", story.edit(text(), text("3x")))
    story.change("C-2", story.edit(text(), text("3y")))
    story.commit("a", START, side=text("3x"))
    story.commit("b", START, side=text("3y"))
    story.commit("m", ["a", "b"], side=text("3z"))
    found = [finding.edit for finding in story.verdict().open]
    assert found == [story.edit(text("3x"), text("3z")), story.edit(text("3y"), text("3z"))]
    story.change("C-3", *found)
    assert is_quiet(story.verdict())


def test_where_one_side_holds_the_other_the_result_is_that_side() -> None:
    story = started()
    story.change("C-1", story.edit(text(), text("3x")))
    story.change("C-2", story.edit(text("3x"), text()))
    story.commit("a", START, side=text("3x"))
    story.commit("back", "a", side=text())
    story.commit("copy", START, side=text("3x"))
    story.commit("m", ["back", "copy"], side=text())
    assert is_quiet(story.verdict())


def test_a_pull_that_revives_what_was_taken_back_is_found() -> None:
    story = started()
    story.change("C-1", story.edit(text(), text("3x")))
    story.change("C-2", story.edit(text("3x"), text()))
    story.commit("a", START, side=text("3x"))
    story.commit("back", "a", side=text())
    story.commit("copy", START, side=text("3x"))
    story.commit("m", ["back", "copy"], side=text("3x"))  # as git does, which knows nothing of copies
    assert undecided(story.verdict()) == [(ZONE, "m")]


def test_nor_may_a_line_with_more_on_it_revive_it() -> None:
    """Neither side holds the other; the base is the text that held what both hold, on whichever line."""
    story = started()
    story.change("C-1", story.edit(text(), text("3x")))
    story.change("C-2", story.edit(text("3x"), text()))
    story.change("C-3", story.edit(text("3x"), text("3x", "8y")))
    story.commit("a", START, side=text("3x"))
    story.commit("back", "a", side=text())
    story.commit("copy", START, side=text("3x"))
    story.commit("more", "copy", side=text("3x", "8y"))
    story.commit("m", ["back", "more"], side=text("3x", "8y"))
    assert undecided(story.verdict()) == [(ZONE, "m")]
    story.commits.pop()
    story.commit("m", ["back", "more"], side=text("8y"))
    assert is_quiet(story.verdict())


def test_copies_on_both_sides_are_one_landing() -> None:
    story = started()
    story.change("C-1", story.edit(text(), text("3x")))
    story.change("C-2", story.edit(text(), text("8y")))
    story.commit("a", START, side=text("3x"))
    story.commit("b", START, side=text("8y"))
    story.commit("c", "b", side=text("3x", "8y"))
    story.commit("m", ["a", "c"], side=text("3x", "8y"))
    verdict = story.verdict()
    assert is_quiet(verdict)
    assert [landing.commit for landing in verdict.landings["C-1"]] == ["a", "c"]


def test_what_a_merge_made_of_an_edit_is_decided_against_each_side() -> None:
    story = two_lines()
    story.commit("m", ["a", "b"], side=text("3x", "8z"))
    found = [finding.edit for finding in story.verdict().open]
    assert found == [story.edit(text(side), text("3x", "8z")) for side in ("3x", "8y")]
    story.change("C-3", *found)
    assert is_quiet(story.verdict())


def test_criss_cross() -> None:
    story = two_lines()
    story.change("C-3", story.edit(text(), text("0z")))
    story.change("C-4", story.edit(text(), text("5w")))
    both = text("3x", "8y")
    story.commit("m", ["a", "b"], side=both)
    story.commit("n", ["b", "a"], side=both)
    story.commit("m1", "m", side=text("3x", "8y", "0z"))
    story.commit("n1", "n", side=text("3x", "8y", "5w"))
    story.commit("o", ["m1", "n1"], side=text("3x", "8y", "0z", "5w"))
    assert is_quiet(story.verdict())


def test_a_finding_is_carried_by_a_merge_and_stays_one() -> None:
    story = started()
    story.change("C-1", story.edit(text(), text("3x")))
    story.commit("a", START, side=text("3x"))
    story.commit("b", START, side=text("8y"))
    story.commit("m", ["a", "b"], side=text("3x", "8y"))
    verdict = story.verdict()
    assert undecided(verdict) == [(ZONE, "b")]


def test_a_finding_dropped_by_a_merge_is_not_forgotten() -> None:
    story = started()
    story.change("C-1", story.edit(text(), text("3x")))
    story.commit("a", START, side=text("3x"))
    story.commit("b", START, side=text("8y"))
    story.commit("m", ["a", "b"], side=text("3x"))
    assert undecided(story.verdict()) == [(ZONE, "b"), (ZONE, "m")]


def test_a_merge_of_three_lines() -> None:
    story = two_lines()
    story.change("C-3", story.edit(text(), text("0z")))
    story.commit("c", START, side=text("0z"))
    story.commit("m", ["a", "b", "c"], side=text("3x", "8y", "0z"))
    assert is_quiet(story.verdict())


def test_a_file_touched_on_one_side_only_is_that_side() -> None:
    story = two_lines()
    story.change("C-3", story.edit(text(), text("5w"), OTHER))
    story.commit("c", "b", files={OTHER: text("5w")})
    story.commit("m", ["a", "c"], side=text("3x", "8y"))  # the other zone as it was at a
    verdict = story.verdict()
    assert undecided(verdict) == [(OTHER, "m")]
    assert missing(verdict) == []
