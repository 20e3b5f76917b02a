"""Laws that the figures of any layup obey."""

from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from recipe_track.figures.results import ZoneFigures
from recipe_track.figures.zone import zone_figures
from tests.laws.recipe_strategies import Line, angles, layups
from tests.recipes import case

STRIP = ("ea_x_mn_per_m", "ea_y_mn_per_m", "ei_x_kn_m2_per_m", "ei_y_kn_m2_per_m")
WEIGHTS = ("mass_kg", "areal_mass_kg_m2", "thickness_mm", "structural_thickness_mm", "fibre_kg_m2")
EI = ("ei_x_kn_m2_per_m", "ei_y_kn_m2_per_m")
PANEL_KEYS = ("deflection_mm", "patch_deflection_mm", "core_shear_use", "strain_use", "wrinkling_use")
PANEL = {
    "span_mm": 400, "length_mm": 700, "edges": "clamped", "pressure_kpa": 10,
    "patch": {"force_kn": 1.0, "side_mm": 100},
}  # fmt: skip


def both(first: list[Line], second: list[Line], **keys: Any) -> tuple[ZoneFigures, ZoneFigures]:
    one, other = zone_figures([case(first, **keys), case(second, **keys)])
    return one, other


def values(zone: ZoneFigures, keys: tuple[str, ...]) -> list[float]:
    return [getattr(zone, key) for key in keys]


def agree(one: ZoneFigures, other: ZoneFigures, keys: tuple[str, ...], rel: float = 1e-9) -> None:
    """Two zones show the same figures, absent ones included."""
    for key in keys:
        expected = getattr(one, key)
        assert getattr(other, key) == (None if expected is None else pytest.approx(expected, rel=rel)), key


def matrix(zone: ZoneFigures, key: str) -> np.ndarray:
    return np.array(getattr(zone.laminate, key))


def close(expected: np.ndarray, scale: float | None = None) -> Any:
    return pytest.approx(expected, rel=1e-9, abs=1e-9 * (scale or np.abs(expected).max()))


def halves(layup: list[Line]) -> list[Line]:
    """Every line of two or more plies written as two lines."""
    split: list[Line] = []
    for line in layup:
        plies = line.get("plies", 1)
        parts = [1, plies - 1] if plies > 1 else [plies]
        split += [line | {"plies": n} for n in parts]
    return split


@given(layups(), layups())
def test_mass_is_additive(first: list[Line], second: list[Line]) -> None:
    one, other = both(first, second)
    together = zone_figures([case([*first, *second])])[0]
    assert together.mass_kg == pytest.approx(one.mass_kg + other.mass_kg)
    assert together.mass_by_kind_kg == pytest.approx(
        {kind: kg + other.mass_by_kind_kg[kind] for kind, kg in one.mass_by_kind_kg.items()}
    )


@given(layups())
def test_a_layer_written_as_two_halves_changes_nothing(layup: list[Line]) -> None:
    keys = {"panel": PANEL, "area_m2": 2.0, "overlap_fraction": 0.05}
    whole, split = both(layup, halves(layup), **keys)
    agree(whole, split, (*WEIGHTS, *STRIP, *PANEL_KEYS))


@given(layups(), st.randoms(use_true_random=False))
def test_the_order_of_layers_leaves_mass_and_a(layup: list[Line], random: Any) -> None:
    shuffled = random.sample(layup, len(layup))
    before, after = both(layup, shuffled)
    assert values(after, WEIGHTS) == pytest.approx(values(before, WEIGHTS), rel=1e-12)
    assert matrix(after, "a_n_per_mm") == close(matrix(before, "a_n_per_mm"))


@given(layups())
def test_a_stack_turned_over_mirrors_b(layup: list[Line]) -> None:
    """Reversed and flipped, with angles negated, it is the same stack seen from the mould side."""
    over = [
        line | {"flipped": not line.get("flipped", False), "angle_deg": -line.get("angle_deg", 0.0)}
        if line["material"] not in ("gelcoat", "pvc-80", "honeycomb")
        else line
        for line in reversed(layup)
    ]
    seen, turned = both(layup, over)
    # seen from behind, shear terms change sign with the angles; B changes sign with the height
    signs = np.array([[1, 1, -1], [1, 1, -1], [-1, -1, 1]])
    for key, sign in (("a_n_per_mm", 1), ("b_n", -1), ("d_n_mm", 1)):
        scale = np.abs(matrix(seen, "d_n_mm")).max() if key == "b_n" else None
        assert matrix(turned, key) == close(sign * signs * matrix(seen, key), scale)


@given(layups())
def test_a_stack_turned_by_half_a_turn_is_the_same(layup: list[Line]) -> None:
    turned = [line | {"angle_deg": line.get("angle_deg", 0.0) + 180.0} for line in layup]
    before, after = both(layup, turned, panel=PANEL)
    for key in ("a_n_per_mm", "b_n", "d_n_mm"):
        scale = max(np.abs(matrix(before, k)).max() for k in ("a_n_per_mm", "d_n_mm"))
        assert matrix(after, key) == close(matrix(before, key), scale)
    assert values(after, STRIP) == pytest.approx(values(before, STRIP))


@given(layups())
def test_a_stack_turned_by_a_quarter_swaps_x_and_y(layup: list[Line]) -> None:
    quarter = [line | {"angle_deg": line.get("angle_deg", 0.0) + 90.0} for line in layup]
    before, after = both(layup, quarter)
    swapped = ("ea_y_mn_per_m", "ea_x_mn_per_m", "ei_y_kn_m2_per_m", "ei_x_kn_m2_per_m")
    assert values(after, STRIP) == pytest.approx(values(before, swapped))
    assert (after.s_x_kn_per_m, after.s_y_kn_per_m) == pytest.approx(
        (before.s_y_kn_per_m, before.s_x_kn_per_m)
    )


@given(layups(), st.floats(0.5, 3.0))
def test_a_coating_moves_the_mid_plane_but_changes_no_bending(layup: list[Line], thickness: float) -> None:
    coated = [{"material": "gelcoat", "thickness_mm": thickness}, *layup]
    bare, under = both(layup, coated, panel=PANEL)
    agree(bare, under, (*EI, "s_x_kn_per_m", "s_y_kn_per_m"), rel=1e-7)
    agree(bare, under, PANEL_KEYS, rel=1e-6)


one_direction = st.fixed_dictionaries(
    {"material": st.sampled_from(["uni-600", "csm-300", "wr-600"]), "angle_deg": angles}
)


@given(st.lists(one_direction, min_size=1, max_size=5))
def test_a_symmetric_stack_does_not_couple(half: list[Line]) -> None:
    zone = zone_figures([case([*half, *reversed(half)])])[0]
    assert matrix(zone, "b_n") == pytest.approx(np.zeros((3, 3)), abs=1e-9 * matrix(zone, "a_n_per_mm").max())


@given(layups())
def test_zones_computed_together_or_alone_agree(layup: list[Line]) -> None:
    """Padding short stacks beside long ones leaves no trace."""
    together = zone_figures([case([{"material": "uni-600", "plies": 12}]), case(layup, panel=PANEL)])[1]
    alone = zone_figures([case(layup, panel=PANEL)])[0]
    agree(alone, together, (*WEIGHTS, *STRIP, "s_x_kn_per_m", "s_y_kn_per_m", *PANEL_KEYS))
