"""Undecided, rejected, decided after the fact; first issues, settings, releases, the edge of a shallow clone."""

from tests.unit.trail.stories import OTHER, START, ZONE, Story, is_quiet, missing, started, text, undecided

SETTINGS = "recipe-track.toml"
PLAIN = b'format = 1\n\n[csv]\nseparator = ";"\n\n[approval]\nsigned = true\n'


def test_a_proposal_that_landed_undecided_is_found_under_its_own_edit() -> None:
    story = started()
    story.change("C-1", story.edit(text(), text("8y")))
    story.change("C-2", story.edit(text(), text("3x")), standing="undecided")
    story.commit("a", START, side=text("8y"))
    story.commit("b", "a", side=text("3x", "8y"))
    (finding,) = story.verdict().open
    assert (finding.change, finding.edit) == ("C-2", story.edit(text(), text("3x")))


def test_decided_with_another_it_is_told_alone() -> None:
    story = started()
    story.change("C-1", story.edit(text(), text("8y")))
    story.change("C-2", story.edit(text(), text("3x")), standing="undecided")
    story.commit("a", START, side=text("3x", "8y"))
    verdict = story.verdict()
    assert [finding.change for finding in verdict.open] == ["C-2"]
    assert missing(verdict) == []


def test_decided_after_the_fact_it_is_covered() -> None:
    story = started()
    story.commit("a", START, side=text("3x"))
    story.commit("b", "a", side=text("3x", "8y"))
    found = [finding.edit for finding in story.verdict().open]
    assert len(found) == 2
    story.change("C-1", *found)
    story.commit("c", "b", records=["records/C-1", "records/D-C-1"])
    assert is_quiet(story.verdict())


def rejected() -> Story:
    """An edit that landed, was rejected afterwards, and something else on top."""
    story = started()
    story.change("C-1", story.edit(text(), text("3x")), standing="rejected")
    story.change("C-2", story.edit(text(), text("8y")))
    story.commit("a", START, side=text("3x"))
    story.commit("b", "a", side=text("3x", "8y"))
    return story


def test_a_rejection_leaves_the_finding_until_it_is_taken_back() -> None:
    story = rejected()
    (finding,) = story.verdict().open
    assert finding.change == "C-1"
    story.commit("c", "b", side=text("8y"))
    verdict = story.verdict()
    assert is_quiet(verdict)
    assert [finding.taken_back for finding in verdict.findings] == [True]


def test_a_rejection_covers_exactly_the_taking_back() -> None:
    story = rejected()
    story.commit("c", "b", side=text("8y", "0z"))
    assert {path for path, _ in undecided(story.verdict())} == {ZONE}
    story.commits.pop()
    story.commit("c", "b", side=text())
    assert len(undecided(story.verdict())) == 2


def test_a_rejection_does_not_cover_a_taking_back_of_what_never_landed() -> None:
    story = started()
    story.change("C-1", story.edit(text("3x"), text()), standing="rejected")
    story.commit("a", START, side=text("3x"))
    assert undecided(story.verdict()) == [(ZONE, "a")]


def test_taken_back_without_any_decision_both_stay() -> None:
    story = started()
    story.commit("a", START, side=text("3x"))
    story.commit("b", "a", side=text())
    assert undecided(story.verdict()) == [(ZONE, "a"), (ZONE, "b")]


def test_after_a_taking_back_the_same_edit_is_found_again() -> None:
    story = rejected()
    story.commit("c", "b", side=text("8y"))
    story.commit("d", "c", side=text("3x", "8y"))
    assert undecided(story.verdict()) == [(ZONE, "d")]


def test_the_same_undecided_edit_done_twice_is_two() -> None:
    story = started()
    for name, parent, side in (("a", START, text("3x")), ("b", "a", text()), ("c", "b", text("3x"))):
        story.commit(name, parent, side=side)
    assert [commit for _, commit in undecided(story.verdict())] == ["a", "b", "c"]


def test_a_first_issue_needs_no_decision_the_next_edit_does() -> None:
    story = started()
    story.commit("a", START, files={"materials/biax.toml": b"first\n", "models/n/model.toml": b"n\n"})
    story.commit("b", "a", files={"materials/biax.toml": b"second\n", "models/n/hull/part.toml": b"part\n"})
    assert undecided(story.verdict()) == [("materials/biax.toml", "b"), ("models/n/hull/part.toml", "b")]


