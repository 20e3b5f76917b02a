"""What the ancestry of main says of records: where each came from, and whether it has an effect."""

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from recipe_track.recipe.records import Trial
from recipe_track.workspace import open_workspace
from recipe_track.workspace.trail import Trail, now_at
from tests.journeys.gitrepo import PEOPLE
from tests.journeys.yard import SIDE, Yard, decide, explained, new_yard, record, record_path, thicken

TRIAL = {"kind": "trial", "hull": "001", "zone": "deck/side", "text": "moves", "observation": "noise"}


@pytest.fixture
def yard(tmp_path: Path) -> Yard:
    return new_yard(tmp_path)


@contextmanager
def trail_of(yard: Yard) -> Iterator[Trail]:
    with yard.repo.acting(), open_workspace(yard.root) as ws:
        yield ws.trail


def void(yard: Yard) -> dict[str, str]:
    with trail_of(yard) as trail:
        return dict(trail.void)


def logged(yard: Yard, trial: str = "T-AAAAAA", who: str = "ada", severity: int = 2, **more: str) -> str:
    """An observation written by hand."""
    name, mail = PEOPLE[who]
    keys = [f'{key} = "{value}"' for key, value in {**TRIAL, "by": f"{name} <{mail}>", **more}.items()]
    text = "\n".join([*keys, f"severity = {severity}", "on = 2026-02-01", ""])
    yard.repo.reach("2026-02-01")
    return yard.repo.commit(trial, files={record_path(trial): text}, who=who)


def test_a_record_is_what_first_added_it(yard: Yard) -> None:
    added = logged(yard)
    path = record_path("T-AAAAAA")
    yard.edit(path, "severity = 2", "severity = 1")
    edited = yard.repo.commit("milder", who="cem")
    with trail_of(yard) as trail:
        origin = trail.origin_of["T-AAAAAA"]
        assert (origin.path, origin.commit.id) == (path, added)
        assert [commit.id for commit, _ in origin.later] == [edited]
        trial = trail.records["T-AAAAAA"]
        assert isinstance(trial, Trial)
        assert trial.severity == 2
        assert [(o.path, blob) for o, blob in now_at([origin], {path: "x"})] == [(path, "x")]
        assert list(now_at([origin], {path: origin.blob})) == []


def test_a_record_that_was_deleted_still_counts(yard: Yard) -> None:
    logged(yard)
    yard.repo.git("rm", "--quiet", record_path("T-AAAAAA"))
    yard.repo.commit("gone")
    with trail_of(yard) as trail:
        assert "T-AAAAAA" in trail.records
        assert [blob for _, blob in now_at([trail.origin_of["T-AAAAAA"]], {})] == [None]


def test_a_merge_adds_nothing_to_what_its_side_added(yard: Yard) -> None:
    yard.repo.branch("side")
    added = logged(yard)
    yard.repo.checkout("main")
    yard.repo.commit("meanwhile", files={"README.md": "x"})
    yard.repo.merge("side")
    with trail_of(yard) as trail:
        origin = trail.origin_of["T-AAAAAA"]
        assert (origin.commit.id, origin.later) == (added, ())


def test_a_decision_in_another_s_name_has_no_effect_until_that_person_confirms_it(yard: Yard) -> None:
    thicken(yard)
    change = explained(yard, yard.repo.commit("core"), approve=None)
    ben = f"{PEOPLE['ben'][0]} <{PEOPLE['ben'][1]}>"
    text = f'kind = "decision"\nabout = "{change}"\ndecision = "approved"\nby = "{ben}"\non = 2026-02-02\n'
    blob = yard.repo.git("rev-parse", f"main:{record_path(change)}")
    yard.repo.reach("2026-02-02")
    yard.repo.commit("as ben", files={record_path("D-AAAAAA"): f'{text}decides = "{blob}"\n'}, who="cem")
    assert void(yard) == {"D-AAAAAA": "by-another"}
    with trail_of(yard) as trail:
        assert trail.records.last_decision(change) is None
        assert trail.standing_of(change) == ("undecided", None)
    assert yard("record", "confirm", "D-AAAAAA", who="ben").status == 0, yard.said[-1].err
    assert void(yard) == {}
    with trail_of(yard) as trail:
        assert trail.standing_of(change) == ("approved", "D-AAAAAA")


