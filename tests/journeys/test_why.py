"""Why each layer is there: on made histories with renames, splits, merges and moves, and on the example."""

from pathlib import Path
from typing import Any

import pytest

from tests.journeys.gitrepo import GitRepo
from tests.journeys.yard import (
    COAMING,
    SIDE,
    Yard,
    change_record,
    change_text,
    decide,
    edit_of,
    new_yard,
    record_path,
    take_in,
    thicken,
)

CORE = 4  # line of the core in deck/side
MAT = '  { material = "csm-300", process = "hand-layup" },\n'


@pytest.fixture
def yard(tmp_path: Path) -> Yard:
    yard = new_yard(tmp_path)
    laid(yard, "001")
    return yard


def laid(yard: Yard, hull: str, *options: str) -> None:
    """The deck of a hull lies in the mould."""
    assert yard("hull", "part", hull, "--part", "deck", "--state", "in-mould", *options).status == 0


def layers(yard: Yard, zone: str = "deck/side", *more: str) -> list[dict[str, Any]]:
    found: list[dict[str, Any]] = yard("why", zone, "--json", *more).json["layers"]
    return found


def since(yard: Yard, zone: str = "deck/side", *more: str) -> list[tuple[str, str | None]]:
    return [(row["since"]["label"], row["change"]) for row in layers(yard, zone, *more)]


def proposed(yard: Yard, reason: str = "too soft underfoot") -> str:
    return yard("change", "propose", "--title", "t", "--reason", reason, "--category", "layup", who="ada").id


def test_layers_of_a_first_issue(yard: Yard) -> None:
    rows = layers(yard)
    assert [row["line"] for row in rows] == [1, 2, 3, 4, 5, 6]
    assert {(row["since"]["label"], row["change"], row["reason"]) for row in rows} == {
        ("r1", None, "first issue for hull 001")
    }
    assert {tuple(row["hulls"]) for row in rows} == {("001",)}


def test_an_altered_layer_is_there_since_the_alteration(yard: Yard) -> None:
    thicken(yard)
    change = yard.change()
    assert since(yard) == [("r1+1", change) if line == CORE else ("r1", None) for line in range(1, 7)]
    core = layers(yard, "deck/side", "--line", str(CORE))[0]
    assert (core["mark"], core["was"]["thickness_mm"], core["hulls"]) == ("altered", 20.0, [])
    assert core["approved_by"] == "Ben Slip <ben@quay.example>"
    assert core["outcome"] is None
    assert core["since"]["commit"] == yard.repo.head(f"change/{change}")  # the merge brought nothing else
    assert since(yard, "deck/side", "--at", "r1") == [("r1", None)] * 6
    assert yard("why", "deck/side", "--line", "9").status == 2


def test_a_moved_layer_keeps_its_origin(yard: Yard) -> None:
    text = (yard.root / SIDE).read_text()
    yard.repo.write(SIDE, text.replace(MAT, "").replace("]\n\n[panel]", MAT + "]\n\n[panel]"))
    yard.change()
    rows = layers(yard)
    assert rows[-1]["layer"]["material"] == "csm-300"
    assert {row["since"]["label"] for row in rows} == {"r1"}


def test_an_added_ply_dates_the_line_and_keeps_the_older_plies_in_sight(yard: Yard) -> None:
    yard.edit(SIDE, "plies = 2", "plies = 3")
    change = yard.change()
    line = layers(yard, "deck/side", "--line", "3")[0]
    assert (line["since"]["label"], line["change"]) == ("r1+1", change)
    assert [cause["since"]["label"] for cause in line["earlier"]] == ["r1"]


def test_what_was_taken_out_tells_why_and_which_hulls_still_have_it(yard: Yard) -> None:
    yard.edit(SIDE, MAT, "")
    change = yard.change(reason="no print-through seen without it")
    yard("release", "demo")
    yard("hull", "add", "002", "--revision", "r2")
    laid(yard, "002")
    gone = yard("why", "deck/side", "--json").json["removed"]
    assert [row["layer"]["material"] for row in gone] == ["csm-300"]
    assert gone[0]["since"]["label"] == "r1"
    assert (gone[0]["removed"]["label"], gone[0]["change"]) == ("r2", change)
    assert gone[0]["reason"] == "no print-through seen without it"
    assert gone[0]["hulls"] == ["001"]
    laid(yard, "001", "--done", change)
    assert yard("why", "deck/side", "--json").json["removed"][0]["hulls"] == []