def test_what_was_there_once_is_issued_no_second_time() -> None:
    story = started()
    story.change("C-1", story.edit(b"m\n", None, "materials/biax.toml"))
    story.commit("a", START, files={"materials/biax.toml": b"m\n"})
    story.commit("b", "a", files={"materials/biax.toml": None})
    story.commit("c", "b", files={"materials/biax.toml": b"m\n"})
    assert undecided(story.verdict()) == [("materials/biax.toml", "c")]


def test_a_first_issue_dropped_by_a_merge_is_found() -> None:
    story = started()
    story.commit("a", START, files={"materials/biax.toml": b"m\n"})
    story.commit("b", START)
    story.commit("m", ["b", "a"])
    assert undecided(story.verdict()) == [("materials/biax.toml", "m")]


def test_a_first_issue_under_a_proposal_in_two_commits_counts_as_landed() -> None:
    story = started()
    story.change("C-1", story.edit(None, b"m\n", "materials/biax.toml"), story.edit(text(), text("3x")))
    story.commit("a", START, files={"materials/biax.toml": b"m\n"})
    story.commit("b", "a", records=["records/C-1"], side=text("3x"))
    verdict = story.verdict()
    assert is_quiet(verdict)
    assert verdict.holds("b", "C-1", 2)


def test_a_later_decision_about_the_same_text_leaves_the_first_issue_alone() -> None:
    story = started()
    story.change("C-1", story.edit(text(), None))
    story.change("C-2", story.edit(None, text()))
    story.commit("a", START, records=["records/C-1"], side=None)
    story.commit("b", "a", records=["records/C-2"], side=text())
    assert is_quiet(story.verdict())


def test_settings_need_a_decision_but_for_habits() -> None:
    story = started(recipe_track=PLAIN)
    habits = PLAIN.replace(b";", b",")
    loosened = habits.replace(b"true", b"false")
    story.commit("a", START, files={SETTINGS: habits})
    assert is_quiet(story.verdict())
    story.commit("b", "a", files={SETTINGS: loosened})
    assert undecided(story.verdict()) == [(SETTINGS, "b")]


def test_habits_of_two_sides_meet() -> None:
    story = started(recipe_track=PLAIN + b"\n\n\n[lessons]\nshow = 1\n")
    story.commit("a", START, files={SETTINGS: PLAIN.replace(b";", b",") + b"\n\n\n[lessons]\nshow = 1\n"})
    story.commit("b", START, files={SETTINGS: PLAIN + b"\n\n\n[lessons]\nshow = 2\n"})
    story.commit(
        "m", ["a", "b"], files={SETTINGS: PLAIN.replace(b";", b",") + b"\n\n\n[lessons]\nshow = 2\n"}
    )
    assert is_quiet(story.verdict())


def test_habits_that_a_merge_decides_by_hand_need_no_decision() -> None:
    story = started(recipe_track=PLAIN)
    for name, mark in (("a", b","), ("b", b"|")):
        story.commit(name, START, files={SETTINGS: PLAIN.replace(b";", mark)})
    story.commit("m", ["a", "b"], files={SETTINGS: PLAIN.replace(b";", b":")})
    assert is_quiet(story.verdict())


def test_a_release_that_holds_a_decision_but_not_its_edit() -> None:
    story = started()
    change = story.change("C-1", story.edit(text(), text("3x")))
    story.commit("a", START, records=[change.record, change.decision])
    story.commit("b", "a", side=text("3x"))
    verdict = story.verdict("a", START)
    assert [(one.change, one.at) for one in verdict.not_landed] == [("C-1", "a")]
    assert not verdict.holds("a", "C-1", 1)
    assert verdict.holds("b", "C-1", 1)


def test_a_revert_carried_to_where_there_is_nothing_to_revert_is_not_missing() -> None:
    story = started()
    story.change("C-2", story.edit(text("3x"), text()))
    story.commit("a", START, records=["records/C-2", "records/D-C-2"])
    assert is_quiet(story.verdict())


