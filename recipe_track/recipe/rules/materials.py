"""Rules of the materials."""

import math
from collections.abc import Iterator
from typing import TypeVar

from recipe_track.errors import Fault, Key
from recipe_track.recipe.materials import Coating, Core, Fibre, Reinforcement
from recipe_track.recipe.ordinary import Spot, doubt
from recipe_track.recipe.paths import material_path
from recipe_track.recipe.rules.names import unknown
from recipe_track.recipe.snapshot import Snapshot

MaterialT = TypeVar("MaterialT")


def of_kind(snapshot: Snapshot, kind: type[MaterialT]) -> Iterator[tuple[str, MaterialT]]:
    """Every material of a kind with its path."""
    for name, material in snapshot.materials.items():
        if isinstance(material, kind):
            yield material_path(name), material


def check_shares(snapshot: Snapshot) -> Iterator[Fault]:
    """The shares of a fabric's directions sum to 1."""
    for path, fabric in of_kind(snapshot, Reinforcement):
        total = math.fsum(d.share for d in fabric.directions)
        if abs(total - 1) > 1e-6:
            yield Fault(path, ("directions",), "shares-sum", f"the shares sum to {total:g}, not to 1")


def check_directions(snapshot: Snapshot) -> Iterator[Fault]:
    """A direction has an angle or is random, one of the two."""
    for path, fabric in of_kind(snapshot, Reinforcement):
        for n, direction in enumerate(fabric.directions):
            if (direction.angle_deg is None) == (direction.random is None):
                message = "a direction takes either `angle_deg` or `random = true`"
                yield Fault(path, ("directions", n), "angle-or-random", message)


def check_fibres(snapshot: Snapshot) -> Iterator[Fault]:
    """The fibres of a fabric are fibres."""
    known = [n for n, m in snapshot.materials.items() if isinstance(m, Fibre)]
    for path, fabric in of_kind(snapshot, Reinforcement):
        named: list[tuple[Key, str]] = [(("fibre",), fabric.fibre)]
        named += [(("directions", n, "fibre"), d.fibre) for n, d in enumerate(fabric.directions) if d.fibre]
        for key, fibre in named:
            if fibre not in known:
                yield unknown(path, key, "fibre", fibre, known)


def check_laminas(snapshot: Snapshot) -> Iterator[Fault]:
    """Tested ply values are possible ones."""
    for path, fabric in of_kind(snapshot, Reinforcement):
        lamina = fabric.lamina
        if lamina is None:
            continue
        if any(d.random for d in fabric.directions):
            message = "tested ply values do not go with a random direction"
            yield Fault(path, ("lamina",), "lamina-of-mat", message, at="key")
        weight = lamina.thickness_mm * lamina.density_kg_m3
        if weight < fabric.areal_mass_g_m2:
            message = f"the ply weighs {weight:g} g/m², less than its fibre ({fabric.areal_mass_g_m2:g} g/m²)"
            yield Fault(path, ("lamina", "thickness_mm"), "lamina-too-light", message)
        if lamina.nu12**2 >= lamina.e1_gpa / lamina.e2_gpa:
            message, hint = (
                f"nu12 {lamina.nu12:g} is not possible with these moduli",
                "nu12² stays below e1_gpa / e2_gpa",
            )
            yield Fault(path, ("lamina", "nu12"), "impossible-nu12", message, hint)


def check_fabric_fractions(snapshot: Snapshot) -> Iterator[Fault]:
    """A fabric without tested ply values states a fibre mass fraction for some process."""
    for path, fabric in of_kind(snapshot, Reinforcement):
        if fabric.lamina is None and not fabric.fibre_mass_fraction:
            message, hint = "missing key `fibre_mass_fraction`", "for example { infusion = 0.65 }"
            yield Fault(path, ("fibre_mass_fraction",), "missing-key", message, hint)