def test_a_hull_counts_once_its_part_is_in_the_mould_or_the_change_done_on_it(yard: Yard) -> None:
    """Planned and kit-cut ones are named as such, scrap is on none, an old number is not counted again."""
    thicken(yard)
    change = yard.change()
    yard("release", "demo")
    for hull in ("002", "003"):
        yard("hull", "add", hull, "--revision", "r2")
    yard("hull", "part", "003", "--part", "deck", "--state", "kit-cut")
    core = layers(yard)[3]
    assert (core["hulls"], core["hulls_planned"]) == ([], ["002", "003"])
    assert "    on no hull; planned on hulls 002, 003\n" in yard("why", "deck/side").out
    shown = yard("change", "show", change, "--json").json
    assert (shown["hulls"], shown["hulls_planned"]) == ([], ["002", "003"])
    assert reached(yard) == {
        "001": ("before", "in-mould"),
        "002": ("after", "planned"),
        "003": ("after", "kit-cut"),
    }
    assert "with this change: hull 002 deck r2 (planned); hull 003 deck r2 (kit-cut)" in text(yard)
    laid(yard, "002")
    laid(yard, "001", "--done", change)
    assert yard("hull", "add", "101", "--revision", "r1", "--was", "001").status == 0
    yard("hull", "part", "003", "--part", "deck", "--state", "scrapped")
    core = layers(yard)[3]
    assert (core["hulls"], core["hulls_planned"]) == (["002", "101"], [])
    shown = yard("change", "show", change, "--json").json
    assert (shown["hulls"], shown["hulls_planned"]) == (["002", "101"], [])
    assert reached(yard) == {"101": ("after", "in-mould"), "002": ("after", "in-mould")}
    assert f"with this change: hull 002 deck r2; hull 101 deck r1 with {change}" in text(yard)


def reached(yard: Yard) -> dict[str, tuple[str, str]]:
    """Hull → on which side of the change from r1 to r2 it is, and the state of its deck."""
    reach = yard("compare", "r1", "r2", "--json").json["reach"]
    return {row["hull"]: (row["side"], row["state"]) for row in reach["hulls"]}


def text(yard: Yard) -> str:
    return " ".join(yard("compare", "r1", "r2").out.split())


@pytest.mark.parametrize("stated", [True, False])
def test_a_rename_is_followed_by_formerly_or_by_git(yard: Yard, stated: bool) -> None:
    thicken(yard)
    change = yard.change()
    text = (yard.root / SIDE).read_text()
    (yard.root / SIDE).unlink()
    head = 'formerly = ["deck/side"]\n' if stated else ""
    yard.repo.write(SIDE.replace("side", "walk"), head + text)
    yard.change(reason="the drawing calls it the walk")
    assert since(yard, "deck/walk") == [
        ("r1+1", change) if line == CORE else ("r1", None) for line in range(1, 7)
    ]
    body = yard("why", "deck/walk", "--json").json
    assert body["names"] == ["deck/walk", "deck/side"]
    assert body["layers"][0]["hulls"] == ["001"]
    assert yard("why", "deck/side", "--hull", "001", "--json").json["zone"] == "deck/side"
    for name in ("deck/walk", "deck/side"):
        course = yard("history", name, "--json").json["revisions"]
        assert [entry["label"] for entry in course] == ["r1+2", "r1+1", "r1"]


def test_both_halves_of_a_split_keep_their_origins(yard: Yard) -> None:
    text = (yard.root / SIDE).read_text()
    (yard.root / SIDE).unlink()
    for half in ("fore", "aft"):
        halved = text.replace("area_m2 = 2.4", "area_m2 = 1.2")
        if half == "fore":
            halved = halved.replace("thickness_mm = 20", "thickness_mm = 30")
        yard.repo.write(SIDE.replace("side", half), 'formerly = ["deck/side"]\n' + halved)
    change = yard.change(reason="only the fore half is stood on")
    assert since(yard, "deck/aft") == [("r1", None)] * 6
    assert since(yard, "deck/fore") == [
        ("r1+1", change) if line == CORE else ("r1", None) for line in range(1, 7)
    ]


