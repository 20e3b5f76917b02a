"""Stiffeners by their section and their beam, out of a recipe, against the values of the reference cases."""

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from recipe_track.figures.results import ZoneFigures
from recipe_track.figures.working import working_of
from recipe_track.figures.zone import zone_figures
from recipe_track.recipe.layup import Section
from tests.recipes import case, material, materials
from tests.reference.stiffeners import CHECKS, GIVEN

LIMITS = {"tension": 0.004, "compression": 0.003, "transverse": 0.002, "shear": 0.006}


def sheet(thickness_mm: float, e_gpa: float = 15.0, g_gpa: float = 4.0, **keys: Any) -> dict[str, Any]:
    """A fabric that is one ply of known values, of 1700 kg/m³, without Poisson's ratio."""
    lamina = {
        "e1_gpa": e_gpa, "e2_gpa": e_gpa, "g12_gpa": g_gpa, "nu12": 0.0, "thickness_mm": thickness_mm,
        "density_kg_m3": 1700,
    }  # fmt: skip
    directions = [{"angle_deg": 0, "share": 1.0}]
    return {
        "kind": "reinforcement", "fibre": "e-glass", "areal_mass_g_m2": 1000, "directions": directions,
        "lamina": lamina, **keys,
    }  # fmt: skip


USING = materials(
    wall=sheet(5.0), plate=sheet(8.0), cap=sheet(3.0, 30.0), checked=sheet(5.0, strain_limits=LIMITS),
)  # fmt: skip
WALL = [{"material": "wall"}]
SHAPE = {key: GIVEN[key] for key in ("crown_mm", "height_mm", "base_mm", "flange_mm")}
BEAM = {"span_mm": 1200, "load_width_mm": 450, "pressure_kpa": 18.0}


def hat(
    layup: list[dict[str, Any]] = WALL, plate: list[dict[str, Any]] | None = None, **keys: Any
) -> ZoneFigures:
    given = {"form": "stiffener", "length_m": 2.0, "section": SHAPE, **keys}
    if plate is not None:
        given = {"attached": "hull/bottom", "effective_width_mm": 300, "attached_axis": "x", **given}
    own = case(layup, name="hull/girder", using=USING, **given)
    attached = case(plate, using=USING) if plate is not None else None
    return zone_figures([replace(own, attached=attached)])[0]


PLATED = [{"material": "plate"}]


@pytest.mark.parametrize(
    ("name", "plate", "shape"),
    [("alone", None, SHAPE), ("plated", PLATED, SHAPE), ("upright", None, {**SHAPE, "base_mm": 60.0})],
)
def test_a_hat_of_one_material(name: str, plate: list[dict[str, Any]] | None, shape: dict[str, Any]) -> None:
    own, found = CHECKS["A10.01"]["own"][name], hat(plate=plate, section=shape)
    assert found.neutral_axis_mm == pytest.approx(own["axis_mm"], rel=1e-6)
    assert found.ei_stiffener_kn_m2 == pytest.approx(own["i_mm4"] * 15e-6, rel=1e-6)
    if name != "upright":
        moduli = (found.section_modulus_crown_cm3, found.section_modulus_base_cm3)
        assert moduli == pytest.approx((own["crown_cm3"], own["base_cm3"]), rel=1e-6)
    assert found.area_m2 == pytest.approx(2.0 * Section(**shape).girth_mm * 1e-3)


def test_a_cap_on_the_crown_counts_where_it_lies() -> None:
    """It weighs by the crown's width, stiffens, and the modulus is that of the crown's mean modulus."""
    own = CHECKS["A10.02"]["own"]
    found, bare = hat([*WALL, {"material": "cap", "on": "crown"}], PLATED), hat(plate=PLATED)
    assert found.neutral_axis_mm == pytest.approx(own["axis_mm"], rel=1e-6)
    assert found.ei_stiffener_kn_m2 == pytest.approx(own["ei_kn_m2"], rel=1e-6)
    assert found.section_modulus_crown_cm3 == pytest.approx(own["crown_cm3"], rel=1e-3)
    assert found.mass_kg - bare.mass_kg == pytest.approx(2.0 * 0.060 * 3e-3 * 1700)


@pytest.mark.parametrize(
    ("on", "width_mm"), [("crown", 60.0), ("webs", 2 * 81.3941), ("flanges", 100.0), ("all", 322.7882)]
)
def test_a_layer_weighs_by_the_width_of_its_part(on: str, width_mm: float) -> None:
    more = hat([*WALL, {"material": "wall", "on": on, "plies": 2}]).mass_kg - hat().mass_kg
    assert more == pytest.approx(2 * 2.0 * width_mm * 1e-3 * 5e-3 * 1700, rel=1e-6)


