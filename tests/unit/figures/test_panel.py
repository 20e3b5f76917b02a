"""Panels of zones: units and axes against plate tables, margins against a plain loop, words and notes."""

from typing import Any

import numpy as np
import pytest

import recipe_track.figures.panel as panel_module
from recipe_track.figures.cases import Resolved, resolve_zone
from recipe_track.figures.panel import fields_of, margins_of
from recipe_track.figures.results import ZoneFigures
from recipe_track.figures.stack import laminates_of
from recipe_track.figures.zone import zone_figures
from tests.laws.recipe_strategies import Line
from tests.recipes import LIMITS, case, changed, figures, materials

USING = materials()
CORE = {"material": "pvc-80", "thickness_mm": 20.0}
SQUARE = {"span_mm": 400, "length_mm": 400, "edges": "clamped", "pressure_kpa": 2.0}
MAT = [{"material": "csm-300", "plies": 6}]
SKIN_NOTE = "the deflection exceeds half the thickness of the skin: linear theory overstates it"


def panel_of(
    layup: list[Line], using: Any = USING, panel: dict[str, Any] = SQUARE, **more: Any
) -> ZoneFigures:
    return figures(layup, using=using, panel={**panel, **more})


def plate_constants(zone: ZoneFigures) -> tuple[float, float]:
    """D [N·m] and thickness [m] of a zone in the same material throughout."""
    assert zone.laminate is not None
    return zone.laminate.d_n_mm[0][0] * 1e-3, (zone.thickness_mm or 0) * 1e-3


@pytest.mark.parametrize(("edges", "factor"), [("clamped", 0.00126), ("simply-supported", 0.00406)])
def test_a_square_plate_deflects_as_in_the_tables(edges: str, factor: float) -> None:
    """α q a⁴/D: Timoshenko and Woinowsky-Krieger, Theory of Plates and Shells, 2nd ed., 1959, tables 8 and
    35 (from memory); thin, so that shear adds less than 1 %."""
    zone = panel_of(MAT, edges=edges)
    d, _ = plate_constants(zone)
    assert zone.deflection_mm == pytest.approx(factor * 2e3 * 0.4**4 / d * 1e3, rel=0.015)


def test_the_strain_of_a_clamped_square_plate_is_greatest_in_the_middle_of_its_edges() -> None:
    """M = 0.0513 q a² there (same book, table 35, from memory); the pressed side is stretched."""
    zone = panel_of(MAT)
    d, thickness = plate_constants(zone)
    strain = 0.0513 * 2e3 * 0.4**2 / d * thickness / 2
    assert zone.strain_use == pytest.approx(strain / 0.004, rel=0.02)
    assert zone.governs["strain_use"] == (
        "pressure on the mould side, middle of the y edges, layer 1 csm-300, mould side: tension"
    )


def test_the_strain_of_a_supported_square_plate_is_greatest_beside_its_held_down_corners() -> None:
    """Mxy = 0.0325 q a² at ν = 0.3 (same book, table 8, from memory): κxy/2 = Mxy/(D (1 − ν)), which hangs on
    no ν; in the centre κ is 0.0479/1.3, a fifth less. Looked for a twentieth of the side off the corner."""
    limits = {"tension": 0.004, "compression": 0.005}
    zone = panel_of(MAT, changed(USING, "csm-300", strain_limits=limits), edges="simply-supported")
    d, thickness = plate_constants(zone)
    twist = 0.0325 / 0.7 * 2e3 * 0.4**2 / d
    assert zone.strain_use == pytest.approx(twist * thickness / 2 / 0.004, rel=0.03)
    assert zone.governs["strain_use"].startswith("pressure on ")
    assert zone.governs["strain_use"].split(", ", 1)[1].startswith("beside a held-down corner, layer 1")


def test_core_shear_of_a_supported_square_sandwich() -> None:
    """Q = 0.338 q a in the middle of the edges (same book, table 8, from memory), τ = Q/d."""
    skin = {"material": "csm-300", "plies": 3}
    zone = panel_of([skin, CORE, skin], edges="simply-supported")
    distance = ((zone.structural_thickness_mm or 0) + 20) / 2 * 1e-3
    assert zone.core_shear_use == pytest.approx(0.338 * 2e3 * 0.4 / distance / 1e6, rel=0.03)
    assert zone.governs["core_shear_use"] == (
        "pressure on either side, middle of the y edges, layer 2 pvc-80, mostly along y: shear"
    )