def test_two_zones_joined_into_one_keep_both_pasts(yard: Yard) -> None:
    yard.edit(
        COAMING, '{ material = "wr-600", plies = 3 }', '{ material = "wr-600", angle_deg = 45, plies = 3 }'
    )
    change = yard.change(reason="roving on the bias goes round the corner")
    text = (yard.root / SIDE).read_text()
    (yard.root / COAMING).unlink()
    taken = '  { material = "wr-600", angle_deg = 45, plies = 3 },\n]\n\n[panel]'
    yard.repo.write(SIDE, 'formerly = ["deck/coaming"]\n' + text.replace("]\n\n[panel]", taken))
    yard.change(reason="one moulding from now on")
    assert since(yard) == [("r1", None)] * 6 + [("r1+1", change)]
    assert layers(yard)[-1]["hulls"] == []  # hull 001 has it straight


def test_a_merge_of_several_changes_is_descended_into(yard: Yard) -> None:
    """Someone approves two changes on a line of their own, and main gets them in one merge."""
    copy = Yard(yard.repo.clone("copy"))
    thicken(copy)
    first = copy.change(reason="softer than it should be")
    copy.edit(SIDE, "angle_deg = 30", "angle_deg = 0")
    second = copy.change(reason="the kit is cut square")
    landed = [copy.repo.head(f"change/{change}") for change in (first, second)]
    take_in_later(yard, copy)
    rows = layers(yard)
    assert (rows[3]["since"]["label"], rows[3]["change"]) == ("r1+1", first)
    assert (rows[4]["since"]["label"], rows[4]["change"]) == ("r1+2", second)
    assert rows[3]["reason"] == "softer than it should be"
    assert [rows[3]["since"]["commit"], rows[4]["since"]["commit"]] == landed
    assert yard.findings() == {}


def take_in_later(yard: Yard, copy: Yard) -> None:
    """Merge another clone's main after main has moved on by itself."""
    yard("trial", "log", "--hull", "001", "--zone", "deck/side", "--observation", "noise", "--severity", "1",
         "--text", "creaks")  # fmt: skip
    take_in(yard, copy)


def test_a_proposal_of_several_commits_is_one_change(yard: Yard) -> None:
    copy = Yard(yard.repo.clone("copy"))
    thicken(copy)
    copy.change(reason="softer than it should be")
    copy.repo.branch("change/C-AAAAAA")
    copy.edit(SIDE, "angle_deg = 30", "angle_deg = 0")
    copy.repo.commit("the kit is cut square")
    copy.edit(SIDE, MAT, "")
    copy.repo.commit("second thoughts")
    edits = [edit_of(copy, "HEAD~1"), edit_of(copy, "HEAD")]
    copy.repo.reach("2026-02-01")
    copy.repo.commit("C-AAAAAA", files={record_path("C-AAAAAA"): change_text(edits=edits)})
    copy.repo.checkout("main")
    assert copy("change", "approve", "C-AAAAAA", who="ben").status == 0, copy.said[-1].err
    take_in_later(yard, copy)
    body = yard("why", "deck/side", "--json").json
    gone = body["removed"][0]
    assert (gone["layer"]["material"], gone["change"]) == ("csm-300", "C-AAAAAA")
    assert "C-AAAAAA" in {row["change"] for row in body["layers"]}
    assert yard.findings() == {}


def test_a_commit_of_two_changes_is_told_by_the_edit_each_holds(yard: Yard) -> None:
    thicken(yard)
    yard.edit(COAMING, "plies = 3", "plies = 4")
    commit = yard.repo.commit("Two at once")
    for change, path, decision in (("C-AAAAAA", COAMING, "D-AAAAAA"), ("C-BBBBBB", SIDE, "D-BBBBBB")):
        change_record(yard, change, edits=[edit_of(yard, commit, path)])
        decide(yard, change, "approved", decision)
    assert layers(yard)[CORE - 1]["change"] == "C-BBBBBB"
    assert layers(yard, "deck/coaming")[2]["change"] == "C-AAAAAA"
    assert yard.findings() == {}


def test_an_edit_straight_onto_main_says_what_its_commit_says(yard: Yard) -> None:
    thicken(yard)
    commit = yard.repo.commit("Thicker core, as Ada said on the phone")
    core = layers(yard)[CORE - 1]
    assert (core["change"], core["reason"]) == (None, "Thicker core, as Ada said on the phone")
    assert core["since"]["commit"] == commit


def test_a_change_undone_and_done_again(yard: Yard) -> None:
    thicken(yard, 25)
    yard.change()
    thicken(yard, 20)
    yard.change(reason="weight above all else")
    thicken(yard, 25)
    third = yard.change(reason="too soft after all")
    assert since(yard)[CORE - 1] == ("r1+3", third)


