"""Changes: proposed with a reason and an expected effect, decided by someone else, verified on a hull."""

import tomllib
from pathlib import Path

import pytest

from recipe_track.figures.craft import figures_of
from tests.journeys.gitrepo import PEOPLE
from tests.journeys.yard import COAMING, REQUIRED, SETTINGS, SIDE, Yard, explained, main_files, new_yard, only
from tests.recipes import read_recipe

PROPOSE = (
    "change",
    "propose",
    "--title",
    "Thicker core",
    "--reason",
    "too soft underfoot",
    "--category",
    "layup",
)
ALONE = SETTINGS + "\n[approval]\ndistinct_approver = false\n"
LISTED = SETTINGS + f'\n[approval]\napprovers = ["{PEOPLE["ben"][1].upper()}"]\n'


@pytest.fixture
def yard(tmp_path: Path) -> Yard:
    return new_yard(tmp_path)


def thicken(yard: Yard, to: float = 25) -> None:
    yard.edit(SIDE, "thickness_mm = 20", f"thickness_mm = {to:g}")


def record_at(yard: Yard, revision: str, record_id: str) -> dict[str, object]:
    path = next(path for path in main_files(yard, revision) if path.endswith(f"{record_id}.toml"))
    return tomllib.loads(yard.repo.show(revision, path).decode())


def test_a_proposal_takes_every_recipe_edit_and_leaves_the_rest(yard: Yard) -> None:
    thicken(yard)
    yard.repo.write("models/demo/deck/hatch.toml", (yard.root / COAMING).read_text())
    (yard.root / COAMING).unlink()
    yard.edit("prices.toml", "48.0", "50.0")
    yard.repo.git("add", "prices.toml")
    yard.repo.write("notes.txt", "not a recipe\n")
    status, main = yard.repo.git("status", "--porcelain"), yard.repo.head("main")
    change = yard(*PROPOSE).id
    branch = f"change/{change}"
    assert yard.repo.git("diff", "--name-only", "--no-renames", "main", branch).splitlines() == [
        COAMING, "models/demo/deck/hatch.toml", SIDE, "prices.toml", f"records/{_year(yard, branch)}/{change}.toml",
    ]  # fmt: skip
    assert yard.repo.head(f"{branch}~1") == main == yard.repo.head("main")
    assert yard.repo.git("status", "--porcelain") == status
    message = yard.repo.git("log", "-1", "--format=%B", branch)
    assert f"Change: {change}\nReason: too soft underfoot" in message


def _year(yard: Yard, revision: str) -> str:
    return next(p for p in main_files(yard, revision) if p.startswith("records/")).split("/")[1]


def test_the_expected_effect_is_the_difference_of_the_figures(yard: Yard) -> None:
    before = figures_of(read_recipe(yard.root), "demo")
    thicken(yard)
    after = figures_of(read_recipe(yard.root), "demo")
    change = yard(*PROPOSE).id
    expected = record_at(yard, f"change/{change}", change)["expected"]
    assert isinstance(expected, dict)
    assert expected["mass_kg"] == pytest.approx(after.craft.mass_kg - before.craft.mass_kg, abs=1e-3)
    assert expected["cost"] == pytest.approx((after.craft.cost or 0) - (before.craft.cost or 0), abs=0.01)
    assert list(expected["zones"]) == ["deck/side"]
    old, new = (next(z for z in f.zones if z.zone == "deck/side") for f in (before, after))
    deltas = {
        key: getattr(new, key) - getattr(old, key)
        for key in ("mass_kg", "ei_x_kn_m2_per_m", "ei_y_kn_m2_per_m", "deflection_mm", "cost")
    }
    assert expected["zones"]["deck/side"] == pytest.approx(deltas, abs=0.005)


@pytest.mark.parametrize(
    ("reason", "told"), [("", "needs a reason"), ("  \n", "needs a reason"), ("too soft", "too short")]
)
def test_no_reason_no_proposal(yard: Yard, reason: str, told: str) -> None:
    thicken(yard)
    answer = yard(*("change", "propose", "--title", "t", "--reason", reason, "--category", "layup"))
    assert answer.status == 1
    assert told in answer.err
    assert yard.repo.git("branch", "--list", "change/*") == ""


