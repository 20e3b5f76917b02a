"""Releases, hulls started to them and weighed, and departures reported and decided."""

import tomllib
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from recipe_track.errors import Refused
from recipe_track.figures.cases import ZoneCase
from recipe_track.figures.craft import figures_of, zone_cases
from recipe_track.figures.zone import zone_figures
from recipe_track.procedures.building import HullEntry, StepEntry, add_hull, move_part
from recipe_track.workspace import open_workspace
from tests.journeys.yard import REQUIRED, SIDE, Yard, answered, explained, new_yard, thicken
from tests.recipes import read_recipe

REPORT = (
    "deviation",
    "report",
    "001",
    "--zone",
    "deck/side",
    "--type",
    "nonconformity",
    "--text",
    "one ply short",
)


@pytest.fixture
def yard(tmp_path: Path) -> Yard:
    return new_yard(tmp_path)


def next_release(yard: Yard, to: float = 25) -> str:
    text = (yard.root / SIDE).read_text()
    old = text.split('"pvc-80", thickness_mm = ')[1].split(" ")[0]
    yard.edit(SIDE, f"thickness_mm = {old} }}", f"thickness_mm = {to:g} }}")
    yard.change()
    return yard("release", "demo", "--from-hull", "002").id


def test_a_release_is_an_annotated_tag_on_main_that_names_its_first_hull(yard: Yard) -> None:
    assert yard.repo.git("cat-file", "-t", "demo/r1") == "tag"
    assert "first hull 001" in yard.repo.git("cat-file", "tag", "demo/r1")
    assert next_release(yard) == "r2"
    assert yard.repo.head("demo/r2") == yard.repo.head("main")
    body = yard("release", "demo", "--json")
    assert body.status == 1  # nothing new
    assert "r2 stands for just this recipe" in body.err


def test_a_release_in_json_and_dry(yard: Yard) -> None:
    yard.edit(SIDE, "thickness_mm = 20", "thickness_mm = 25")
    yard.change()
    assert yard("release", "demo", "--dry-run").out == ""
    assert yard.repo.git("tag", "--list") == "demo/r1"
    body = yard("release", "demo", "--json").json
    assert (body["format"], body["label"], body["commit"]) == (
        "recipe-track/release/1", "r2", yard.repo.head("main"),
    )  # fmt: skip


def test_a_release_is_refused_while_a_zone_is_on_hold(yard: Yard) -> None:
    yard.edit(SIDE, "thickness_mm = 20", "thickness_mm = 25")
    yard.change()
    trial = yard(
        "trial", "log", "--hull", "001", "--zone", "deck/side", "--observation", "crack", "--severity", "4",
        "--text", "crack at the stanchion",
    ).id  # fmt: skip
    refused = yard("release", "demo")
    assert refused.status == 1
    assert trial in refused.err
    yard("trial", "decide", trial, "--decision", "contained", "--note", "taken out of use", who="ben")
    assert yard("release", "demo").id == "r2"


def test_a_release_is_refused_with_a_problem_on_main(yard: Yard) -> None:
    yard.edit(SIDE, "pvc-80", "pvc-8")
    yard.repo.commit("slip")
    refused = yard("release", "demo")
    assert refused.status == 1
    assert f"{SIDE}:9:" in refused.err


def test_a_release_needs_its_broken_minima_covered(tmp_path: Path) -> None:
    yard = new_yard(tmp_path, required=REQUIRED)
    yard.edit(SIDE, "thickness_mm = 20", "thickness_mm = 12")
    commit = yard.repo.commit("straight onto main")
    refused = yard("release", "demo")
    assert refused.status == 1
    assert "core_thickness_mm_min 15 is not met: 12" in refused.err
    change = explained(yard, commit, approve=None)
    yard("change", "approve", change, "--reverified", "SC-014 rev C", "--body", "Registry", who="ben")
    assert yard("release", "demo").id == "r2"