def check_voids(snapshot: Snapshot) -> Iterator[Fault]:
    """Tested ply values are those of a laminate with its voids."""
    for path, fabric in of_kind(snapshot, Reinforcement):
        if fabric.lamina is not None and fabric.void_fraction:
            message = "`void_fraction` does not go with tested ply values, which have their voids in them"
            yield Fault(path, ("void_fraction",), "lamina-with-voids", message, at="key")


def check_core_shear(snapshot: Snapshot) -> Iterator[Fault]:
    """A core states one shear modulus, or one along and one across."""
    for path, core in of_kind(snapshot, Core):
        pair = (core.g_l_mpa is not None, core.g_w_mpa is not None)
        if (core.g_mpa is not None and any(pair)) or (core.g_mpa is None and not all(pair)):
            message = "a core takes either `g_mpa` or both `g_l_mpa` and `g_w_mpa`"
            key = "g_mpa" if core.g_mpa is not None else "g_l_mpa"
            yield Fault(path, (key,), "core-shear-modulus", message)


def check_core_strength(snapshot: Snapshot) -> Iterator[Fault]:
    """A core states one shear strength, or one along and one across, or none."""
    for path, core in of_kind(snapshot, Core):
        along, across = core.shear_strength_l_mpa, core.shear_strength_w_mpa
        both = along is not None and across is not None
        if (along is None) != (across is None) or (both and core.shear_strength_mpa is not None):
            message = (
                "a core takes either `shear_strength_mpa` or both `shear_strength_l_mpa` and"
                " `shear_strength_w_mpa`"
            )
            key = "shear_strength_w_mpa" if along is None else "shear_strength_l_mpa"
            yield Fault(path, (key,), "core-shear-strength", message)


def check_wet_films(snapshot: Snapshot) -> Iterator[Fault]:
    """A coating states its wet and cured film together or not at all."""
    for path, coating in of_kind(snapshot, Coating):
        if (coating.wet_thickness_mm is None) != (coating.cured_thickness_mm is None):
            message = "`wet_thickness_mm` and `cured_thickness_mm` go together"
            key = "wet_thickness_mm" if coating.cured_thickness_mm is None else "cured_thickness_mm"
            yield Fault(path, (key,), "film-thickness-pair", message)


def check_liquids(snapshot: Snapshot) -> Iterator[Fault]:
    """What a coating is sprayed from weighs at least what it leaves behind."""
    for path, coating in of_kind(snapshot, Coating):
        liquid, wet, cured = (
            coating.liquid_density_kg_m3,
            coating.wet_thickness_mm,
            coating.cured_thickness_mm,
        )
        key = ("liquid_density_kg_m3",)
        if liquid is None:
            continue
        if wet is None and cured is None:
            message = "`liquid_density_kg_m3` needs `wet_thickness_mm` and `cured_thickness_mm` beside it"
            yield Fault(path, key, "missing-film", message)
        elif wet is not None and cured is not None and liquid * wet < coating.density_kg_m3 * cured:
            taken, left = liquid * wet / 1e3, coating.density_kg_m3 * cured / 1e3
            message = f"{taken:g} kg/m² of it are taken for {left:g} kg/m² built in: less than what is left"
            yield Fault(path, key, "taken-below-built-in", message)


def note_mats(snapshot: Snapshot) -> Iterator[Fault]:
    """A mat left at a stiffness factor of 1 is probably too stiff."""
    for path, fabric in of_kind(snapshot, Reinforcement):
        if fabric.stiffness_factor == 1 and any(d.random for d in fabric.directions):
            message = "a mat with stiffness_factor 1: the estimate overstates real mats by some 20–30 %"
            hint = "0.8 is common practice, no source"
            yield from doubt(Spot(path, fabric, (), "stiffness_factor"), "stiff-mat", message, hint)


RULES = (
    check_shares,
    check_directions,
    check_fibres,
    check_laminas,
    check_fabric_fractions,
    check_voids,
    check_core_shear,
    check_core_strength,
    check_wet_films,
    check_liquids,
)