def test_nothing_to_propose_is_refused(yard: Yard) -> None:
    answer = yard(*PROPOSE)
    assert answer.status == 1
    assert "nothing to propose" in answer.err


def test_what_an_open_proposal_holds_is_not_proposed_again(yard: Yard) -> None:
    thicken(yard)
    first = yard(*PROPOSE).id
    again = yard(*PROPOSE)
    assert again.status == 1
    assert f"{first} proposes just this" in again.err
    yard.edit("prices.toml", "48.0", "50.0")
    second = yard(*PROPOSE)
    assert "left out" in second.err
    assert (
        yard.repo.git("diff", "--name-only", "main", f"change/{second.id}").splitlines()[0] == "prices.toml"
    )


def test_invalid_files_are_refused_at_their_place(yard: Yard) -> None:
    yard.edit(SIDE, "pvc-80", "pvc-8")
    answer = yard(*PROPOSE)
    assert answer.status == 1
    assert f"{SIDE}:9:" in answer.err
    assert "pvc-80" in answer.err
    assert yard.repo.git("branch", "--list", "change/*") == ""


def test_files_main_has_gone_on_with_are_refused(yard: Yard) -> None:
    yard.repo.branch("work")
    thicken(yard)
    yard.repo.commit("elsewhere")
    yard.repo.checkout("main")
    yard.edit(SIDE, "thickness_mm = 20", "thickness_mm = 30")
    yard.change()
    yard.repo.checkout("work")
    for args in ((), ("--dry-run",)):
        answer = yard(*PROPOSE, *args)
        assert answer.status == 1
        assert SIDE in answer.err


def test_a_proposal_that_was_added_to_is_proposed_anew(yard: Yard) -> None:
    thicken(yard)
    change = yard(*PROPOSE).id
    yard.repo.git("checkout", "--quiet", "--", SIDE)
    yard.repo.checkout(f"change/{change}")
    yard.edit(COAMING, "plies = 3", "plies = 4")
    yard.repo.commit("and this")
    yard.repo.checkout("main")
    refused = yard("change", "approve", change, who="ben")
    assert refused.status == 1
    assert "is not what its record says" in refused.err
    assert COAMING in refused.err
    assert f"--replaces {change}" in refused.err
    yard.repo.git("checkout", "--quiet", f"change/{change}", "--", SIDE, COAMING)
    anew = yard(*PROPOSE, "--replaces", change).id
    assert record_at(yard, f"change/{anew}", anew)["replaces"] == change
    assert yard("change", "approve", anew, who="ben").status == 0
    states = {row["id"]: row["state"] for row in yard("change", "list", "--json").json["changes"]}
    assert states == {anew: "approved", change: "superseded"}
    assert yard("change", "approve", change, who="ben").status == 1
    assert yard.findings() == {}


def test_who_made_a_commit_of_the_proposal_cannot_approve(yard: Yard) -> None:
    thicken(yard)
    change = yard(*PROPOSE).id
    yard.repo.git("checkout", "--quiet", "--", SIDE)
    yard.repo.checkout(f"change/{change}")
    yard.repo.commit("a note of mine", files={"notes.txt": "x"}, who="ben")
    yard.repo.checkout("main")
    assert "someone else has to decide" in yard("change", "approve", change, who="ben").err


def test_what_is_on_main_is_explained_and_decided_afterwards(yard: Yard) -> None:
    thicken(yard)
    commit = yard.repo.commit("Thicker core")
    change = explained(yard, commit, approve=None)
    assert yard("change", "list", "--json").json["changes"][0]["state"] == "proposed"
    assert yard("change", "approve", change, who="ada").status == 1  # whose edit it is
    approved = yard("change", "approve", change, who="ben")
    assert "after the fact" in approved.err
    edits = record_at(yard, "main", change)["edit"]
    blobs = yard.repo.git("rev-parse", f"{commit}~1:{SIDE}", f"{commit}:{SIDE}").split()
    assert isinstance(edits, list)
    assert [(e["path"], e["before"], e["after"]) for e in edits] == [(SIDE, *blobs)]
    shown = yard("change", "show", change, "--json").json
    assert (shown["state"], shown["commit"]) == ("approved", commit)
    nothing = ("change", "propose", "--landed", "main", "--title", "t", "--reason", "nothing there at all")
    assert yard(*nothing, "--category", "layup").status == 1


