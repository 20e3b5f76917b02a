"""The rule for a commit with one parent: the edit, the edit moved, a chain of these; once on any line."""

from tests.unit.trail.stories import OTHER, START, ZONE, is_quiet, missing, started, text, undecided


def test_an_edit_that_was_decided_is_covered() -> None:
    story = started()
    story.change("C-1", story.edit(text(), text("3x")))
    story.commit("a", START, side=text("3x"))
    verdict = story.verdict()
    assert is_quiet(verdict)
    (landing,) = verdict.landings["C-1"]
    assert (landing.commit, landing.done) == ("a", story.edit(text(), text("3x")))
    assert verdict.landed_by["a"] == (landing,)


def test_an_edit_that_nothing_covers_is_found_with_its_person_and_its_claim() -> None:
    story = started()
    story.commit("a", START, claims=["C-9"], side=text("3x"))
    (finding,) = story.verdict().findings
    assert finding.edit == story.edit(text(), text("3x"))
    assert (finding.commits, finding.since) == (("a",), "on a")
    assert (finding.author, finding.committer_mail) == ("Ada", "ben@quay.example")
    assert (finding.claims, finding.change) == (("C-9",), "")


def test_a_trailer_proves_nothing() -> None:
    story = started()
    story.change("C-1", story.edit(text(), text("3x")))
    story.commit("a", START, side=text("3x"))
    story.commit("b", "a", claims=["C-1"], side=text("3x", "8y"))
    assert undecided(story.verdict()) == [(ZONE, "b")]


def test_an_edit_moved_onto_another_text_is_covered() -> None:
    story = started()
    story.change("C-1", story.edit(text(), text("3x")))
    story.change("C-2", story.edit(text(), text("8y")))
    story.commit("a", START, side=text("3x"))
    story.commit("b", "a", side=text("3x", "8y"))
    assert is_quiet(story.verdict())


def test_an_edit_moved_with_more_in_it_is_not() -> None:
    story = started()
    story.change("C-1", story.edit(text(), text("3x")))
    story.change("C-2", story.edit(text(), text("8y")))
    story.commit("a", START, side=text("3x"))
    story.commit("b", "a", side=text("3x", "8y", "0z"))
    verdict = story.verdict()
    assert undecided(verdict) == [(ZONE, "b")]
    assert "C-2" not in verdict.landings
    assert missing(verdict) == []  # what it says is there: the finding alone speaks


def test_what_its_base_held_undecided_does_not_come_along() -> None:
    """Carried the other way round, it would: both sides of that merge hold the line that nobody decided."""
    story = started()
    story.change("C-1", story.edit(text("0z"), text("0z", "8y")))
    story.commit("a", START, side=text("0z", "8y"))
    assert undecided(story.verdict()) == [(ZONE, "a")]


def test_a_squash_of_several_commits_is_a_chain() -> None:
    story = started()
    story.change(
        "C-1",
        story.edit(text(), text("3x")),
        story.edit(text("3x"), text("3y")),
        story.edit(text("3y"), text("3y", "8z")),
    )
    story.commit("a", START, side=text("3y", "8z"))
    verdict = story.verdict()
    assert is_quiet(verdict)
    assert [landing.number for landing in verdict.landings["C-1"]] == [0, 1, 2]


def test_a_squash_on_a_moved_file_is_a_chain_moved() -> None:
    story = started()
    story.change("C-1", story.edit(text(), text("3x")), story.edit(text("3x"), text("3y")))
    story.change("C-2", story.edit(text(), text("8z")))
    story.commit("a", START, side=text("8z"))
    story.commit("b", "a", side=text("3y", "8z"))
    assert is_quiet(story.verdict())


def test_a_squash_of_two_changes_is_a_chain_of_both() -> None:
    story = started()
    story.change("C-1", story.edit(text(), text("3x")))
    story.change("C-2", story.edit(text(), text("8y")))
    story.commit("a", START, side=text("3x", "8y"))
    verdict = story.verdict()
    assert is_quiet(verdict)
    assert {landing.change for landing in verdict.landed_by["a"]} == {"C-1", "C-2"}


def test_a_detour_of_a_proposal_may_be_squashed_away() -> None:
    story = started()
    story.change(
        "C-1", story.edit(text(), text("3x")), story.edit(text("3x"), text()), story.edit(text(), text("8y"))
    )
    story.commit("a", START, side=text("8y"))
    verdict = story.verdict()
    assert is_quiet(verdict)
    assert verdict.holds("a", "C-1", 3)


def test_lines_in_another_order_may_be_squashed_with_another_edit() -> None:
    story = started()
    swapped = text("3line 4", "4line 3")
    story.change("C-1", story.edit(text(), swapped))
    story.change("C-2", story.edit(text(), text("8y")))
    story.commit("a", START, side=text("3line 4", "4line 3", "8y"))
    assert is_quiet(story.verdict())