@pytest.mark.parametrize("axis", ["x", "y"])
def test_the_short_side_runs_along_the_span_axis(axis: str) -> None:
    """Fibres along the span of a long panel carry more than fibres across it."""
    along, across = (0, 90) if axis == "x" else (90, 0)
    stiff, soft = (
        panel_of([{"material": "uni-600", "plies": 6, "angle_deg": a}], length_mm=1600, span_axis=axis)
        for a in (along, across)
    )
    assert (stiff.deflection_mm or 0) < 0.4 * (soft.deflection_mm or 0)


def test_the_span_axis_is_y_unless_stated() -> None:
    layup = [{"material": "uni-600", "plies": 6}]
    assert panel_of(layup, length_mm=900).deflection_mm == panel_of(
        layup, length_mm=900, span_axis="y"
    ).deflection_mm  # fmt: skip


def test_a_patch_load_has_its_own_deflection_and_leaves_the_rest() -> None:
    """α P a²/D under a point force on a clamped square: 0.00560 (same book, table 37, from memory)."""
    bare, foot = panel_of(MAT), panel_of(MAT, patch={"force_kn": 0.2, "side_mm": 10})
    d, _ = plate_constants(foot)
    assert bare.patch_deflection_mm is None
    assert foot.patch_deflection_mm == pytest.approx(0.0056 * 200 * 0.4**2 / d * 1e3, rel=0.02)
    assert foot.deflection_mm == pytest.approx(bare.deflection_mm)
    assert foot.strain_use == pytest.approx(bare.strain_use)


def test_a_zone_without_a_panel_has_no_panel_figures() -> None:
    zone = figures([*MAT, CORE, *MAT])
    assert {zone.deflection_mm, zone.strain_use, zone.core_shear_use, zone.wrinkling_use} == {None}
    assert (zone.governs, zone.not_checked) == ({}, ())


def test_zones_with_and_without_panels_keep_their_places() -> None:
    cases = [
        case(MAT, panel=SQUARE), case(MAT), case([], form="joint", length_m=1.0, paste="bond-paste", kg_per_m=1.0),
        case([*MAT, CORE, *MAT], panel=SQUARE),
    ]  # fmt: skip
    skin, bare, joint, sandwich = zone_figures(cases)
    assert (bare.deflection_mm, joint.deflection_mm) == (None, None)
    assert (sandwich.deflection_mm or 0) < 0.1 * (skin.deflection_mm or 0)


def test_nothing_that_carries_gives_no_panel_figures() -> None:
    zone = panel_of([{"material": "gelcoat", "thickness_mm": 0.6}])
    assert (zone.deflection_mm, zone.ei_x_kn_m2_per_m, zone.strain_use) == (None, None, None)


def test_a_single_skin_has_no_core_and_no_face() -> None:
    zone = panel_of(MAT)
    assert (zone.core_shear_use, zone.wrinkling_use) == (None, None)
    assert set(zone.governs) == {"strain_use"}


def test_what_cannot_be_checked_is_named() -> None:
    bare = changed(USING, "uni-600", strain_limits=None)
    bare = changed(bare, "pvc-80", shear_strength_mpa=None, e_through_mpa=None)
    zone = panel_of([{"material": "uni-600"}, CORE, {"material": "uni-600", "plies": 2}], using=bare)
    assert (zone.strain_use, zone.core_shear_use, zone.wrinkling_use) == (None, None, None)
    assert zone.not_checked == (
        "strain of layer 1 uni-600",
        "strain of layer 3 uni-600",
        "core shear of layer 2 pvc-80",
        "wrinkling of the face of layer 1 on layer 2 pvc-80",
        "wrinkling of the face of layer 3 on layer 2 pvc-80",
    )


def test_layers_with_limits_are_checked_beside_others_without() -> None:
    zone = panel_of([{"material": "wr-600"}, {"material": "biax-800"}])
    assert zone.strain_use is not None
    assert zone.not_checked == ("strain of layer 1 wr-600",)