def test_a_minimum_broken_from_the_first_issue_on_is_answered_by_a_document(tmp_path: Path) -> None:
    """No waiting change brings it, so none can be approved with --reverified."""
    yard = new_yard(tmp_path, required=REQUIRED.replace("6.0", "600.0").replace("15.0", "25.0"), hull=False)
    refused = yard("release", "demo")
    assert refused.status == 1
    assert "core_thickness_mm_min 25 is not met: 20" in refused.err
    finding = yard.findings()["minimum-broken"][0]
    answered(yard, finding, "--document", "SC-014 rev C", "--body", "Registry")
    assert yard("release", "demo").id == "r1"
    assert yard.findings() == {}


def test_a_release_is_refused_with_an_edit_that_nobody_decided(yard: Yard) -> None:
    thicken(yard)
    commit = yard.repo.commit("straight onto main")
    refused = yard("release", "demo")
    assert refused.status == 1
    assert f"edit-not-decided {SIDE}" in refused.err
    explained(yard, commit)
    assert yard("release", "demo").id == "r2"


def test_a_release_is_refused_while_half_of_what_was_decided_is_missing(yard: Yard) -> None:
    copy = Yard(yard.repo.clone("copy"))
    thicken(copy)
    copy.edit("prices.toml", "48.0", "50.0")
    change = copy.change()
    yard.repo.git("fetch", "--quiet", copy.root.as_uri(), "main")
    yard.repo.git("checkout", "--quiet", "FETCH_HEAD", "--", SIDE, f"records/2026/{change}.toml")
    yard.repo.commit("the core alone")
    yard.repo.git("checkout", "--quiet", "FETCH_HEAD", "--", "records")
    yard.repo.commit("and the decision", who="ben")
    refused = yard("release", "demo")
    assert refused.status == 1
    assert f"approved-not-landed {change}" in refused.err


def test_a_covered_minimum_stays_covered_when_the_zone_is_renamed(tmp_path: Path) -> None:
    yard = new_yard(tmp_path, required=REQUIRED)
    yard.edit(SIDE, "thickness_mm = 20", "thickness_mm = 12")
    change = yard(
        "change", "propose", "--title", "t", "--reason", "weight above all else", "--category", "layup"
    ).id
    yard("change", "approve", change, "--reverified", "SC-014 rev C", "--body", "Registry", who="ben")
    text = (yard.root / SIDE).read_text()
    (yard.root / SIDE).unlink()
    yard.repo.write(SIDE.replace("side", "walk"), 'formerly = ["deck/side"]\n' + text)
    yard.change(reason="the drawing calls it the walk")
    assert yard("release", "demo").id == "r2"


def test_parts_already_started_are_told_and_kept(yard: Yard) -> None:
    yard("hull", "part", "001", "--part", "deck", "--state", "in-mould")
    yard.edit(SIDE, "thickness_mm = 20", "thickness_mm = 25")
    yard.change()
    assert "hull 001 keeps what it was started with: deck r1 (in-mould)" in yard("release", "demo").err
    moved = yard("hull", "part", "001", "--part", "deck", "--revision", "r2", "--state", "demoulded")
    assert moved.status == 1
    assert "was started to r1" in moved.err
    assert yard("hull", "part", "001", "--part", "deck", "--state", "demoulded").status == 0


def test_a_started_part_is_of_a_later_release_once_every_change_to_it_is_done(yard: Yard) -> None:
    yard("hull", "part", "001", "--part", "deck", "--state", "in-mould")
    thicken(yard, 25)
    first = yard.change()
    thicken(yard, 30)
    second = yard.change()
    yard("release", "demo")
    later = ("hull", "part", "001", "--part", "deck", "--state", "demoulded", "--revision", "r2")
    refused = yard(*later, "--done", first)
    assert refused.status == 1
    assert f"{second} is not carried out on it" in refused.err
    assert yard("hull", "part", "001", "--part", "deck", "--state", "demoulded", "--done", first).status == 0
    assert part(yard)["done"] == [first]
    assert f"r1 with {first}" in yard("hull", "show", "001").out
    assert yard(*later, "--done", second).status == 0
    assert (part(yard)["revision"], part(yard)["done"]) == ("r2", [])


