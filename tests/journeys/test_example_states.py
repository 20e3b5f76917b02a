"""What follows from the example: valid throughout, minima met, and open only what should be open."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from recipe_track.figures.craft import figures_of
from recipe_track.figures.results import ModelFigures
from recipe_track.recipe.records import Change, Verification
from recipe_track.recipe.snapshot import Snapshot
from recipe_track.recipe.states import change_state, deviation_state, holds, open_trials
from recipe_track.review.hull.effectivity import effectivity_of
from recipe_track.review.past.changes_on_main import changes_on_main
from recipe_track.workspace import Workspace, open_workspace
from tests.journeys.gitrepo import environment, neutral_environment

MODEL = "pb98"


@pytest.fixture(scope="module")
def workspace(example: Path) -> Iterator[Workspace]:
    """The replayed example, open."""
    with environment(neutral_environment(example.parent / "home")), open_workspace(example) as opened:
        yield opened


@pytest.fixture(scope="module")
def tip(workspace: Workspace) -> Snapshot:
    """Everything written at the tip of main."""
    return at(workspace, "main", with_records=True)


def at(workspace: Workspace, text: str, *, with_records: bool = False) -> Snapshot:
    """What is written at a revision; a problem anywhere is an error."""
    return workspace.snapshot(workspace.revision(text, MODEL), with_records)


def figures(workspace: Workspace, text: str) -> ModelFigures:
    """The figures at a revision."""
    return figures_of(at(workspace, text), MODEL)


def test_every_commit_of_main_and_the_open_proposal_is_valid(workspace: Workspace) -> None:
    commits = [commit.id for commit in workspace.commits]
    assert len(commits) > 60
    for commit in (*commits, "change/C-QHY6J1"):
        assert at(workspace, commit, with_records=True).models[MODEL]


def test_required_minima_are_met_at_every_revision(workspace: Workspace) -> None:
    for commit in workspace.labels(MODEL).revisions:
        for zone in figures(workspace, commit.id).zones:
            assert [r for r in zone.required if r.met is False] == [], (zone.zone, commit.id)


def test_the_craft_weighs_what_such_a_boat_weighs_and_meets_its_targets(workspace: Workspace) -> None:
    craft = figures(workspace, "main").craft
    # About 6 t with 2 t of laminate is what a boat of this size comes to: common practice, no source.
    assert craft.mass_kg == pytest.approx(6000, rel=0.05)
    assert craft.laminate_mass_kg == pytest.approx(2000, rel=0.08)
    assert len(craft.targets) == 6
    assert all(target.met for target in craft.targets)


def test_the_aft_deck_leaves_the_band_of_the_blades_and_no_mat_does_that(workspace: Workspace) -> None:
    """It drums at 1900 rpm: four blades behind a gearbox of 2 : 1 pass at 1900/60 · 4/2 = 63.3 Hz."""
    drummed, matted, thicker = (
        next(zone for zone in figures(workspace, label).zones if zone.zone == "deck/aft-deck")
        for label in ("r5", "r6", "r7")
    )
    for zone in (drummed, matted):
        assert (zone.frequency_hz or 0) == pytest.approx(63.3, rel=0.15)
    blades, firing = thicker.excitation
    assert (blades.name, blades.steady[0].hz) == ("blades", pytest.approx(1900 / 60 * 4 / 2))
    assert not blades.steady[0].within_band
    assert not firing.steady[0].within_band
    held = next(r for r in thicker.required if r.key == "frequency_hz_min")
    assert (held.limit, held.met) == (75, True)


def test_the_strain_of_the_deck_support_is_held_under_the_foot_that_strains_it_most(
    workspace: Workspace,
) -> None:
    support = next(z for z in figures(workspace, "r7").zones if z.zone == "deck/deck-support")
    held = next(r for r in support.required if r.key == "strain_use_max")
    assert (held.load, held.met) == ("patch", True)
    assert (held.by_load["patch"] or 0) > (held.by_load["pressure"] or 0)


def test_only_the_soft_transom_is_on_hold(tip: Snapshot) -> None:
    assert [(hold.zone, hold.hull) for hold in holds(tip)] == [("hull/transom", "014")]
    assert [trial.zone for _, trial in open_trials(tip.records)] == ["hull/transom", "wheelhouse/front"]


def test_every_kind_of_outcome_is_there(tip: Snapshot) -> None:
    states = {change_state(tip.records, name) for name, _ in tip.records.of_kind(Change)}
    assert states == {"approved", "rejected", "confirmed", "not confirmed"}
    deviations = [name for name in tip.records if name.startswith("N-")]
    assert {deviation_state(tip.records, name) for name in deviations} == {"accepted", "refused"}
    for name in deviations:
        assert bool(tip.records.actions_about(name)) == (deviation_state(tip.records, name) == "refused")


def test_a_change_is_verified_only_on_a_hull_that_has_it(workspace: Workspace, tip: Snapshot) -> None:
    fleet = effectivity_of(workspace, tip)
    for name, verification in tip.records.of_kind(Verification):
        parts = tip.hull_parts(verification.hull)
        assert any(fleet.has(part, verification.about) for part in parts), name


def test_what_was_expected_of_a_change_is_what_it_does(workspace: Workspace, tip: Snapshot) -> None:
    on_main = changes_on_main(workspace)
    approved = tip.records.approved_changes
    assert len(approved) >= 10
    assert approved.keys() == on_main.keys()
    for name, change in approved.items():
        before, after = (
            figures(workspace, text) for text in (f"{on_main[name].first.id}^", on_main[name].last.id)
        )
        assert change.expected is not None
        _assert_expected(change, before, after)


def _assert_expected(change: Change, before: ModelFigures, after: ModelFigures) -> None:
    """Stored to three decimals; a deflection is good to half a percent of a few millimetres."""
    expected = change.expected
    assert expected is not None
    assert (expected.mass_kg or 0.0) == pytest.approx(after.craft.mass_kg - before.craft.mass_kg, abs=6e-4)
    assert after.craft.cost is not None
    assert before.craft.cost is not None
    assert expected.cost == pytest.approx(after.craft.cost - before.craft.cost, abs=6e-4)
    old, new = {z.zone: z for z in before.zones}, {z.zone: z for z in after.zones}
    for name, zone in expected.zones.items():
        for key in (
            "mass_kg",
            "ei_x_kn_m2_per_m",
            "ei_y_kn_m2_per_m",
            "deflection_mm",
            "ei_stiffener_kn_m2",
            "cost",
        ):
            a, b = getattr(old.get(name), key, None), getattr(new[name], key)
            if getattr(zone, key) is not None and a is not None:
                near = pytest.approx(b - a, abs=0.02 if key == "deflection_mm" else 6e-4)
                assert getattr(zone, key) == near, (change.title, name, key)