def test_an_open_proposal_can_be_asked_too(yard: Yard) -> None:
    thicken(yard)
    change = proposed(yard)
    core = layers(yard, "deck/side", "--at", f"change/{change}")[CORE - 1]
    assert (core["since"]["label"], core["change"], core["approved_by"]) == (None, change, None)


def test_as_built_for_a_hull_with_its_deviations(yard: Yard) -> None:
    thicken(yard)
    yard.change()
    yard("release", "demo")
    yard("hull", "add", "002", "--revision", "r2")
    laid(yard, "002")
    deviation = yard(
        "deviation", "report", "001", "--zone", "deck/side", "--type", "nonconformity", "--text", "short",
        "--line", "3", "--action", "left-out",
    ).id  # fmt: skip
    body = yard("why", "deck/side", "--hull", "001", "--json").json
    assert (body["hull"], body["revision"]["label"]) == ("001", "r1")
    assert [row["since"]["label"] for row in body["layers"]] == ["r1"] * 6
    assert [row["id"] for row in body["deviations"]] == [deviation]
    assert yard("why", "deck/side", "--hull", "002", "--json").json["layers"][3]["since"]["label"] == "r2"
    assert yard("why", "deck/side", "--hull", "002", "--json").json["layers"][3]["hulls"] == ["002"]
    assert yard("why", "hull/side", "--hull", "001").status == 2
    assert yard("why", "deck/side", "--hull", "009").status == 2


def test_an_unknown_zone_is_refused_with_the_nearest(yard: Yard) -> None:
    answer = yard("why", "deck/sid")
    assert answer.status == 2
    assert "did you mean `deck/side`?" in answer.err


# RecipeTable by hand from the example's history: what each commit's files change, line by line of r8+1. A zone
# that is not named here has every line since the first issue, r1.
SUPPLIER, SUPPORT, SPLIT, GIRDER = "C-70FQM3", "C-2M9XQ4", "C-2A5362", "C-XYNJX0"
EXAMPLE: dict[str, dict[int, tuple[str, str | None]]] = {
    "deck/aft-deck": {4: ("r6+2", SUPPLIER), 5: ("r7", "C-PDS8WZ"), 6: ("r6+2", SUPPLIER)},
    "deck/coaming": {6: ("r8+1", "C-NW8VK7")},
    "deck/deck-support": {
        3: ("r6+2", SUPPLIER), 4: ("r4", SUPPORT), 5: ("r4", SUPPORT), 6: ("r6+2", SUPPLIER),
    },
    "deck/side-deck": {4: ("r6+2", SUPPLIER), 6: ("r6+2", SUPPLIER)},
    "grid/engine-girders": {2: ("r5+2", GIRDER), 3: ("r6+2", SUPPLIER)},
    "hull/bottom-aft": {3: ("r6+2", SUPPLIER), 7: ("r6+2", SUPPLIER)},
    "hull/bottom-forward": {3: ("r6+2", SUPPLIER), 6: ("r3", SPLIT), 7: ("r6+2", SUPPLIER)},
    "hull/chine": {5: ("r6+2", SUPPLIER)},
    "hull/frames": {2: ("r6+2", SUPPLIER)},
    "hull/keel": {3: ("r6+2", SUPPLIER), 5: ("r6+2", SUPPLIER)},
    "hull/topsides": {3: ("r6+2", SUPPLIER), 6: ("r8", "C-E3TKA2"), 8: ("r6+2", SUPPLIER)},
    "hull/transom": {3: ("r6+2", SUPPLIER), 7: ("r6+2", SUPPLIER)},
    "wheelhouse/mast-beam": {2: ("r8+3", "C-9TF3HD")},
    "wheelhouse/roof": {1: ("r5+1", None)},
}  # fmt: skip
TAKEN_OUT: dict[str, tuple[str, str, str, str, list[str]]] = {
    "deck/aft-deck": ("csm-450", "r5+4", "r7", "C-PDS8WZ", ["014"]),
    "wheelhouse/roof": ("biax-450", "r1", "r4+1", "C-3T4P0M", ["011", "012", "013"]),
}
UNCHANGED = {
    "deck/beams", "deck/foredeck", "deck/sheer-joint", "grid/bulkheads", "grid/floors", "grid/tabbing",
    "grid/tank-top", "wheelhouse/front", "wheelhouse/sides",
}  # fmt: skip


@pytest.fixture(scope="module")
def quay(example: Path) -> Yard:
    return Yard(GitRepo(example, example.parent / "home"))


