"""The order and the ids of findings: what an id hangs on, and what it does not."""

import re
from dataclasses import replace
from pathlib import Path

import pytest

from recipe_track.review.audit import finding
from recipe_track.review.audit.finding import NOT_ANSWERED, WORST_FIRST, Finding, ordered

ROOF = Finding("edit-not-decided", "roof.toml", "changed", "decide it", commit="a" * 40, basis=("0", "1"))
MOVED = Finding("release-moved", "demo/r3", "moved", "put it back", since="2026-02-01")


def ids(*findings: Finding) -> list[str]:
    return [one.id for one in ordered(findings)]


def test_a_finding_alone_is_its_rule_and_what_it_is_about() -> None:
    assert ids(ROOF, MOVED) == ["edit-not-decided roof.toml", "release-moved demo/r3"]


def test_several_of_one_rule_about_one_thing_are_told_apart_by_what_they_hang_on() -> None:
    again = replace(ROOF, basis=("1", "2"))
    one, other = ids(ROOF, again)
    assert one != other
    assert {one.partition("#")[0], other.partition("#")[0]} == {"edit-not-decided roof.toml"}
    assert {len(one.partition("#")[2]), len(other.partition("#")[2])} == {6}


def test_an_id_hangs_on_no_commit_and_no_wording() -> None:
    again = replace(ROOF, basis=("1", "2"))
    rebased = replace(ROOF, commit="b" * 40, message="changed by another", by="x", since="2026-01-01")
    assert sorted(ids(rebased, again)) == sorted(ids(ROOF, again))


def test_an_answer_is_found_whichever_way_the_finding_is_told_apart() -> None:
    """Another one about the same thing comes and goes, and what was answered stays answered."""
    alone, crowded = ids(ROOF)[0], ids(ROOF, replace(ROOF, basis=("1", "2")))
    (named,) = ordered([ROOF])
    assert alone in named.names
    assert set(named.names) & set(crowded) - {alone}


def test_what_is_found_twice_is_told_once() -> None:
    assert ids(ROOF, ROOF) == ["edit-not-decided roof.toml"]


def test_the_worst_come_first_then_the_oldest_then_by_subject() -> None:
    hold = Finding("hold", "deck/side", "held", "decide", since="2026-05-01")
    older = replace(MOVED, subject="demo/r9", since="2025-01-01")
    undated = replace(MOVED, subject="demo/r1", since=None)
    other = replace(MOVED, subject="demo/r2")
    found = ordered([undated, MOVED, other, older, ROOF, hold])
    assert [f.subject for f in found] == [
        "deck/side",
        "roof.toml",
        "demo/r9",
        "demo/r2",
        "demo/r3",
        "demo/r1",
    ]


def test_a_rule_that_has_no_place_in_the_order_is_a_defect() -> None:
    with pytest.raises(ValueError, match="not in"):
        ordered([replace(MOVED, rule="something-new")])
    assert len(set(WORST_FIRST)) == len(WORST_FIRST)
    assert set(WORST_FIRST) >= NOT_ANSWERED


def test_every_rule_of_the_audit_has_its_place() -> None:
    told = {
        rule
        for file in Path(finding.__file__).parent.glob("*.py")
        for rule in re.findall(r'Finding\(\s*"([a-z-]+)"', file.read_text(encoding="utf-8"))
    }
    assert len(told) > 20
    assert told <= set(WORST_FIRST)


def test_the_evidence_is_what_a_finding_hangs_on_else_its_message() -> None:
    assert (ROOF.seen, MOVED.seen) == (("0", "1"), ("moved",))