def test_the_parts_add_up_to_all_of_it() -> None:
    parts = hat([{"material": "wall", "on": on} for on in ("webs", "flanges", "crown")], PLATED, beam=ENDS[0])
    whole = hat(plate=PLATED, beam=ENDS[0])
    keys = ("mass_kg", "ei_stiffener_kn_m2", "neutral_axis_mm", "ga_web_kn", "frequency_hz")
    assert [getattr(parts, k) for k in keys] == pytest.approx([getattr(whole, k) for k in keys], rel=1e-12)


def test_a_former_fills_the_section_and_carries_unless_it_says_not() -> None:
    """Volume of the trapezium; with 60 MPa it adds to EI, its shear modulus times its area to GA."""
    former = {"material": "pvc-80"}
    filled, hollow = hat(former=former), hat(former={**former, "carries": False})
    area = 80 * (60 + 90) / 2
    assert filled.mass_by_kind_kg["core"] == pytest.approx(2.0 * area * 1e-6 * 80)
    assert (hollow.ei_stiffener_kn_m2, hollow.ga_web_kn) == (hat().ei_stiffener_kn_m2, hat().ga_web_kn)
    assert (filled.ga_web_kn or 0) - (hollow.ga_web_kn or 0) == pytest.approx(30.0 * area * 1e-3)
    assert (filled.ei_stiffener_kn_m2 or 0) > (hollow.ei_stiffener_kn_m2 or 0)


def test_today_s_form_may_lay_a_cap_on_its_crown_too() -> None:
    keys = {"section": None, "girth_mm": 200.0, "former": {"material": "pvc-80", "section_mm2": 2500.0}}
    found, bare = hat([*WALL, {"material": "cap", "on": "crown"}], **keys), hat(**keys)
    assert found.mass_kg - bare.mass_kg == pytest.approx(2.0 * 0.050 * 3e-3 * 1700)
    assert (found.ei_stiffener_kn_m2 or 0) > 1.3 * (bare.ei_stiffener_kn_m2 or 0)


ENDS: list[dict[str, Any]] = [{**BEAM, "ends": "clamped"}, {**BEAM, "ends": "simply-supported"}]


@pytest.mark.parametrize("n", [0, 1])
def test_a_beam_of_one_material(n: int) -> None:
    own = CHECKS["A10.03"]["own"]
    found = hat([{"material": "checked"}], PLATED, beam=ENDS[n])
    assert found.ga_web_kn == pytest.approx(own["ga_kn"], rel=5e-6)
    assert found.beam_deflection_mm == pytest.approx(own["bending_mm"][n] + own["shear_mm"][n], rel=5e-6)
    assert found.beam_strain_use == pytest.approx(own["crown_strain"][n] / LIMITS["compression"], rel=5e-6)
    assert found.web_shear_use == pytest.approx(own["web_shear_strain"] / LIMITS["shear"], rel=5e-6)
    assert found.frequency_hz == pytest.approx(own["hz"][n], rel=5e-6)
    where = ("at the ends", "in the middle")[n]
    assert (
        found.governs["beam_strain_use"] == f"layer 1 checked on the crown, upper face, {where}: compression"
    )
    assert found.governs["web_shear_use"] == "layer 1 checked in a web, at the ends: shear"


def test_what_a_beam_does_not_check_is_listed() -> None:
    found = hat([{"material": "checked"}], PLATED, beam=ENDS[0])
    assert found.not_checked == (
        "bond of the flanges", "buckling of webs and crown", "the plating's own bending on top",
        "strain of layer 1 plate of hull/bottom",
    )  # fmt: skip
    assert hat().not_checked == ()


def test_carried_mass_and_load_width_bring_the_frequency_down_alone() -> None:
    bare, laden = (hat(plate=PLATED, beam={**ENDS[0], "carried_kg_m": kg}) for kg in (0.0, 3 * 8.8637))
    assert laden.frequency_hz == pytest.approx((bare.frequency_hz or 0) / 2, rel=1e-5)
    assert laden.beam_deflection_mm == bare.beam_deflection_mm


def test_a_beam_in_the_form_of_today() -> None:
    """A box without plating, by hand: q L⁴/(384 EI) + q L²/(8 GA)."""
    keys = {"section": None, "girth_mm": 150.0, "former": {"material": "pvc-80", "section_mm2": 2500.0}}
    found = hat(beam=ENDS[0], **keys)
    q, ei, ga = 18.0 * 0.45, found.ei_stiffener_kn_m2 or 1.0, found.ga_web_kn or 1.0
    assert found.beam_deflection_mm == pytest.approx(1e3 * (q * 1.2**4 / 384 / ei + q * 1.2**2 / 8 / ga))