def part(yard: Yard, hull: str = "001") -> dict[str, object]:
    """The deck of a hull as it stands."""
    found: dict[str, object] = yard("hull", "show", hull, "--json").json["parts"][0]
    return found


def test_a_hull_is_planned_and_moved_on_by_steps(yard: Yard) -> None:
    hull = tomllib.loads(yard.repo.show("main", "hulls/001.toml").decode())
    assert hull == {"model": "demo", "first_release": "r1"}
    assert (part(yard)["state"], part(yard)["revision"]) == ("planned", "r1")
    assert part(yard)["commit"] == yard.repo.head("demo/r1")
    assert yard("hull", "add", "001", "--revision", "r1").status == 1
    assert yard("hull", "add", "002", "--revision", "r9").status == 2
    assert yard("hull", "add", "../x", "--revision", "r1").status == 2
    planned = part(yard)["step"]
    step = yard("hull", "part", "001", "--part", "deck", "--state", "demoulded", "--on", "2026-03-01").id
    written = tomllib.loads(yard.repo.show("main", f"records/2026/{step}.toml").decode())
    assert written == {
        "kind": "step", "by": "Ada Quay <ada@quay.example>", "on": date(2026, 3, 1), "hull": "001",
        "part": "deck", "state": "demoulded", "after": planned,
    }  # fmt: skip
    assert yard.repo.git("diff", "--name-only", "main~1", "main") == f"records/2026/{step}.toml"
    assert yard("hull", "state", "001", "--state", "delivered").status == 0
    assert yard("hull", "state", "001", "--state", "delivered").status == 1
    assert yard("hull", "state", "001", "--state", "in-build").status == 1  # it does not say why
    assert (
        yard("hull", "state", "001", "--state", "in-build", "--meant", "--note", "back for paint").status == 0
    )
    assert yard("hull", "list", "--json").json["hulls"][0]["status"] == "in-build"
    assert yard.findings() == {}


def test_a_step_back_and_a_step_that_is_none_are_refused(yard: Yard) -> None:
    move = ("hull", "part", "001", "--part", "deck", "--state")
    assert yard(*move, "in-mould").status == 0
    refused = yard(*move, "planned")
    assert refused.status == 1
    assert "lies before that" in refused.err
    assert "is in-mould already" in yard(*move, "in-mould").err
    assert yard(*move, "planned", "--meant", "--note", "the mould was needed").status == 0
    assert yard("hull", "part", "001", "--part", "keel", "--state", "in-mould").status == 2


def test_what_follows_a_scrapped_part_is_another_copy_of_it(yard: Yard) -> None:
    move = ("hull", "part", "001", "--part", "deck", "--state")
    for state in ("in-mould", "scrapped", "in-mould"):
        assert yard(*move, state).status == 0
    assert (part(yard)["copy"], part(yard)["state"]) == (2, "in-mould")


def test_a_part_goes_to_another_hull_and_is_planned_again_where_it_was(yard: Yard) -> None:
    yard("hull", "add", "002", "--revision", "r1")
    yard("hull", "part", "001", "--part", "deck", "--state", "in-mould")
    taken = ("hull", "part", "002", "--part", "deck", "--state", "in-mould", "--from", "001")
    assert yard(*taken).status == 0, yard.said[-1].err
    assert (part(yard, "002")["state"], part(yard, "002")["came_from"]) == ("in-mould", "001")
    assert part(yard, "001")["state"] == "planned"
    assert yard("hull", "part", "001", "--part", "deck", "--state", "in-mould").status == 0
    assert yard(*taken).status == 1  # there is no room for another
    assert yard.findings() == {}