def test_settings_are_changed_by_decision_too(yard: Yard) -> None:
    yard.repo.write("recipe-track.toml", ALONE)
    change = yard(
        "change", "propose", "--title", "t", "--reason", "there are two of us", "--category", "settings"
    ).id
    assert "model" not in record_at(yard, f"change/{change}", change)
    assert yard("change", "approve", change, who="ada").status == 1  # what is proposed does not hold yet
    assert yard("change", "approve", change, who="ben").status == 0
    thicken(yard)
    assert yard(*PROPOSE, "--approve").status == 0
    assert yard.findings() == {}


def test_a_zone_with_minima_does_not_vanish(tmp_path: Path) -> None:
    yard = new_yard(tmp_path, required=REQUIRED.replace("6.0", "60.0"))
    text = (yard.root / SIDE).read_text()
    (yard.root / SIDE).unlink()
    refused = yard(*PROPOSE)
    assert refused.status == 1
    assert "demo deck/side" in refused.err
    yard.repo.write(SIDE.replace("side", "walk"), f'formerly = ["deck/side"]\n{text}')
    assert yard(*PROPOSE).status == 0


def test_an_unknown_observation_is_refused(yard: Yard) -> None:
    thicken(yard)
    answer = yard(*PROPOSE, "--trial", "T-000000")
    assert answer.status == 2
    assert "T-000000" in answer.err


def test_approval_is_one_merge_with_the_decision_and_the_trailers(yard: Yard) -> None:
    thicken(yard)
    change = yard(*PROPOSE).id
    before = yard.repo.head("main")
    decision = yard("change", "approve", change, "--note", "checked on the bench", who="ben").id
    assert decision.startswith("D-")
    decided = yard.repo.head("main^2")
    assert yard.repo.git("log", "-1", "--format=%P", "main").split() == [before, decided]
    assert yard.repo.head("main^2~1") == yard.repo.head(f"change/{change}")  # the decision lies on top of it
    blob = yard.repo.git("rev-parse", f"main:records/2026/{change}.toml")
    assert record_at(yard, decided, decision)["decides"] == blob
    changed = yard.repo.git("diff", "--name-only", "main~1", "main").splitlines()
    assert changed[0] == SIDE
    assert sorted(path.rsplit("/", 1)[1] for path in changed[1:]) == [f"{change}.toml", f"{decision}.toml"]
    assert record_at(yard, "main", decision)["about"] == change
    message = yard.repo.git("log", "-1", "--format=%B", "main")
    assert f"\n\nChange: {change}\nReason: too soft underfoot" in message
    assert yard.repo.git("status", "--porcelain") == ""
    assert yard("change", "approve", change, who="ben").status == 1  # a second time


def test_the_proposer_cannot_approve(yard: Yard) -> None:
    thicken(yard)
    change = yard(*PROPOSE).id
    head = yard.repo.head("main")
    answer = yard("change", "approve", change, who="ada")
    assert answer.status == 1
    assert "someone else has to decide" in answer.err
    upper = {"GIT_COMMITTER_EMAIL": PEOPLE["ada"][1].upper(), "GIT_AUTHOR_EMAIL": PEOPLE["ada"][1].upper()}
    assert yard("change", "approve", change, who="ben", **upper).status == 1
    assert yard.repo.head("main") == head


def test_only_approvers_decide_where_they_are_listed(tmp_path: Path) -> None:
    yard = new_yard(tmp_path, settings=LISTED)
    thicken(yard)
    change = yard(*PROPOSE).id
    for args in (("approve", change), ("reject", change, "--note", "no")):
        answer = yard("change", *args, who="cem")
        assert answer.status == 1
        assert "not entitled" in answer.err
    assert yard("change", "approve", change, who="ben").status == 0