def test_a_file_that_is_new_with_other_line_ends_is_the_file_decided() -> None:
    story = started()
    story.change("C-1", story.edit(None, text(), "models/m/hull/new.toml"))
    story.commit("a", START, files={"models/m/hull/new.toml": text().replace(b"\n", b"\r\n")})
    assert is_quiet(story.verdict())


def test_a_change_lands_once() -> None:
    story = started()
    story.change("C-1", story.edit(text(), text("3x")))
    story.change("C-2", story.edit(text("3x"), text()))
    for name, parent, side in (("a", START, text("3x")), ("b", "a", text()), ("c", "b", text("3x"))):
        story.commit(name, parent, side=side)
    assert undecided(story.verdict()) == [(ZONE, "c")]


def test_made_again_it_is_new_and_needs_a_decision_of_its_own() -> None:
    story = started()
    story.change("C-1", story.edit(text(), text("3x")))
    story.change("C-2", story.edit(text("3x"), text()))
    story.change("C-3", story.edit(text(), text("3x")))
    for name, parent, side in (("a", START, text("3x")), ("b", "a", text()), ("c", "b", text("3x"))):
        story.commit(name, parent, side=side)
    assert is_quiet(story.verdict())


def test_an_old_edit_replayed_elsewhere_in_the_file_is_found_too() -> None:
    story = started()
    story.change("C-1", story.edit(text(), text("3x")))
    story.change("C-2", story.edit(text("3x"), text()))
    story.change("C-3", story.edit(text(), text("8y")))
    rows = (
        ("a", START, text("3x")),
        ("b", "a", text()),
        ("c", "b", text("8y")),
        ("d", "c", text("3x", "8y")),
    )
    for name, parent, side in rows:
        story.commit(name, parent, claims=["C-1"], side=side)
    assert undecided(story.verdict()) == [(ZONE, "d")]


def test_an_edit_split_in_two_is_found() -> None:
    story = started()
    story.change("C-1", story.edit(text(), text("3x", "8y")))
    story.commit("a", START, side=text("3x"))
    story.commit("b", "a", side=text("3x", "8y"))
    assert (ZONE, "a") in undecided(story.verdict())


def test_half_a_decision_is_missing_its_other_half() -> None:
    story = started()
    story.change("C-1", story.edit(text(), text("3x")), story.edit(text(), text("8y"), OTHER))
    story.commit("a", START, side=text("3x"))
    verdict = story.verdict()
    assert not verdict.open
    assert missing(verdict) == [("C-1", 1)]


def test_line_ends_alone_are_no_edit() -> None:
    story = started()
    crlf = text("3x").replace(b"\n", b"\r\n")
    story.change("C-1", story.edit(text(), text("3x")))
    story.change("C-2", story.edit(text("3x"), text("3x", "8y")))
    story.commit("a", START, side=text().replace(b"\n", b"\r\n"))
    story.commit("b", "a", side=crlf)
    story.commit("c", "b", side=text("3x", "8y"))
    assert is_quiet(story.verdict())


def test_a_last_line_without_its_end_is_an_edit() -> None:
    story = started()
    story.commit("a", START, side=text()[:-1])
    assert undecided(story.verdict()) == [(ZONE, "a")]


def test_texts_that_are_lost_move_nowhere_but_the_very_blobs_need_none() -> None:
    story = started()
    story.change("C-1", story.edit(text(), text("3x")))
    story.change("C-2", story.edit(text("0z"), text("0z", "8y")))
    story.commit("a", START, side=text("3x"))
    story.commit("b", "a", side=text("3x", "8y"))
    lost = story.keep(text("0z"))
    assert is_quiet(story.verdict())
    del story.texts[lost]
    assert undecided(story.verdict()) == [(ZONE, "b")]


def test_of_two_decisions_that_fit_the_one_that_is_claimed_lands() -> None:
    story = started()
    for name in ("C-1", "C-2"):
        story.change(name, story.edit(text(), text("3x")))
    story.change("C-3", story.edit(text("3x"), text()))
    for name, parent, claim, side in (
        ("a", START, "C-2", text("3x")),
        ("b", "a", "C-3", text()),
        ("c", "b", "C-1", text("3x")),
    ):
        story.commit(name, parent, claims=[claim], records=["records/C-1", "records/C-2"], side=side)
    verdict = story.verdict()
    assert is_quiet(verdict)
    assert [landing.commit for landing in verdict.landings["C-2"]] == ["a"]


def test_files_that_nobody_decides_on_are_not_looked_at() -> None:
    story = started()
    story.change("C-1", story.edit(None, text(), "docs/photo.toml"))
    story.commit("a", START)
    assert is_quiet(story.verdict())