def test_a_renumbered_hull_is_found_by_either_number(yard: Yard) -> None:
    yard("hull", "part", "001", "--part", "deck", "--state", "in-mould")
    trial = yard(
        "trial", "log", "--hull", "001", "--zone", "deck/side", "--observation", "noise", "--severity", "1",
        "--text", "creaks",
    ).id  # fmt: skip
    assert yard("hull", "add", "V-7", "--revision", "r1", "--was", "001").id == "V-7"
    assert part(yard, "V-7")["state"] == part(yard, "001")["state"] == "in-mould"
    assert yard("hull", "part", "001", "--part", "deck", "--state", "demoulded").status == 0
    assert part(yard, "V-7")["state"] == "demoulded"
    shown = yard("hull", "show", "V-7", "--json").json
    assert [row["id"] for row in shown["observations"]] == [trial]
    assert yard.findings() == {}


def test_hulls_are_not_told_apart_by_case_alone(yard: Yard) -> None:
    assert yard("hull", "add", "A1", "--revision", "r1").id == "A1"
    refused = yard("hull", "add", "a1", "--revision", "r1")
    assert refused.status == 1
    assert "hull A1 is there already" in refused.err
    (yard.root / "hulls/a1.toml").write_bytes((yard.root / "hulls/A1.toml").read_bytes())
    if sorted(file.name for file in (yard.root / "hulls").glob("[aA]*")) == ["A1.toml", "a1.toml"]:
        assert "hulls/a1.toml:1:1: hull A1 is there already" in yard("check").out


def test_no_two_steps_follow_one_that_another_process_went_on_from(yard: Yard) -> None:
    yard("hull", "add", "002", "--revision", "r1")
    day = date.fromisoformat(yard.repo.today)
    with yard.repo.acting(), open_workspace(yard.root) as late:
        late.current()
        other = yard("hull", "part", "002", "--part", "deck", "--state", "in-mould").id
        main = yard.repo.head("main")
        with pytest.raises(Refused, match="changed meanwhile") as refused:
            move_part(late, StepEntry("002", "kit-cut", day, "deck"))
        assert refused.value.details == (other,)
        with pytest.raises(Refused, match="changed meanwhile"):
            move_part(late, StepEntry("001", "planned", day, "deck", from_hull="002", note="it fits"))
        assert yard.repo.head("main") == main
        move_part(late, StepEntry("001", "kit-cut", day, "deck"))  # another hull is not in the way
    assert part(yard, "002")["state"] == "in-mould"
    assert part(yard, "001")["state"] == "kit-cut"
    assert yard.findings() == {}


def test_a_hull_that_another_process_planned_is_not_planned_again(yard: Yard) -> None:
    day = date.fromisoformat(yard.repo.today)
    with yard.repo.acting(), open_workspace(yard.root) as late:
        late.current()
        yard("hull", "add", "002", "--revision", "r1")
        with pytest.raises(Refused, match="changed meanwhile"):
            add_hull(late, HullEntry("002", "demo", "r1", day))
    assert len(list((yard.root / "records/2026").glob("H-*"))) == 3


def test_the_as_built_record_holds_a_weighing_against_the_computed_mass(yard: Yard) -> None:
    computed = figures_of(read_recipe(yard.root), "demo").parts[0].mass_kg
    yard("hull", "weigh", "001", "--part", "deck", "--mass-kg", f"{computed * 1.1 + 5}", "--tare-kg", "5",
         "--state", "as-demoulded", "--on", "2026-02-01")  # fmt: skip
    yard("hull", "add", "002", "--revision", "r1")
    yard("hull", "weigh", "002", "--part", "deck", "--mass-kg", f"{computed}", "--state", "as-demoulded",
         "--on", "2026-02-02")  # fmt: skip
    yard("hull", "weigh", "002", "--part", "deck", "--mass-kg", f"{computed * 2}", "--state", "trimmed",
         "--meant", "--note", "weighed twice", "--on", "2026-02-03")  # fmt: skip
    first = yard("hull", "show", "001", "--json").json["weighings"][0]
    assert first["computed_kg"] == pytest.approx(computed)
    assert first["percent"] == pytest.approx(10)
    assert first["mean_percent"] == pytest.approx(10)
    second, other_state = yard("hull", "show", "002", "--json").json["weighings"]
    assert second["percent"] == pytest.approx(0, abs=1e-9)
    assert second["mean_percent"] == pytest.approx(5)
    assert second["mean_over"] == ["001", "002"]
    assert other_state["mean_percent"] == pytest.approx(100)
    assert yard("hull", "weigh", "001", "--part", "keel", "--mass-kg", "1", "--state", "trimmed").status == 2