def test_settings_edited_in_the_work_tree_entitle_nobody(tmp_path: Path) -> None:
    yard = new_yard(tmp_path, settings=LISTED)
    thicken(yard)
    change = yard(*PROPOSE).id
    yard.repo.write("recipe-track.toml", ALONE)
    assert yard("change", "approve", change, who="ada").status == 1


def test_a_broken_minimum_needs_a_reverification(tmp_path: Path) -> None:
    yard = new_yard(tmp_path, required=REQUIRED)
    thicken(yard, 12)
    proposed = yard(*PROPOSE)
    assert "core_thickness_mm_min 15 is not met" in proposed.err
    head = yard.repo.head("main")
    refused = yard("change", "approve", proposed.id, "--note", "the office said it is fine", who="ben")
    assert refused.status == 1
    assert "core_thickness_mm_min" in refused.err
    assert yard("change", "approve", proposed.id, "--reverified", "SC-014 rev C", who="ben").status == 2
    assert yard.repo.head("main") == head
    approved = yard(
        "change", "approve", proposed.id, "--reverified", "SC-014 rev C", "--body", "Registry", who="ben"
    )
    checked = record_at(yard, "main", approved.id)["reverification"]
    assert isinstance(checked, dict)
    assert (checked["document"], checked["body"]) == ("SC-014 rev C", "Registry")
    assert checked["by"] == "Ben Slip <ben@quay.example>"


@pytest.mark.parametrize(
    ("path", "old", "new", "told"),
    [
        (SIDE, "span_mm = 450", "span_mm = 430", "span"),
        (SIDE, 'span_axis = "y"', 'span_axis = "x"', "span axis"),
        (SIDE, "pressure_kpa = 18.0", "pressure_kpa = 17.0", "pressure"),
        (SIDE, 'edges = "clamped"', 'edges = "simply-supported"', "edges"),
        ("materials/pvc-80.toml", "g_mpa = 30", "g_mpa = 31", "core pvc-80"),
        ("materials/biax-800.toml", "areal_mass_g_m2 = 800", "areal_mass_g_m2 = 805", "fabric biax-800"),
        (SIDE, "core_thickness_mm_min = 15.0", "core_thickness_mm_min = 14.0", "eased from 15 to 14"),
        (SIDE, "core_thickness_mm_min = 15.0\n", "", "taken out"),
    ],
)
def test_a_rebased_minimum_needs_a_reverification(
    tmp_path: Path, path: str, old: str, new: str, told: str
) -> None:
    yard = new_yard(tmp_path, required=REQUIRED.replace("6.0", "60.0"))
    yard.edit(path, old, new)
    change = yard(*PROPOSE).id
    refused = yard("change", "approve", change, who="ben")
    assert refused.status == 1
    assert told in refused.err
    checked = ("--reverified", "SC-014 rev C", "--body", "Registry")
    assert yard("change", "approve", change, *checked, who="ben").status == 0


def test_a_layup_change_that_keeps_its_minima_needs_none(tmp_path: Path) -> None:
    yard = new_yard(tmp_path, required=REQUIRED)
    thicken(yard)
    yard.change()


def test_a_small_yard_proposes_and_approves_in_one_step(tmp_path: Path) -> None:
    yard = new_yard(tmp_path, settings=ALONE, required=REQUIRED)
    thicken(yard)
    change = yard(*PROPOSE, "--approve").id
    assert {row["id"]: row["state"] for row in yard("change", "list", "--json").json["changes"]} == {
        change: "approved"
    }
    assert yard.repo.git("status", "--porcelain") == ""
    thicken_back = (SIDE, "thickness_mm = 25", "thickness_mm = 12")
    yard.edit(*thicken_back)
    head = yard.repo.head("main")
    refused = yard(*PROPOSE, "--approve")
    assert refused.status == 1
    assert yard.repo.head("main") == head
    assert yard.repo.git("branch", "--list", "change/*").split() == [f"change/{change}"]
    assert yard(*PROPOSE, "--approve", "--reverified", "SC-014 rev C", "--body", "Registry").status == 0


