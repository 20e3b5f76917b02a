"""Objects made without a work tree or anyone's index."""

import pytest

from recipe_track.errors import CallError
from recipe_track.history.making import (
    check_path,
    message_bytes,
    record_entries,
    signs_by_default,
    write_commit,
    write_tree,
)
from recipe_track.history.objects import tree
from recipe_track.history.repository import open_repository
from tests.journeys.gitrepo import GitRepo
from tests.unit.history.conftest import ZONE


@pytest.mark.parametrize("path", ["", "a//b", "../x", ".git/hooks/x", "a/.GIT/x", "a\nb", "c:\\x", "a:b"])
def test_a_path_that_could_lead_elsewhere_is_refused(path: str) -> None:
    with pytest.raises(CallError):
        check_path(path)


def test_a_tree_is_made_beside_staged_work(yard: GitRepo) -> None:
    yard.write("staged", "mine\n")
    yard.git("add", "staged")
    before = yard.state()
    with yard.acting(), open_repository(yard.root) as repo:
        made = write_tree(repo, yard.head(), record_entries(repo, {"records/x": b"1"}) | {ZONE: None})
        assert set(tree(repo, made)) == {"recipe-track.toml", "records/x"}
    assert yard.state() == before


def test_line_ends_are_stored_as_the_attributes_say(yard: GitRepo) -> None:
    yard.commit("attributes", files={".gitattributes": "*.toml text eol=lf\n"})
    with yard.acting(), open_repository(yard.root) as repo:
        entry = record_entries(repo, {"records/x.toml": b"a\r\nb\r\n"})["records/x.toml"]
    assert entry is not None
    assert yard.git("cat-file", "blob", entry.oid) == "a\nb"


def test_a_commit_is_on_no_branch_and_says_its_message_in_utf8(yard: GitRepo) -> None:
    yard.git("config", "i18n.commitEncoding", "latin1")
    before = yard.git("for-each-ref")
    with yard.acting(), open_repository(yard.root) as repo:
        commit = write_commit(repo, yard.head() + "^{tree}", [yard.head()], "Stütze\0\n\n\n")
    assert yard.git("cat-file", "commit", commit).split("\n\n")[1] == "Stütze"
    assert "\nencoding " not in yard.git("cat-file", "commit", commit)
    assert yard.git("for-each-ref") == before


def test_a_message_ends_with_one_line_end() -> None:
    assert [message_bytes(text) for text in ("a", "a\n\n", "\0a")] == [b"a\n"] * 3


def test_configuration_decides_on_signing_where_nobody_says_so(yard: GitRepo) -> None:
    with yard.acting(), open_repository(yard.root) as repo:
        assert not signs_by_default(repo, "commit.gpgSign")
        yard.git("config", "commit.gpgSign", "yes")
        assert signs_by_default(repo, "commit.gpgSign")