def test_a_patch_of_fabric_is_neither_checked_nor_missed() -> None:
    zone = panel_of([*MAT, {"material": "wr-600", "coverage_fraction": 0.5}])
    assert zone.not_checked == ()


def test_a_mat_is_not_checked_by_limits_that_a_mat_does_not_have() -> None:
    only_shear = changed(USING, "csm-300", strain_limits={"shear": 0.01, "transverse": 0.01})
    zone = panel_of(MAT, using=only_shear)
    assert (zone.strain_use, zone.not_checked) == (None, ("strain of layer 1 csm-300",))


@pytest.mark.parametrize(
    ("layup", "pressure", "says"),
    [
        (MAT, 0.3, None),
        (MAT, "just below half the thickness", None),
        (MAT, "just above half the thickness", SKIN_NOTE),
        (MAT, 40.0, SKIN_NOTE),
        ([*MAT, CORE, *MAT], 40.0, None),
        ([*MAT, CORE, *MAT], 9000.0, "the deflection exceeds a tenth of the span: linear theory overstates it"),
    ],
)  # fmt: skip
def test_where_linear_theory_ends_the_figures_say_so(
    layup: list[Line], pressure: float | str, says: str | None
) -> None:
    if isinstance(pressure, str):
        unit = panel_of(layup, pressure_kpa=1.0)
        at_half = (unit.structural_thickness_mm or 0) / 2 / (unit.deflection_mm or 1)
        pressure = at_half * (0.99 if "below" in pressure else 1.01)
    notes = [note for note in panel_of(layup, pressure_kpa=pressure).notes if "linear theory" in note]
    assert notes == ([says] if says else [])


def test_a_patch_deflection_beyond_linear_theory_is_named_too() -> None:
    zone = panel_of(MAT, patch={"force_kn": 2.0, "side_mm": 100})
    assert (
        "the patch deflection exceeds half the thickness of the skin: linear theory overstates it"
        in zone.notes
    )


def by_loop(layup: list[Line], panel: dict[str, Any], using: Any) -> dict[str, float]:
    """The three margins of one panel under a pressure on either side, by a plain loop over everything."""
    one = case(layup, using=using, panel=panel)
    resolved = resolve_zone(one, {})
    assert resolved.stack is not None
    assert one.zone.panel is not None
    laminates = laminates_of([resolved.stack])
    found = fields_of([one.zone.panel], laminates).pressure
    a, b = laminates.stiffness.a[0], laminates.stiffness.b[0]
    q, t = resolved.stack.q_bar_pa, resolved.stack.thickness_m
    z = np.concatenate([[0], np.cumsum(t)]) - t.sum() / 2
    best = {"strain_use": 0.0, "wrinkling_use": 0.0, "core_shear_use": 0.0}
    for pressed in found.curvature_per_m[0].T:
        for curvature in (pressed, -pressed):
            strain0 = -np.linalg.solve(a, b @ curvature)
            at = 0
            faces: list[list[int]] = [[]]
            for layer in resolved.layers:
                for _ in range(layer.layer.plies):
                    for n, sub in enumerate(layer.plies.sub_plies):
                        ply = at if len(layer.plies.thickness_m) == 1 else at + n
                        for height in (z[ply], z[ply + 1]):
                            strain = strain0 + height * curvature
                            ratio = _ratio(strain, sub.angle_rad, sub.random, layer.plies.limits)
                            best["strain_use"] = max(best["strain_use"], ratio)
                    for n in range(len(layer.plies.thickness_m)):
                        if layer.material.kind == "core":
                            faces.append([])
                        elif layer.plies.carries:
                            faces[-1].append(at + n)
                    at += len(layer.plies.thickness_m)
            core = using["pvc-80"]
            for face in faces:
                membrane = sum(q[p] * t[p] for p in face)
                force = sum(q[p] @ (strain0 + (z[p] + z[p + 1]) / 2 * curvature) * t[p] for p in face)
                thick = sum(t[p] for p in face)
                for k in (0, 1):
                    modulus = 1 / (np.linalg.inv(membrane)[k, k] * thick)
                    limit = 0.5 * (modulus * core.e_through_mpa * 1e6 * core.g_mpa * 1e6) ** (1 / 3)
                    best["wrinkling_use"] = max(best["wrinkling_use"], -force[k] / thick / limit)
    flow = [_greatest_flow(resolved, q[:, k, k], t, z) for k in (0, 1)]
    for forces in found.shear_n_per_m[0].T:
        stress = np.hypot(*(force * most for force, most in zip(forces, flow, strict=True)))
        best["core_shear_use"] = max(best["core_shear_use"], stress / (core.shear_strength_mpa * 1e6))
    return best