def test_a_yard_with_distinct_approvers_cannot_do_both_at_once(yard: Yard) -> None:
    thicken(yard)
    assert yard(*PROPOSE, "--approve").status == 1
    assert yard.repo.git("branch", "--list", "change/*") == ""


def test_conflicting_edits_are_refused_with_their_paths(yard: Yard) -> None:
    thicken(yard, 25)
    first = yard(*PROPOSE).id
    yard.edit(SIDE, "thickness_mm = 25", "thickness_mm = 30")
    second = yard(*PROPOSE).id
    yard.repo.git("checkout", "--quiet", "--", SIDE)
    assert yard("change", "approve", first, who="ben").status == 0
    answer = yard("change", "approve", second, who="ben")
    assert answer.status == 1
    assert SIDE in answer.err


def test_changes_that_do_not_validate_together_are_refused(yard: Yard) -> None:
    yard.edit("prices.toml", "wr-600 = { per_m2 = 2.2, labour_min_per_m2 = 5.0 }\n", "")
    yard.edit(SIDE, '  { material = "wr-600", angle_deg = 90, coverage_fraction = 0.25 },\n', "")
    yard.edit(COAMING, '  { material = "wr-600", plies = 3 },\n', '  { material = "csm-300", plies = 3 },\n')
    first = yard(*PROPOSE).id
    yard.repo.git("checkout", "--quiet", "--", ".")
    yard.edit("models/demo/model.toml", 'name = "Worked example"', 'name = "Renamed"')
    added = (yard.root / COAMING).read_text()
    yard.repo.write("models/demo/deck/hatch.toml", added)
    second = yard(*PROPOSE).id
    yard.repo.git("clean", "-fdq")
    yard.repo.git("checkout", "--quiet", "--", ".")
    assert yard("change", "approve", first, who="ben").status == 0
    answer = yard("change", "approve", second, who="ben")
    assert answer.status == 1
    assert "no price of `wr-600`, used in demo: deck/hatch" in answer.err


def test_a_branch_that_brings_more_than_the_recipe_is_refused(yard: Yard) -> None:
    thicken(yard)
    change = yard(*PROPOSE).id
    yard.repo.git("checkout", "--quiet", "--", SIDE)
    yard.repo.checkout(f"change/{change}")
    yard.repo.write("recipe-track.toml", ALONE)
    yard.repo.commit("and the rules")
    yard.repo.checkout("main")
    answer = yard("change", "approve", change, who="ben")
    assert answer.status == 1
    assert "recipe-track.toml" in answer.err


def test_a_rejected_change_leaves_its_record_and_no_edit(yard: Yard) -> None:
    thicken(yard)
    change = yard(*PROPOSE).id
    before = yard.repo.git("rev-parse", "main:models", "main:materials", "main:prices.toml")
    assert yard("change", "reject", change, who="ben").status == 1  # without a note
    early = yard("change", "reject", change, "--note", "heavier", "--on", "2025-12-01", who="ben")
    assert (early.status, "cannot be decided on 2025-12-01" in early.err) == (2, True)
    decision = yard("change", "reject", change, "--note", "heavier than a bracket", who="ben").id
    assert yard.repo.git("rev-parse", "main:models", "main:materials", "main:prices.toml") == before
    assert record_at(yard, "main", change)["kind"] == "change"
    assert record_at(yard, "main", decision)["decision"] == "rejected"
    shown = yard("change", "show", change, "--json").json
    assert (shown["state"], shown["commit"]) == ("rejected", None)
    assert yard("change", "approve", change, who="ben").status == 1
    people = yard.repo.git("log", "-1", "--format=%an, %cn", "main")
    assert people == "Ada Quay, Ben Slip"  # whose record it is, and who brought it
    assert yard.findings() == {}


def test_a_rejection_does_not_vouch_for_who_proposed(yard: Yard) -> None:
    thicken(yard)
    change = yard(*PROPOSE).id
    yard.repo.git("checkout", "--quiet", "--", SIDE)
    yard.repo.checkout(f"change/{change}")
    yard.repo.git("commit", "--quiet", "--amend", "--no-edit", "--reset-author", who="cem")
    yard.repo.checkout("main")
    yard("change", "reject", change, "--note", "heavier than a bracket", who="ben")
    assert "Cem Keel" in only(yard.findings(), "record-by-another")["message"]