def test_the_apparent_fibre_fraction_puts_the_difference_into_the_resin(yard: Yard) -> None:
    """Fibre as cut; whatever the scales show beyond core, coating and uptake is taken for resin in the fabrics."""
    figures = figures_of(read_recipe(yard.root), "demo")
    fibre = sum(z.mass_by_kind_kg["fibre"] for z in figures.zones)
    # both faces of 2.4 m² take up 300 g/m², the holes 12 g/m² per mm of 20 mm (tests/data/worked-recipe)
    uptake = 2.4 * (2 * 0.300 + 0.012 * 20)
    other = sum(z.mass_by_kind_kg["core"] + z.mass_by_kind_kg["coating"] for z in figures.zones) + uptake
    weighed = figures.parts[0].mass_kg + 3.0
    yard("hull", "weigh", "001", "--part", "deck", "--mass-kg", f"{weighed}", "--state", "trimmed")
    row = yard("hull", "show", "001", "--json").json["weighings"][0]
    assert row["apparent_fibre_fraction"] == pytest.approx(fibre / (weighed - other))
    assert row["computed_fibre_fraction"] == pytest.approx(fibre / (weighed - 3.0 - other))
    assert "apparent fibre fraction" in yard("hull", "show", "001").out


def test_the_craft_is_weighed_against_laminate_and_other_masses(yard: Yard) -> None:
    light = figures_of(read_recipe(yard.root), "demo").craft.mass_kg
    yard(
        "hull",
        "weigh",
        "001",
        "--part",
        "craft",
        "--mass-kg",
        f"{light + 12}",
        "--state",
        "assembled",
        "--includes",
        "light, tanks drained",
    )
    row = yard("hull", "show", "001", "--json").json["weighings"][0]
    assert row["difference_kg"] == pytest.approx(12)


def test_a_hull_tells_which_later_changes_it_does_not_have(yard: Yard) -> None:
    yard.edit(SIDE, "thickness_mm = 20", "thickness_mm = 25")
    change = yard(
        "change", "propose", "--title", "t", "--reason", "too soft underfoot", "--category", "layup"
    ).id
    yard("change", "approve", change, "--hull-action", "001:deck=retrofit", who="ben")
    yard.edit("prices.toml", "48.0", "50.0")
    yard.change(reason="yearly wage round")
    lacking = yard("hull", "show", "001", "--json").json["lacking"]
    assert [(row["change"], row["part"], row["action"]) for row in lacking] == [(change, "deck", "retrofit")]
    yard("release", "demo")
    yard("hull", "add", "002", "--revision", "r2")
    assert yard("hull", "show", "002", "--json").json["lacking"] == []


def test_a_moved_tag_is_noticed(yard: Yard) -> None:
    yard.repo.git("tag", "-f", "-a", "-m", "moved", "demo/r1", "HEAD")
    part = yard("hull", "show", "001", "--json").json["parts"][0]
    assert part["tag_moved"] is True
    assert part["zones"] is not None  # the layup is that of the commit it was started to
    assert "was moved" in yard("hull", "show", "001").out


def test_a_departure_holds_its_zone_until_someone_entitled_decides(yard: Yard) -> None:
    deviation = yard(*REPORT, "--line", "3", "--action", "left-out", who="cem").id
    assert yard("hull", "list", "--json").json["hulls"][0]["holds"] == [deviation]
    assert yard("deviation", "decide", deviation, "--decision", "accepted", who="cem").status == 1
    assert yard("deviation", "decide", deviation, "--decision", "accepted", who="ben").status == 0
    assert yard("hull", "list", "--json").json["hulls"][0]["holds"] == []
    row = yard("deviation", "list", "--json").json["deviations"][0]
    assert (row["state"], row["called"]) == ("accepted", "concession")
    assert "concession" in yard("hull", "show", "001").out
    assert yard("deviation", "decide", deviation, "--decision", "refused", who="ben").status == 1