def test_all_else_counts_whoever_brought_it(yard: Yard) -> None:
    logged(yard, by="Ben Slip <ben@quay.example>")
    with trail_of(yard) as trail:
        assert trail.is_by_another("T-AAAAAA")
        assert trail.void == {}


def test_a_decision_decides_just_the_bytes_it_names(yard: Yard) -> None:
    thicken(yard)
    change = explained(yard, yard.repo.commit("core"), approve=None)
    yard.edit(record_path(change), "the gun is set finer", "the gun is set coarser")
    yard.repo.commit("another reason")
    decide(yard, change, "approved", "D-AAAAAA")  # names what stands there now, not what was first added
    with trail_of(yard) as trail:
        assert trail.standing_of(change) == ("undecided", None)


def test_the_settings_before_a_record_are_those_it_must_satisfy(yard: Yard) -> None:
    logged(yard)
    strict = yard.repo.commit(
        "strict", files={"recipe-track.toml": "format = 1\n[approval]\nsigned = true\n"}
    )
    explained(yard, strict)  # undecided, it would not be in force
    record(yard, "D-AAAAAA", "ben", kind="decision", about="T-AAAAAA", decision="left-as-is")
    with trail_of(yard) as trail:
        assert [rules.signed for rules in trail.rules_for("T-AAAAAA")] == [False]
        assert [rules.signed for rules in trail.rules_for("D-AAAAAA")] == [True]
        assert trail.void == {"D-AAAAAA": "not-signed"}


def test_a_hold_is_not_lifted_by_a_correction_of_its_own_logger(yard: Yard) -> None:
    logged(yard, severity=4)
    logged(yard, "T-BBBBBB", severity=1, replaces="T-AAAAAA")
    assert void(yard) == {"T-BBBBBB": "no-correction"}
    logged(yard, "T-CCCCCC", "ben", severity=1, replaces="T-AAAAAA")
    assert void(yard) == {"T-BBBBBB": "no-correction"}
    with trail_of(yard) as trail:
        assert [name for name, _ in trail.records.of_kind(Trial)] == ["T-CCCCCC"]


def test_what_a_commit_contains(yard: Yard) -> None:
    before = yard.repo.head("main")
    yard.repo.branch("side")
    aside = yard.repo.commit("aside", files={"README.md": "x"})
    yard.repo.checkout("main")
    last = yard.repo.commit("last", files={"README.md": "y"})
    with trail_of(yard) as trail:
        assert before in trail.behind(last)
        assert trail.behind(aside) == frozenset()
        assert last not in trail.behind(before)


def test_a_release_holds_a_change_once_it_has_every_edit(yard: Yard) -> None:
    thicken(yard)
    change = yard.change()
    label = yard("release", "demo", "--from-hull", "001", who="ben").id
    with trail_of(yard) as trail:
        assert trail.holds(yard.repo.head(f"demo/{label}"), change)
        assert not trail.holds(yard.repo.head("demo/r1"), change)
        assert not trail.holds("1" * 40, change)


def test_line_ends_alone_are_the_same_content(yard: Yard) -> None:
    text = (yard.root / SIDE).read_bytes()
    plain = yard.repo.git("rev-parse", f"main:{SIDE}")
    (yard.root / SIDE).write_bytes(text.replace(b"\n", b"\r\n"))
    yard.repo.commit("line ends")
    other = yard.repo.git("rev-parse", f"main:{SIDE}")
    with trail_of(yard) as trail:
        assert plain != other
        assert trail.plain(other) == plain == trail.plain(plain)
        assert trail.verdict.open == ()