def test_a_proposal_on_a_remote_counts(yard: Yard) -> None:
    thicken(yard)
    change = yard(*PROPOSE).id
    copy = Yard(yard.repo.clone("copy"))
    assert (
        copy("change", "list", "--open", "--json").json["changes"][0]["branch"]
        == f"remotes/origin/change/{change}"
    )
    assert copy("change", "approve", change, who="ben").status == 0


def test_show_tells_the_impact_again_and_where_it_departs(yard: Yard) -> None:
    thicken(yard)
    change = yard(*PROPOSE).id
    assert "the figures are as expected" in yard("change", "show", change).out
    yard.repo.git("checkout", "--quiet", "--", SIDE)
    yard.edit("materials/pvc-80.toml", "density_kg_m3 = 80", "density_kg_m3 = 160")
    yard.change(reason="the supplier's sheet says 160")
    shown = yard("change", "show", change, "--json").json
    assert any("deck/side mass_kg" in line for line in shown["differences"])
    assert "differ from those expected then" in yard("change", "show", change).out
    assert yard("change", "show", "C-000000").status == 2


def test_verification_says_whether_it_worked(yard: Yard) -> None:
    thicken(yard)
    proposed = yard(*PROPOSE).id
    assert yard("change", "verify", proposed, "--hull", "001", "--outcome", "confirmed").status == 2
    assert yard("change", "approve", proposed, who="ben").status == 0
    without = ("change", "verify", proposed, "--hull", "001", "--outcome", "not-confirmed")
    refused = yard(*without, who="cem")
    assert refused.status == 1
    assert f"no part of hull 001 is built with {proposed}" in refused.err
    verified = yard(*without, "--meant", "--note", "tried on its deck", who="cem")
    assert verified.id.startswith("V-")
    assert "no part of hull 001 is built to a release" in verified.err
    assert yard("change", "list", "--json").json["changes"][0]["state"] == "not confirmed"
    yard("release", "demo")
    yard("hull", "add", "002", "--revision", "r2")
    yard("hull", "part", "002", "--part", "deck", "--state", "in-mould")
    confirmed = ("change", "verify", proposed, "--hull", "002", "--outcome", "confirmed")
    assert "no part" not in yard(*confirmed, who="cem").err
    row = yard("change", "list", "--json").json["changes"][0]
    assert (row["state"], row["release"]) == ("not confirmed", "r2")  # of one day, the doubt counts
    assert "ahead of today" in yard(*confirmed, "--on", "2999-01-01", who="cem").err
    assert yard("change", "list", "--json").json["changes"][0]["state"] == "not confirmed"
    yard(*confirmed, "--on", "2026-01-09", who="cem")
    assert yard("change", "list", "--json").json["changes"][0]["state"] == "confirmed"


def test_a_rejected_change_cannot_be_verified(yard: Yard) -> None:
    thicken(yard)
    change = yard(*PROPOSE).id
    yard("change", "reject", change, "--note", "heavier than a bracket", who="ben")
    refused = yard("change", "verify", change, "--hull", "001", "--outcome", "confirmed")
    assert refused.status == 1
    assert "nothing to verify" in refused.err


def test_hull_actions_are_decided_with_the_approval(yard: Yard) -> None:
    thicken(yard)
    change = yard(*PROPOSE).id
    wrong = yard("change", "approve", change, "--hull-action", "001:keel=as-is", who="ben")
    assert wrong.status == 2
    decision = yard("change", "approve", change, "--hull-action", "001:deck=retrofit", who="ben").id
    assert record_at(yard, "main", decision)["hull_action"] == [
        {"hull": "001", "part": "deck", "action": "retrofit"}
    ]


def test_identity_is_said_to_be_unproven_unless_signed(yard: Yard) -> None:
    thicken(yard)
    change = yard.change()
    assert "identity not proven" in yard.said[-1].err
    assert yard("change", "show", change, "--json").json["proof"] == "identity not proven"