def test_the_far_face_of_the_plating_and_the_feet_of_the_webs_are_checked() -> None:
    """Strain M z/EI by hand, where nothing else has limits."""
    moment, strain = 18e3 * 0.45 * 1.2**2 / 8, LIMITS["compression"]
    below = hat(plate=[{"material": "checked"}, {"material": "wall"}], beam=ENDS[1])
    z = (below.neutral_axis_mm or 0) * 1e-3 + 0.010
    curvature = moment / ((below.ei_stiffener_kn_m2 or 0) * 1e3)
    assert below.beam_strain_use == pytest.approx(curvature * z / strain)
    assert "of hull/bottom, lower face" in below.governs["beam_strain_use"]
    layup = [{"material": "checked", "on": "webs"}, {"material": "cap", "on": "crown", "plies": 3}]
    feet = hat(layup, beam=ENDS[1])
    curvature = moment / ((feet.ei_stiffener_kn_m2 or 0) * 1e3)
    assert feet.beam_strain_use == pytest.approx(curvature * (feet.neutral_axis_mm or 0) * 1e-3 / strain)
    assert "in a web, lower face" in feet.governs["beam_strain_use"]


def test_plating_is_checked_in_the_axes_it_lies_in() -> None:
    """Turned with the axis that runs along the stiffener, nothing changes."""
    using = materials(uni=sheet(8.0, strain_limits=LIMITS), wall=sheet(5.0))
    fabric = using["uni"].model_copy(
        update={"lamina": material(**sheet(8.0)).lamina.model_copy(update={"e2_gpa": 5.0, "nu12": 0.3})}  # type: ignore[union-attr]
    )
    using = {**using, "uni": fabric}

    def along(axis: str, angle_deg: float) -> ZoneFigures:
        own = case(
            WALL, name="hull/girder", using=using, form="stiffener", length_m=2.0, section=SHAPE,
            attached="hull/bottom", effective_width_mm=300, attached_axis=axis, beam=ENDS[0],
        )  # fmt: skip
        plate = case([{"material": "uni", "angle_deg": angle_deg}], using=using)
        return zone_figures([replace(own, attached=plate)])[0]

    straight, turned, across = along("x", 0.0), along("y", 90.0), along("x", 90.0)
    assert straight.beam_strain_use == pytest.approx(turned.beam_strain_use)
    assert straight.ei_stiffener_kn_m2 == pytest.approx(turned.ei_stiffener_kn_m2)
    assert across.beam_strain_use != pytest.approx(straight.beam_strain_use)
    assert "of hull/bottom, lower face" in straight.governs["beam_strain_use"]


def test_strains_by_a_plain_loop() -> None:
    """Every face of every ply of a hat with a cap on sandwich plating, sideways strains included."""
    layup = [{"material": "quad-1200"}, {"material": "skew-700", "on": "crown", "plies": 2}]
    plate = [{"material": "biax-090"}, {"material": "pvc-80", "thickness_mm": 10}, {"material": "biax-090"}]
    found = hat(layup, plate, beam=ENDS[1])
    moment = 18e3 * 0.45 * 1.2**2 / 8
    curvature = moment / ((found.ei_stiffener_kn_m2 or 0) * 1e3)
    axis = (found.neutral_axis_mm or 0) * 1e-3
    uses = [0.0]
    for lines, foot in ((layup, 0.080), (plate, None), (layup[:1], 0.0), (layup[:1], "web")):
        stack = [r for r in _resolved(lines) for _ in range(r.layer.plies)]
        a = sum(np.einsum("k,kij->ij", r.plies.thickness_m, r.plies.q_bar_pa) for r in stack)
        column = np.linalg.inv(np.asarray(a))[:, 0]
        at = -sum(float(r.plies.thickness_m.sum()) for r in stack) if foot is None else foot
        for r in stack:
            for sub, t in (
                zip(r.plies.sub_plies, r.plies.thickness_m, strict=True) if r.plies.sub_plies else ()
            ):
                faces = (0.0, 0.080) if at == "web" else (at, at + float(t))
                for z in faces:
                    uses += _uses(curvature * (z - axis) * column / column[0], sub.angle_rad)
                at = at if at == "web" else at + float(t)
            if not r.plies.sub_plies:
                at += float(r.plies.thickness_m.sum())
    assert found.beam_strain_use == pytest.approx(max(uses), rel=1e-9)


