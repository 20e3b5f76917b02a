"""Revisions of one model and their labels; stories with branches and shallow clones are in the journeys."""

from recipe_track.history.refs import read_refs
from recipe_track.history.repository import open_repository
from recipe_track.history.revisions import labels
from tests.journeys.gitrepo import GitRepo
from tests.unit.history.conftest import ZONE


def test_revisions_are_counted_from_the_last_release(yard: GitRepo) -> None:
    first = yard.head()
    second = yard.commit("second", files={ZONE: "t = 2\n"})
    yard.tag("pb/r1")
    record = yard.commit("a record", files={"records/2026/T-7K3QX2.toml": "x"})
    other = yard.commit("another model", files={"models/other/model.toml": "x"})
    third = yard.commit("third", files={"prices.toml": "x"})
    with yard.acting(), open_repository(yard.root) as repo:
        found = labels(repo, "pb", "main")
        assert [found.of(one) for one in (first, second, record, other, third)] == [
            None,
            "r1",
            "r1",
            "r1",
            "r1+1",
        ]
        assert [one.id for one in found.revisions] == [third, second, first]
        assert [found.commit(text) for text in ("r1", "pb/r1+1", "other/r1", "r1+2", "r2")] == [
            second,
            third,
            None,
            None,
            None,
        ]


def test_a_release_off_main_is_known_and_not_the_latest(yard: GitRepo) -> None:
    yard.branch("side")
    yard.commit("side", files={ZONE: "t = 2\n"})
    yard.tag("pb/r1")
    with yard.acting(), open_repository(yard.root) as repo:
        found = labels(repo, "pb", "main")
        assert [(one.label, one.on_main) for one in found.releases] == [("r1", False)]
        assert found.latest is None
        assert [one.on_main for one in read_refs(repo, "main").releases] == [None]


def test_content_that_returns_gets_its_label_back(yard: GitRepo) -> None:
    yard.tag("pb/r1")
    yard.commit("away", files={ZONE: "t = 2\n"})
    back = yard.commit("back", files={ZONE: "t = 1\n"})
    with yard.acting(), open_repository(yard.root) as repo:
        assert labels(repo, "pb", "main").of(back) == "r1"