def test_an_accepted_request_is_a_deviation_permit(yard: Yard) -> None:
    asked = yard(*(w.replace("nonconformity", "deviation-permit") for w in REPORT), who="cem").id
    assert "request to deviate, not decided" in yard("deviation", "list").out
    yard("deviation", "decide", asked, "--decision", "accepted", who="ben")
    assert "deviation permit" in yard("deviation", "list").out


def built(yard: Yard) -> dict[str, object]:
    parts = yard("hull", "show", "001", "--json").json["parts"]
    found: dict[str, object] = next(z for z in parts[0]["zones"] if z["zone"] == "deck/side")
    return found


def side_case(yard: Yard) -> ZoneCase:
    recipe = read_recipe(yard.root)
    return next(c for c in zone_cases(recipe, recipe.models["demo"]) if c.name == "deck/side")


@pytest.mark.parametrize("fraction", [1.0, 0.25])
def test_a_ply_left_out_shows_in_the_figures_as_built(yard: Yard, fraction: float) -> None:
    """Mass of the whole zone in proportion to the area; stiffness where it deviates."""
    case = side_case(yard)
    layup = list(case.zone.layup)
    layup[2] = layup[2].model_copy(update={"plies": 1})
    short = replace(case, zone=case.zone.model_copy(update={"layup": tuple(layup)}))
    whole, less = zone_figures([case, short])
    yard(*REPORT, "--line", "3", "--action", "left-out", "--area-fraction", f"{fraction}", who="cem")
    zone = built(yard)
    assert zone["mass_kg"] == pytest.approx(whole.mass_kg + fraction * (less.mass_kg - whole.mass_kg))
    deviating = zone["deviating"]
    assert isinstance(deviating, dict)
    assert deviating["ei_x_kn_m2_per_m"] == pytest.approx(less.ei_x_kn_m2_per_m)
    assert less.mass_kg < whole.mass_kg


def test_a_substituted_and_an_added_layer_show_as_built(yard: Yard) -> None:
    case = side_case(yard)
    layup = list(case.zone.layup)
    layup[2] = layup[2].model_copy(update={"plies": 1})
    layup.insert(3, layup[2].model_copy(update={"material": "wr-600"}))
    layup.insert(6, layup[5].model_copy(update={"plies": 1}))
    expected = zone_figures([replace(case, zone=case.zone.model_copy(update={"layup": tuple(layup)}))])[0]
    yard(
        *REPORT, "--line", "3", "--action", "substituted", "--instead", "wr-600", "--line", "5", "--action",
        "added", who="cem",
    )  # fmt: skip
    assert built(yard)["mass_kg"] == pytest.approx(expected.mass_kg)


def test_a_refused_departure_does_not_count_as_built(yard: Yard) -> None:
    deviation = yard(*REPORT, "--line", "3", "--action", "left-out", who="cem").id
    yard("deviation", "decide", deviation, "--decision", "refused", "--note", "lay it", who="ben")
    assert built(yard)["deviating"] is None


@pytest.mark.parametrize(
    "more",
    [
        ("--line", "9", "--action", "left-out"),
        ("--line", "3"),
        ("--line", "3", "--action", "substituted"),
        ("--line", "3", "--action", "substituted", "--instead", "wr-60"),
        ("--line", "3", "--action", "left-out", "--instead", "wr-600"),
        ("--line", "2", "--action", "left-out", "--plies", "2"),
    ],
)
def test_a_departure_that_cannot_be_is_refused(yard: Yard, more: tuple[str, ...]) -> None:
    head = yard.repo.head("main")
    assert yard(*REPORT, *more).status == 2
    assert yard.repo.head("main") == head
