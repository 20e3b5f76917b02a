"""What was seen, found and weighed on a part is of that copy: it burns with it, and moves with it."""

import subprocess
from pathlib import Path
from typing import Any

import pytest

from tests.journeys.yard import Yard, new_yard, take_in

Shown = dict[str, Any]
ZONE = "deck/side"


@pytest.fixture
def yard(tmp_path: Path) -> Yard:
    """Hulls 001 and 002, the deck of the first demoulded."""
    made = new_yard(tmp_path)
    assert made("hull", "add", "002", "--revision", "r1").status == 0
    assert made("hull", "part", "001", "--part", "deck", "--state", "demoulded").status == 0
    return made


def report(yard: Yard, hull: str = "001", *more: str) -> str:
    short = ("--type", "nonconformity", "--line", "5", "--action", "left-out", "--text", "a ply short")
    return yard("deviation", "report", hull, "--zone", ZONE, *short, *more).id


def weigh(yard: Yard, hull: str = "001", part: str = "deck") -> str:
    said = ("--mass-kg", "50", "--state", "as-demoulded", "--meant", "--note", "with bars and straps")
    return yard("hull", "weigh", hull, "--part", part, *said).id


def log(yard: Yard) -> str:
    seen = ("--observation", "crack", "--severity", "4", "--text", "a crack")
    return yard("trial", "log", "--hull", "001", "--zone", ZONE, *seen).id


def burn(yard: Yard, *more: str) -> None:
    part = ("hull", "part", "001", "--part", "deck")
    assert yard(*part, "--state", "scrapped", "--note", "fire", *more).status == 0
    assert yard(*part, "--state", "planned", "--revision", "r1", *more).status == 0


def take(yard: Yard) -> None:
    step = ("hull", "part", "002", "--part", "deck", "--state", "demoulded", "--from", "001")
    assert yard(*step).status == 0, yard.said[-1].err


def shown(yard: Yard, hull: str = "001") -> Shown:
    found: Shown = yard("hull", "show", hull, "--json").json
    return found


def copies(rows: list[Shown]) -> dict[str, int | None]:
    """Record → the former copy it is of, None for what is of the part that is there."""
    return {row["id"]: row["former_copy"] for row in rows}


def zone_of(hull: Shown) -> Shown:
    zones = next(part for part in hull["parts"] if part["part"] == "deck")["zones"]
    return next(zone for zone in zones if zone["zone"] == ZONE)  # type: ignore[no-any-return]


def test_what_was_found_on_a_burnt_shell_is_not_of_the_next_one(yard: Yard) -> None:
    seen, short, weighed = log(yard), report(yard), weigh(yard)
    as_released = zone_of(shown(yard))["released"]["mass_kg"]
    assert zone_of(shown(yard))["mass_kg"] < as_released
    burn(yard)
    hull = shown(yard)
    assert copies(hull["deviations"]) == {short: 1}
    assert copies(hull["weighings"]) == {weighed: 1}
    assert copies(hull["observations"]) == {seen: 1}
    assert hull["holds"] == []
    zone = zone_of(hull)
    assert (zone["mass_kg"], zone["deviations"], zone["deviating"]) == (as_released, [], None)
    assert yard("sheet", ZONE, "--hull", "001", "--json").json["zones"][0]["deviations"] == []
    text = yard("hull", "show", "001").out
    assert f"{short}: nonconformity, not decided, deck/side, hull 001, copy 1, scrapped" in text
    row = next(row for row in yard("hull", "list", "--json").json["hulls"] if row["hull"] == "001")
    assert (row["deviations"], row["holds"]) == (0, [])


def test_the_zone_stays_on_hold_until_it_is_decided(yard: Yard) -> None:
    short = report(yard)
    burn(yard)
    (hold,) = yard.findings()["hold"]
    assert hold["message"] == (
        f"it is on hold on hull 001: nonconformity on hull 001 (copy 1, scrapped), not decided ({short})"
    )


def test_the_burnt_shell_is_weighed_against_itself(yard: Yard) -> None:
    report(yard)
    weigh(yard)
    before = shown(yard)["weighings"][0]["computed_kg"]
    burn(yard)
    weigh(yard)
    computed = {row["former_copy"]: row["computed_kg"] for row in shown(yard)["weighings"]}
    assert computed[1] == before
    assert computed[None] > before


def test_what_comes_after_is_of_the_new_shell_whatever_day_is_typed(yard: Yard) -> None:
    old = report(yard)
    burn(yard)
    new = report(yard, "001", "--note", "the new one", "--on", yard.repo.today)
    corrected = yard("record", "correct", old, "--set", "text=two plies short", "--note", "counted").id
    assert copies(shown(yard)["deviations"]) == {new: None, corrected: 1}


def test_lines_that_did_not_see_each_other_go_by_their_dates(yard: Yard, tmp_path: Path) -> None:
    other = tmp_path / "other"
    subprocess.run(["git", "clone", "--quiet", str(yard.root), str(other)], check=True)
    away = Yard(type(yard.repo)(other, tmp_path / "home", yard.repo.clock))
    old, new = report(away, "001", "--on", "2026-03-01"), report(away, "001", "--on", "2026-03-20")
    burn(yard, "--on", "2026-03-10")
    take_in(yard, away)
    assert copies(shown(yard)["deviations"]) == {old: 1, new: None}


def test_a_part_takes_its_records_to_the_hull_it_goes_to(yard: Yard) -> None:
    own = report(yard, "002")
    seen, short, weighed = log(yard), report(yard), weigh(yard)
    craft = weigh(yard, part="craft")
    take(yard)
    giver, taker = shown(yard, "001"), shown(yard, "002")
    assert copies(giver["deviations"]) == copies(giver["observations"]) == {}
    assert copies(giver["weighings"]) == {craft: None}
    assert copies(taker["deviations"]) == {own: 1, short: None}
    assert copies(taker["observations"]) == {seen: None}
    assert copies(taker["weighings"]) == {weighed: None}
    assert zone_of(giver)["deviating"] is None
    assert [row["id"] for row in zone_of(taker)["deviations"]] == [short]
    assert {hold["record"] for hold in taker["holds"]} == {seen, short}
    assert giver["holds"] == []
    assert yard("deviation", "decide", short, "--decision", "refused", "--note", "no", who="ben").status == 0
    assert yard("hull", "part", "002", "--part", "deck", "--state", "fitted").status == 0
    message = yard.findings()["nonconformity-open"][0]["message"]
    assert message == "it is refused, and deck of hull 002 is fitted with it"


def test_what_two_hulls_took_is_told_and_breaks_nothing(yard: Yard, tmp_path: Path) -> None:
    assert yard("hull", "add", "003", "--revision", "r1").status == 0
    other = tmp_path / "other"
    subprocess.run(["git", "clone", "--quiet", str(yard.root), str(other)], check=True)
    away = Yard(type(yard.repo)(other, tmp_path / "home", yard.repo.clock))
    take(yard)
    step = ("hull", "part", "003", "--part", "deck", "--state", "demoulded", "--from", "001")
    assert away(*step).status == 0
    take_in(yard, away)
    assert yard.findings()["steps-disagree"]
    for hull in ("001", "002", "003"):
        assert yard("hull", "show", hull).status == 0
