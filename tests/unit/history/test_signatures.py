"""What is signed by whom; the kinds of keys are told in the journeys."""

from recipe_track.history.refs import read_refs
from recipe_track.history.repository import open_repository
from recipe_track.history.signatures import Signature, verify_commits, verify_tag
from tests.journeys.gitrepo import GitRepo


def test_what_nobody_signed_has_no_signature(yard: GitRepo) -> None:
    yard.tag("pb/r1", message="r1\n-----BEGIN OF SEASON-----")
    with yard.acting(), open_repository(yard.root) as repo:
        assert verify_commits(repo, [yard.head()], b"") == {yard.head(): Signature("none")}
        assert verify_commits(repo, [], b"") == {}
        assert verify_tag(repo, read_refs(repo, "main").releases[0].tag_id, b"") == Signature("none")