def _greatest_flow(resolved: Resolved, e: np.ndarray, t: np.ndarray, z: np.ndarray) -> float:
    """The greatest q(z) in the core, in 201 steps."""
    axis = (e * t * (z[:-1] + z[1:]) / 2).sum() / (e * t).sum()
    ei = (e * ((z[1:] - axis) ** 3 - (z[:-1] - axis) ** 3) / 3).sum()
    assert resolved.stack is not None
    core_ply = next(
        n for n, i in enumerate(resolved.stack.layer_of) if resolved.layers[i].material.kind == "core"
    )
    flows = []
    for height in np.linspace(z[core_ply], z[core_ply + 1], 201):
        low, top = np.minimum(z[:-1], height), np.minimum(z[1:], height)
        flows.append(abs((e * ((top - axis) ** 2 - (low - axis) ** 2) / 2).sum() / ei))
    return float(max(flows))


def _ratio(strain: np.ndarray, angle: float, random: bool, limits: Any) -> float:
    tensor = np.array([[strain[0], strain[2] / 2], [strain[2] / 2, strain[1]]])
    if random:
        low, high = np.linalg.eigvalsh(tensor)
        return float(max(high / limits.tension, -low / limits.compression))
    along = np.array([np.cos(angle), np.sin(angle)])
    across = np.array([-np.sin(angle), np.cos(angle)])
    one, two, shear = along @ tensor @ along, across @ tensor @ across, 2 * along @ tensor @ across
    return float(
        max(
            one / limits.tension,
            -one / limits.compression,
            abs(two) / limits.transverse,
            abs(shear) / limits.shear,
        )
    )


LIMITED = changed(USING, "csm-300", strain_limits={"tension": 0.004, "compression": 0.0035})
LIMITED = {
    **LIMITED,
    "weak-mat": changed(LIMITED, "csm-300", strain_limits={"tension": 1e-4, "compression": 1e-4})["csm-300"],
}
LIMITED = changed(LIMITED, "wr-600", strain_limits=LIMITS)
LIMITED = changed(LIMITED, "hybrid-500", strain_limits=LIMITS, woven=True)


@pytest.mark.parametrize("edges", ["clamped", "simply-supported"])
@pytest.mark.parametrize(
    "layup",
    [
        [{"material": "csm-300"}, {"material": "biax-800", "plies": 2}, CORE, {"material": "biax-800"}],
        [{"material": "gelcoat", "thickness_mm": 0.8}, {"material": "skew-700"}, CORE, {"material": "wr-600"}],
        [{"material": "quad-1200", "angle_deg": 20}, CORE, {"material": "hybrid-500"}, {"material": "uni-600"}],
        [{"material": "uni-600"}, {**CORE, "thickness_mm": 6}, {"material": "skew-700", "flipped": True}],
        [{"material": "weak-mat"}, {"material": "skew-700"}, CORE, {"material": "uni-600", "angle_deg": 30}],
    ],
)  # fmt: skip
def test_margins_agree_with_a_plain_loop(layup: list[Line], edges: str) -> None:
    panel = {"span_mm": 380, "length_mm": 610, "edges": edges, "pressure_kpa": 20}
    zone = figures(layup, using=LIMITED, panel=panel)
    for key, expected in by_loop(layup, panel, LIMITED).items():
        assert getattr(zone, key) == pytest.approx(expected, rel=1e-6), key