def test_an_approved_edit_that_is_nowhere_is_missing() -> None:
    story = started()
    story.change("C-1", story.edit(text(), text("3x")), story.edit(text(), text("8y"), OTHER))
    assert missing(story.verdict()) == [("C-1", 0), ("C-1", 1)]


def test_at_the_edge_of_a_shallow_clone_decisions_there_count_as_landed() -> None:
    story = Story()
    change = story.change("C-1", story.edit(text(), text("3x")))
    story.commit(START, edge=True, records=[change.record, change.decision], side=text("3x"))
    story.commit("a", START, side=text("3x", "8y"))
    verdict = story.verdict()
    assert undecided(verdict) == [(ZONE, "a")]
    assert missing(verdict) == []


def test_beyond_the_edge_nothing_is_cleared_by_an_old_decision() -> None:
    story = Story()
    first = story.change("C-1", story.edit(text(), text("3x")))
    back = story.change("C-2", story.edit(text("3x"), text()))
    records = [first.record, first.decision, back.record, back.decision]
    story.commit(START, edge=True, records=records, side=text())
    story.commit("a", START, side=text("3x"))
    assert undecided(story.verdict()) == [(ZONE, "a")]


def test_a_merge_of_two_edges_is_told_as_unseen() -> None:
    story = Story()
    story.commit("one", edge=True, side=text("3x"))
    story.commit("other", edge=True, side=text("8y"))
    story.commit("m", ["one", "other"], side=text("3x", "8y"))
    verdict = story.verdict()
    assert is_quiet(verdict)
    assert verdict.unseen == ("m",)


def test_a_first_issue_that_was_rejected_is_found() -> None:
    story = started()
    story.change("C-1", story.edit(None, b"m\n", "materials/biax.toml"), standing="rejected")
    story.commit("a", START, files={"materials/biax.toml": b"m\n"})
    (finding,) = story.verdict().open
    assert finding.change == "C-1"
    story.commit("b", "a", files={"materials/biax.toml": None})
    assert is_quiet(story.verdict())


def test_a_change_and_its_revert_that_were_squashed_away_together_are_not_missing() -> None:
    story = started()
    story.change("C-1", story.edit(text(), text("3x")))
    story.change("C-2", story.edit(text("3x"), text()))
    story.change("C-3", story.edit(text(), text("8y")))
    story.commit("a", START, side=text("8y"))
    verdict = story.verdict()
    assert is_quiet(verdict)
    assert not verdict.holds("a", "C-1", 1)


def test_a_change_that_was_left_out_is_missing_whatever_else_landed() -> None:
    story = started()
    story.change("C-1", story.edit(text(), text("3x")))
    story.change("C-2", story.edit(text(), text("5w")))
    story.change("C-3", story.edit(text(), text("8y")))
    story.commit("a", START, side=text("8y"))
    assert missing(story.verdict()) == [("C-1", 0), ("C-2", 0)]


def test_an_undecided_edit_is_found_though_the_same_is_decided_and_made_later() -> None:
    story = started()
    story.change("C-1", story.edit(text("3x"), text()))
    story.change("C-2", story.edit(text(), text("3x")))
    story.commit("undecided", START, side=text("3x"))
    story.commit("back", "undecided", records=["records/C-1", "records/D-C-1"], side=text())
    story.commit("again", "back", records=["records/C-2", "records/D-C-2"], side=text("3x"))
    assert undecided(story.verdict()) == [(ZONE, "undecided")]
    story.change("C-3", story.edit(text(), text("3x")))
    assert is_quiet(story.verdict())


def test_a_proposal_whose_record_comes_with_its_last_commit_is_not_taken_for_an_earlier_one() -> None:
    story = started()
    story.change("C-1", story.edit(text(), text("3x")), story.edit(text("3x"), text("3x", "8y")))
    story.change("C-2", story.edit(text("3x", "8y"), text("8y")))
    story.commit("a", START, side=text("3x"))
    story.commit("b", "a", records=["records/C-1", "records/D-C-1"], side=text("3x", "8y"))
    story.commit("back", "b", records=["records/C-2", "records/D-C-2"], side=text("8y"))
    story.commit("replayed", "back", claims=["C-1"], side=text("3x", "8y"))
    assert undecided(story.verdict()) == [(ZONE, "replayed")]