def _resolved(lines: list[dict[str, Any]]) -> Any:
    from recipe_track.figures.cases import resolve_zone

    return resolve_zone(case(lines, using=USING), {}).layers


def _uses(strain: np.ndarray, angle: float) -> list[float]:
    limits = {"tension": 0.0035, "compression": 0.0030, "transverse": 0.0020, "shear": 0.0060}
    c, s = np.cos(angle), np.sin(angle)
    x, y, g = strain
    along = c * c * x + s * s * y + c * s * g
    across = s * s * x + c * c * y - c * s * g
    shear = 2 * c * s * (y - x) + (c * c - s * s) * g
    return [
        abs(along) / limits["tension"], abs(along) / limits["compression"],
        abs(across) / limits["transverse"], abs(shear) / limits["shear"],
    ]  # fmt: skip


def test_a_hat_without_flanges_on_nothing_has_no_base_to_hold() -> None:
    found = hat(section={**SHAPE, "flange_mm": 0.0})
    assert found.section_modulus_base_cm3 is None
    assert found.section_modulus_crown_cm3 is not None


def test_webs_that_carry_nothing_make_no_beam() -> None:
    found = hat([{"material": "wall", "on": "crown"}], PLATED, beam=ENDS[0])
    assert (found.ga_web_kn, found.beam_deflection_mm, found.frequency_hz) == (0.0, None, None)
    assert any("nothing carries shear in the webs" in note for note in found.notes)


def test_a_section_without_a_former_has_a_stiffness() -> None:
    assert not any("without a former" in note for note in hat().notes)


def test_stacks_of_a_stiffener_are_those_of_its_thinnest_part() -> None:
    """A cap does not make the webs thicker: a minimum holds everywhere."""
    found = hat([*WALL, {"material": "cap", "on": "crown"}])
    assert (found.thickness_mm, found.areal_mass_kg_m2) == pytest.approx((5.0, 5e-3 * 1700))


def test_the_far_skin_of_a_sandwich_is_said_to_overstate() -> None:
    plate = [{"material": "wall"}, {"material": "pvc-80", "thickness_mm": 20}, {"material": "wall"}]
    assert any("which overstates EI" in note for note in hat(plate=plate).notes)
    assert not any("which overstates EI" in note for note in hat(plate=PLATED).notes)


def test_minima_hold_the_section_and_the_beam() -> None:
    required = {
        "source": "SC-1", "ei_stiffener_kn_m2_min": 48.0, "section_modulus_crown_cm3_min": 60.0,
        "section_modulus_base_cm3_min": 160.0, "beam_deflection_mm_max": 1.0, "beam_strain_use_max": 0.5,
        "web_shear_use_max": 0.5,
    }  # fmt: skip
    found = hat([{"material": "checked"}], PLATED, beam=ENDS[0], required=required)
    assert [(r.key, r.met) for r in found.required] == [
        ("ei_stiffener_kn_m2_min", True), ("section_modulus_crown_cm3_min", False),
        ("section_modulus_base_cm3_min", True), ("beam_deflection_mm_max", False),
        ("beam_strain_use_max", True), ("web_shear_use_max", True),
    ]  # fmt: skip


@pytest.mark.parametrize("n", [0, 1])
def test_the_calculation_sheet_ends_where_the_figures_are(n: int) -> None:
    keys = {"attached": "hull/bottom", "effective_width_mm": 300, "attached_axis": "x", "beam": ENDS[n]}
    own = case(
        [{"material": "checked"}, {"material": "cap", "on": "crown"}], name="hull/girder", using=USING,
        form="stiffener", length_m=2.0, section=SHAPE, former={"material": "pvc-80"}, **keys,
    )  # fmt: skip
    whole = replace(own, attached=case(PLATED, using=USING))
    figures, sheet = zone_figures([whole])[0], working_of(whole)
    last = {line.what: line.result for part in sheet.sections for line in part.lines}
    assert last["beam deflection"] == figures.beam_deflection_mm
    assert last["first natural frequency, in air"] == pytest.approx(figures.frequency_hz)
    assert last["section modulus, crown"] == pytest.approx(figures.section_modulus_crown_cm3)
    assert last["section modulus, plating"] == pytest.approx(figures.section_modulus_base_cm3)
    assert last["webs, and the former that carries"] == pytest.approx(figures.ga_web_kn)
    for key, words in (("beam_strain_use", "beam strain use"), ("web_shear_use", "web shear use")):
        assert last[f"{words}, {figures.governs[key]}"] == pytest.approx(getattr(figures, key))
