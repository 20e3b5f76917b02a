"""The records audit as a whole: worst first, as of a day, each finding told apart; the example's own findings."""

from pathlib import Path

import pytest

from recipe_track.procedures.example import example_repo, replay
from recipe_track.review.audit.finding import WORST_FIRST
from tests.journeys.gitrepo import GitRepo
from tests.journeys.yard import COAMING, SIDE, Yard, answered, explained, new_yard, thicken


@pytest.fixture
def yard(tmp_path: Path) -> Yard:
    return new_yard(tmp_path)


def test_a_yard_in_order_has_no_finding(yard: Yard) -> None:
    thicken(yard)
    yard.change()
    answer = yard("audit")
    assert answer.status == 0
    assert "nothing found" in answer.out
    assert "records audit" in answer.out
    assert "inspects no hull" in answer.out


def test_a_finding_says_what_where_who_since_when_and_what_ends_it(yard: Yard) -> None:
    thicken(yard)
    commit = yard.repo.commit("The core came thicker", who="cem")
    told = yard("audit")
    assert told.status == 1
    for words in (
        "edit-not-decided",
        SIDE,
        "Cem Keel",
        yard.repo.today,
        commit[:10],
        "change propose --landed",
    ):
        assert words in told.out, words
    table = yard("audit", "--csv").out
    assert "edit-not-decided" in table
    assert SIDE in table


def test_answered_ones_are_listed_where_asked_for_and_do_not_fail(yard: Yard) -> None:
    yard.repo.git("tag", "-f", "-a", "-m", "moved", "demo/r1", "HEAD")
    answered(yard, yard.findings()["release-moved"][0])
    plain, every = yard("audit"), yard("audit", "--all")
    assert (plain.status, every.status) == (0, 0)
    assert "nothing found, 1 answered" in plain.out
    assert "release-moved" not in plain.out
    assert "answered by A-" in every.out


def test_findings_of_one_rule_about_one_thing_have_names_that_outlast_a_rebase(yard: Yard) -> None:
    base = yard.repo.head("main")
    thicken(yard, 30)
    yard.repo.commit("one")
    thicken(yard, 35)
    yard.repo.commit("two")
    before = {one["id"] for one in yard.findings()["edit-not-decided"]}
    assert len(before) == 2
    assert all(name.startswith(f"edit-not-decided {SIDE}#") for name in before)
    yard.repo.git("checkout", "--quiet", "-b", "other", base)
    yard.repo.commit("meanwhile", files={"notes.txt": "x"})
    yard.repo.git("rebase", "--quiet", "other", "main", who="ben")
    assert {one["id"] for one in yard.findings()["edit-not-decided"]} == before


def test_the_worst_comes_first(yard: Yard) -> None:
    yard.repo.git("tag", "-f", "-a", "-m", "moved", "demo/r1", "HEAD")
    thicken(yard)
    yard.repo.commit("by hand")
    yard("trial", "log", "--hull", "001", "--zone", "deck/side", "--observation", "crack", "--severity", "4",
         "--text", "a crack")  # fmt: skip
    rules = [one["rule"] for one in yard("audit", "--json").json["findings"]]
    assert rules == ["hold", "edit-not-decided", "release-moved"]
    assert rules == sorted(rules, key=WORST_FIRST.index)


def test_as_of_an_earlier_revision_or_day(yard: Yard) -> None:
    day = yard.repo.today
    yard.repo.reach("2026-02-01")
    thicken(yard)
    commit = yard.repo.commit("by hand")
    assert yard.findings("--as-of", "r1") == {}
    assert yard.findings("--as-of", day) == {}
    assert list(yard.findings("--as-of", "2026-02-01")) == ["edit-not-decided"]
    assert list(yard.findings("--as-of", "r1+1")) == ["edit-not-decided"]
    explained(yard, commit)
    assert list(yard.findings("--as-of", "r1+1")) == ["edit-not-decided"]  # it was not decided then
    assert yard("audit", "--as-of", "nonsense").status == 2
    assert yard("audit", "--as-of", "2020-01-01").status == 2
    assert yard("audit", "nothing").status == 2


def test_an_audit_of_a_model_looks_at_what_it_stands_on(yard: Yard) -> None:
    model = (yard.root / "models/demo/model.toml").read_text()
    yard.repo.commit("Another\n\nReason: another craft of the yard", files={"models/other/model.toml": model})
    yard.edit(COAMING, "plies = 3", "plies = 4")
    yard.repo.commit("by hand")
    assert list(yard.findings("demo")) == ["edit-not-decided"]
    assert yard.findings("other") == {}


def test_the_example_has_just_the_findings_planted_in_it(tmp_path: Path) -> None:
    """As the example's README lists them."""
    replay(example_repo(), tmp_path / "yard")
    yard = Yard(GitRepo(tmp_path / "yard", tmp_path / "home"))
    found = {rule: [one["subject"] for one in rows] for rule, rows in yard.findings().items()}
    assert found == {
        "hold": ["hull/transom"],
        "edit-not-decided": ["models/pb98/wheelhouse/roof.toml"],
        "hull-action-open": ["hull 014, deck", "hull 015, deck"],
        "change-unverified": ["C-XYNJX0"],
    }
