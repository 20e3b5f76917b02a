"""A zone under a new name is the same file, by its `formerly`."""

from tests.unit.trail.stories import START, ZONE, Story, is_quiet, started, text, undecided

NEW = "models/m/hull/topside.toml"
FORMERLY = b'formerly = ["hull/side"]\n'


def renamed() -> Story:
    """A zone renamed by decision, and an edit of it that was decided too."""
    story = started()
    story.change("C-1", story.edit(text(), None), story.edit(None, FORMERLY + text(), NEW))
    story.change("C-2", story.edit(text(), text("8y")))
    return story


def test_a_rename_that_was_decided_is_covered() -> None:
    story = renamed()
    story.changes.pop()
    story.commit("a", START, files={ZONE: None, NEW: FORMERLY + text()})
    assert is_quiet(story.verdict())


def test_a_rename_with_an_edit_on_the_way_is_found() -> None:
    story = renamed()
    story.commit("a", START, files={ZONE: None, NEW: FORMERLY + text("0z")})
    assert (NEW, "a") in undecided(story.verdict())


def test_a_zone_renamed_here_and_edited_there() -> None:
    story = renamed()
    story.commit("a", START, files={ZONE: None, NEW: FORMERLY + text()})
    story.commit("b", START, side=text("8y"))
    story.commit("m", ["a", "b"], files={NEW: FORMERLY + text("8y")})
    story.commit("n", ["b", "a"], files={ZONE: None, NEW: FORMERLY + text("8y")})
    story.commit("o", ["m", "n"])
    assert is_quiet(story.verdict())


def test_line_ends_under_the_old_name_take_no_rename_for_a_detour() -> None:
    """Side by side with the rename; the merge then left the text with those line ends, which was decided."""
    crlf = text().replace(b"\n", b"\r\n")
    story = started()
    story.change("C-1", story.edit(text(), None), story.edit(None, FORMERLY + text(), NEW))
    story.change("C-2", story.edit(FORMERLY + text(), crlf, NEW))
    story.commit("a", START, files={ZONE: None, NEW: FORMERLY + text()})
    story.commit("b", START, side=crlf)
    story.commit("m", ["b", "a"], files={ZONE: None, NEW: crlf})
    assert is_quiet(story.verdict())


def test_the_edit_may_not_be_dropped_under_the_new_name() -> None:
    story = renamed()
    story.commit("a", START, files={ZONE: None, NEW: FORMERLY + text()})
    story.commit("b", START, side=text("8y"))
    story.commit("m", ["a", "b"], files={NEW: FORMERLY + text()})
    assert {path for path, _ in undecided(story.verdict())} == {ZONE, NEW}


def test_an_edit_rebased_onto_the_new_name() -> None:
    story = renamed()
    story.commit("a", START, files={ZONE: None, NEW: FORMERLY + text()})
    story.commit("b", "a", files={NEW: FORMERLY + text("8y")})
    assert is_quiet(story.verdict())


def test_a_rename_rebased_onto_an_edit() -> None:
    story = renamed()
    story.commit("a", START, side=text("8y"))
    story.commit("b", "a", files={ZONE: None, NEW: FORMERLY + text("8y")})
    assert is_quiet(story.verdict())


def test_a_rename_and_an_edit_squashed() -> None:
    story = renamed()
    story.commit("a", START, files={ZONE: None, NEW: FORMERLY + text("8y")})
    assert is_quiet(story.verdict())


def test_an_edit_that_landed_before_does_not_land_again_under_the_new_name() -> None:
    story = renamed()
    story.change("C-3", story.edit(text("8y"), text()))
    story.commit("a", START, side=text("8y"))
    story.commit("b", "a", side=text())
    story.commit("c", "b", files={ZONE: None, NEW: FORMERLY + text()})
    story.commit("d", "c", files={NEW: FORMERLY + text("8y")})
    assert undecided(story.verdict()) == [(NEW, "d")]


def test_without_formerly_it_is_another_file() -> None:
    story = started()
    story.change("C-1", story.edit(text(), None), story.edit(None, text("0n"), NEW))
    story.change("C-2", story.edit(text(), text("8y")))
    story.commit("a", START, files={ZONE: None, NEW: text("0n")})
    story.commit("b", START, side=text("8y"))
    story.commit("m", ["a", "b"], files={NEW: text("0n", "8y")})
    assert (NEW, "m") in undecided(story.verdict())


def test_a_rename_taken_back_by_decision() -> None:
    story = renamed()
    story.changes.pop()
    story.change("C-3", story.edit(FORMERLY + text(), None, NEW), story.edit(None, text()))
    story.commit("a", START, files={ZONE: None, NEW: FORMERLY + text()})
    story.commit("b", "a", files={ZONE: text(), NEW: None})
    assert is_quiet(story.verdict())


def test_the_old_name_taken_away_again_is_an_edit_again() -> None:
    story = renamed()
    story.changes.pop()
    story.change("C-3", story.edit(None, text()))
    story.commit("a", START, files={ZONE: None, NEW: FORMERLY + text()})
    story.commit("b", "a", side=text())
    story.commit("c", "b", side=None)
    assert undecided(story.verdict()) == [(ZONE, "c")]