@pytest.mark.parametrize("zone", sorted({*EXAMPLE, *UNCHANGED}))
def test_the_example_tells_the_story_of_every_zone(quay: Yard, zone: str) -> None:
    body = quay("why", zone, "--json").json
    told = {row["line"]: (row["since"]["label"], row["change"]) for row in body["layers"]}
    later = EXAMPLE.get(zone, {})
    assert told == {line: later.get(line, ("r1", None)) for line in told}
    assert set(later) <= set(told)
    gone = [
        (r["layer"]["material"], r["since"]["label"], r["removed"]["label"], r["change"], r["hulls"])
        for r in body["removed"]
    ]
    assert gone == ([TAKEN_OUT[zone]] if zone in TAKEN_OUT else [])


def test_the_table_names_every_zone_of_the_quay(quay: Yard) -> None:
    zones = {row["zone"] for row in quay("figures", "--json").json["zones"]}
    assert zones == {*EXAMPLE, *UNCHANGED}


def test_the_example_joins_observation_decision_and_proof(quay: Yard) -> None:
    core = layers(quay, "deck/deck-support", "--line", "5")[0]
    assert core["reason"] == "too flexible at deck support"
    assert "T-7K3QX2" in core["trials"]
    assert {row["hull"] for row in core["observations"]} == {"011", "012"}
    assert core["approved_by"].startswith("Aine Corrigan")
    assert (core["outcome"], core["verified_on"]) == ("confirmed", ["013"])
    assert core["hulls"] == ["012", "013", "014", "015"]  # the deck of 012 by retrofit
    assert core["hulls_planned"] == ["016"]
    text = quay("why", "deck/deck-support").out
    assert "too flexible at deck support" in text
    assert "confirmed on hull 013" in text
    aft = quay("why", "deck/aft-deck", "--at", "r6", "--json").json["layers"]
    assert (aft[7]["change"], aft[7]["outcome"]) == ("C-WC1XRS", "not-confirmed")


def test_where_a_shallow_clone_ends_no_change_is_named_that_others_brought(tmp_path: Path) -> None:
    yard = new_yard(tmp_path)
    thicken(yard)
    change = yard.change(reason="too soft underfoot")
    yard("trial", "log", "--hull", "001", "--zone", "deck/side", "--observation", "noise", "--severity", "1",
         "--text", "Creaks.")  # fmt: skip
    yard.repo.git("clone", "--quiet", "--depth", "1", f"file://{yard.root}", str(tmp_path / "shallow"))
    told = {
        name: yard(*name.split(), at=tmp_path / "shallow") for name in ("why deck/side", "history", "audit")
    }
    assert [answer.status for answer in told.values()] == [0, 0, 0]
    assert change in yard("why", "deck/side").out
    for answer in told.values():
        assert change not in answer.out
        assert "shallow clone" in answer.out
    assert "edit-not-decided" not in told["audit"].out


def test_data_that_changed_outside_the_zone_s_file_is_told(quay: Yard) -> None:
    """A recall goes to the hulls that were laid with the data in question, and to no other."""
    layer = layers(quay, "hull/topsides", "--line", "5")[0]
    assert layer["layer"]["material"] == "wr-600"
    assert [(change["of"], change["change"]) for change in layer["data"]] == [("wr-600", "C-KJHC34")]
    assert layer["hulls"] == ["012", "013", "014", "015"]
    assert layer["hulls_planned"] == ["016"]
    assert layer["hulls_other_data"] == ["011"]
    around = quay("why", "deck/deck-support", "--json").json["around"]
    assert [(change["of"], change["change"]) for change in around] == [("part deck", "C-Z75MMQ")]


def test_the_history_of_a_zone_knows_what_reached_it_from_outside(quay: Yard) -> None:
    rows = quay("history", "hull/topsides", "--json").json["revisions"]
    brought = [change["change"] for row in rows for change in row["changes"]]
    assert brought == ["C-E3TKA2", "C-70FQM3", "C-PA3FE8", "C-KJHC34", None]


def test_a_comparison_says_that_a_change_was_later_not_confirmed(quay: Yard) -> None:
    answer = quay("compare", "r5", "r6").out
    assert answer.count("later NOT CONFIRMED") == 1
    reasons = {r["change"]: r for r in quay("compare", "r5", "r6", "--json").json["reasons"]}
    assert reasons["C-WC1XRS"]["outcome"] == "not-confirmed"
    assert reasons["C-Z75MMQ"]["outcome"] == "confirmed"
    assert "models/pb98/deck/part.toml" in reasons["C-Z75MMQ"]["paths"]