def test_the_weaker_core_of_two_governs() -> None:
    weak = materials(
        weak={
            "kind": "core", "density_kg_m3": 60, "g_mpa": 30, "e_through_mpa": 50, "shear_strength_mpa": 0.5,
            "surface_uptake_g_m2": {"infusion": 0}, "perforation_uptake_g_m2_mm": {"infusion": 0},
        }
    )  # fmt: skip
    skin, thin = {"material": "biax-800"}, {"material": "weak", "thickness_mm": 10}
    zone = panel_of([skin, {**CORE, "thickness_mm": 10}, skin, thin, skin], using=weak)
    assert "layer 4 weak" in zone.governs["core_shear_use"]
    assert zone.governs["wrinkling_use"].endswith(("along x: wrinkling", "along y: wrinkling"))
    assert zone.not_checked == ("compression at 45° out of twist",)


def test_the_weaker_shear_modulus_of_a_core_counts_for_wrinkling() -> None:
    """0.5 (Ef Ec Gc)^(1/3) with the smaller of Gx and Gy: half of it lowers the stress by 2^(1/3)."""
    limits = []
    for weak in (20.0, 10.0):
        using = changed(USING, "honeycomb", e_through_mpa=80.0, g_w_mpa=weak)
        one = case([*MAT, {"material": "honeycomb", "thickness_mm": 12}, *MAT], using=using, panel=SQUARE)
        resolved = resolve_zone(one, {})
        assert resolved.stack is not None
        (margins,) = margins_of([resolved], laminates_of([resolved.stack]))
        assert margins.wrinkling_use is not None
        limits.append(margins.wrinkling_use.limit)
    assert limits[0] / limits[1] == pytest.approx(2 ** (1 / 3))


def test_a_coating_on_a_core_is_no_face() -> None:
    bare = changed(USING, "pvc-80", e_through_mpa=None)
    zone = panel_of([{"material": "gelcoat", "thickness_mm": 0.6}, CORE, *MAT], using=bare)
    assert zone.core_shear_use is None
    assert zone.not_checked == (
        "layer 2 pvc-80 as a core: no skin that carries on both its sides",
        "wrinkling of the face of layer 3 on layer 2 pvc-80",
    )


def test_more_zones_than_one_block_keep_their_order(monkeypatch: pytest.MonkeyPatch) -> None:
    cases = [case(MAT, panel={**SQUARE, "pressure_kpa": float(n)}) for n in range(1, 6)]
    at_once = [zone.deflection_mm for zone in zone_figures(cases)]
    monkeypatch.setattr(panel_module, "BLOCK", 2)
    assert [zone.deflection_mm for zone in zone_figures(cases)] == pytest.approx(at_once)
    assert at_once == sorted(at_once)  # type: ignore[type-var]


@pytest.mark.parametrize(("angle", "span_axis"), [(0.0, "x"), (90.0, "y"), (0.0, "y")])
def test_the_face_counts_for_wrinkling_with_its_modulus_along_the_stress(
    angle: float, span_axis: str
) -> None:
    face = [{"material": "uni-600", "angle_deg": angle}]
    panel = {**SQUARE, "length_mm": 1200, "span_axis": span_axis}
    one = case([*face, CORE, *face], panel=panel)
    resolved = resolve_zone(one, {})
    assert resolved.stack is not None
    (margins,) = margins_of([resolved], laminates_of([resolved.stack]))
    assert margins.wrinkling_use is not None
    axis = margins.wrinkling_use.governs.removesuffix(": wrinkling")[-1]
    alone = figures(face)
    modulus = getattr(alone, f"ea_{axis}_mn_per_m") * 1e9 / (alone.thickness_mm or 1)
    assert margins.wrinkling_use.limit == pytest.approx(0.5 * (modulus * 95e6 * 30e6) ** (1 / 3))


def test_a_core_in_several_plies_is_checked_throughout() -> None:
    """The greatest flow lies in the neutral axis, here in the upper of two boards."""
    light, heavy = {"material": "csm-300"}, {"material": "quad-1200", "plies": 3}
    board = {"material": "pvc-80", "thickness_mm": 10.0, "plies": 2}
    whole = panel_of([light, CORE, heavy])
    boards = panel_of([light, board, heavy])
    assert boards.core_shear_use == pytest.approx(whole.core_shear_use)
