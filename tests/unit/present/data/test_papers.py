"""Bills of materials: sums agree with the figures, boards are whole, lengths are those of the roll."""

from pathlib import Path

import pytest

from recipe_track.figures.craft import figures_of
from recipe_track.present.data.papers import bill_csv, bill_json
from recipe_track.review.papers.bill import Bill, bill_of, boards_of, roll_length_of
from recipe_track.workspace import open_workspace
from tests.journeys.gitrepo import GitRepo, environment
from tests.recipes import WORKED, material, read_recipe


@pytest.fixture(scope="module")
def repo(tmp_path_factory: pytest.TempPathFactory) -> GitRepo:
    made = GitRepo.create(tmp_path_factory.mktemp("bill"))
    for path in sorted(WORKED.rglob("*.toml")):
        made.write(path.relative_to(WORKED).as_posix(), path.read_text(encoding="utf-8"))
    made.commit("First issue")
    side = Path("models/demo/deck/side.toml")
    thicker = (
        made.root.joinpath(side).read_text(encoding="utf-8").replace("thickness_mm = 20", "thickness_mm = 30")
    )
    made.commit("Thicker core", files={side.as_posix(): thicker})
    return made


def bill(repo: GitRepo, of: str, at: str | None = None, against: str | None = None) -> Bill:
    with environment(repo.env()), open_workspace(repo.root) as ws:
        return bill_of(ws, of, None, at, against)


@pytest.mark.parametrize("of", ["demo", "deck"])
def test_the_sum_is_the_material_cost_with_the_resin_in_the_lines(repo: GitRepo, of: str) -> None:
    figures = figures_of(read_recipe(WORKED), "demo")
    made = bill(repo, of, at="HEAD~1")
    in_lines = 2.0 * 4.6  # line_resin_kg of the part at its price per kg
    assert made.total.cost == pytest.approx(figures.parts[0].material_cost + in_lines, rel=1e-9)
    assert made.total.built_in_kg == pytest.approx(figures.craft.laminate_mass_kg, rel=1e-9)


def test_a_fabric_by_hand(repo: GitRepo) -> None:
    """biax-800 of the side deck: 2.4 m² · 1.06 · 3 plies, 0.8 kg/m² of fibre, 12 % waste, 3.9 per kg."""
    made = bill(repo, "deck", at="HEAD~1")
    item = next(i for i in made.items if i.material == "biax-800")
    area = 2.4 * 1.06 * 3
    assert item.amount.built_in_m2 == pytest.approx(area)
    assert item.amount.bought_m2 == pytest.approx(area * 1.12)
    assert item.amount.built_in_kg == pytest.approx(area * 0.8)
    assert item.amount.cost == pytest.approx(area * 0.8 * 1.12 * 3.9)


def test_two_thicknesses_of_one_core_are_two_things_to_buy(repo: GitRepo) -> None:
    made = bill(repo, "deck", against="HEAD~1")
    cores = {i.thickness_mm: i for i in made.items if i.kind == "core"}
    assert set(cores) == {20, 30}
    assert cores[20].amount.bought_m2 == 0
    assert cores[20].delta is not None
    assert cores[20].delta.bought_m3 == pytest.approx(-2.4 * 0.020)
    assert cores[30].delta is not None
    assert cores[30].delta.bought_m3 == pytest.approx(2.4 * 0.030)
    entry = next(m for m in bill_json(made)["materials"] if m["material"] == "pvc-80")
    assert entry["delta"]["bought_m3"] == pytest.approx(2.4 * 0.010)


def test_the_difference_of_the_total_is_that_of_its_items(repo: GitRepo) -> None:
    made = bill(repo, "demo", against="HEAD~1")
    assert made.before is not None
    deltas = [i.delta.cost for i in made.items if i.delta is not None]
    assert sum(deltas) == pytest.approx(made.total.cost - made.before.cost)
    assert made.before.cost == pytest.approx(bill(repo, "demo", at="HEAD~1").total.cost)


def test_whole_boards_and_running_metres() -> None:
    core = material(
        kind="core",
        density_kg_m3=80,
        g_mpa=28,
        board_m2=2.5,
        surface_uptake_g_m2={},
        perforation_uptake_g_m2_mm={},
    )
    assert [boards_of(core, area) for area in (0.1, 2.5, 2.6, 5.0, 7.500001)] == [1, 1, 2, 2, 4]
    cloth = material(
        kind="reinforcement", fibre="e-glass", areal_mass_g_m2=600, roll_width_m=1.25,
        directions=[{"angle_deg": 0, "share": 1.0}],
    )  # fmt: skip
    assert roll_length_of(cloth, 10.0) == pytest.approx(8.0)
    assert boards_of(cloth, 10.0) is None
    assert roll_length_of(core, 10.0) is None


def test_a_csv_line_per_thing_to_buy_with_the_difference(repo: GitRepo) -> None:
    lines = bill_csv(bill(repo, "deck", against="HEAD~1")).split("\r\n")
    assert lines[0].startswith("material,name,kind,use,thickness_mm")
    assert lines[0].endswith("delta_cost")
    assert len(lines) - 2 == len(bill(repo, "deck", against="HEAD~1").items)
