"""Fibres, cores and coatings whose values do not go together."""

from collections.abc import Iterator

from recipe_track.errors import Fault
from recipe_track.recipe.materials import FILM, Coating, Core, Fibre
from recipe_track.recipe.ordinary import Spot, doubt, ordinary_of, out_of, outside, written
from recipe_track.recipe.quantities import Ordinary
from recipe_track.recipe.rules.materials import of_kind
from recipe_track.recipe.snapshot import Snapshot

GLASS_DENSITY, CARBON_DENSITY = Ordinary(2400, 2700), Ordinary(1700, 2100)
GLASS_MODULUS = Ordinary(65, 95, "another fibre's row", of=" for a fibre as heavy as glass")
CARBON_MODULUS = Ordinary(150, 650, "another fibre's row", of=" for a fibre as heavy as carbon")
FOAM_DENSITY = Ordinary(30, 300, of=" for foam or balsa, 300 to 800 for wood")
WOOD_DENSITY = Ordinary(300, 800, of=" for wood")
WOOD_MODULUS_MPA, WOOD_SHEAR_MPA = 300, 100  # from these up a heavy core may be wood or filled board
_MODULUS, _SHEAR = Ordinary(5, 6000, also=(0,)), Ordinary(5, 300)
_SHEAR_STRENGTH, _CRUSHING = Ordinary(0.2, 5), Ordinary(0.2, 20)
FOAM = {
    "e_inplane_mpa": _MODULUS,
    "e_through_mpa": _MODULUS,
    "g_mpa": _SHEAR,
    "g_l_mpa": _SHEAR,
    "g_w_mpa": _SHEAR,
    "shear_strength_mpa": _SHEAR_STRENGTH,
    "shear_strength_l_mpa": _SHEAR_STRENGTH,
    "shear_strength_w_mpa": _SHEAR_STRENGTH,
    "compressive_strength_mpa": _CRUSHING,
}
WOOD_TIMES = 4  # how much more of each wood may have
RATIOS = (
    ("shear_strength_mpa", ("g_mpa", "g_w_mpa"), Ordinary(0.01, 0.08)),
    ("shear_strength_l_mpa", ("g_l_mpa",), Ordinary(0.01, 0.08)),
    ("shear_strength_w_mpa", ("g_w_mpa",), Ordinary(0.01, 0.08)),
    ("compressive_strength_mpa", ("e_through_mpa",), Ordinary(0.003, 0.03)),
)
CURED_TO_WET = Ordinary(0.5, 1.0)


def note_fibres(snapshot: Snapshot) -> Iterator[Fault]:
    """The modulus of a fibre fits its density, and is no smaller along than across."""
    for path, fibre in of_kind(snapshot, Fibre):
        spot = Spot(path, fibre, (), "e_axial_gpa")
        if outside(fibre.e_axial_gpa, ordinary_of(Fibre)["e_axial_gpa"]):
            continue
        for density, modulus in ((GLASS_DENSITY, GLASS_MODULUS), (CARBON_DENSITY, CARBON_MODULUS)):
            if not outside(fibre.density_kg_m3, density):
                yield from out_of(spot, fibre.e_axial_gpa, modulus)
        across = fibre.e_transverse_gpa
        alone = across is None or outside(across, ordinary_of(Fibre)["e_transverse_gpa"])
        if across is not None and across > fibre.e_axial_gpa and not alone:
            along = written(fibre.e_axial_gpa)
            words = f"{written(across)} GPa across the fibre is more than {along} GPa along it"
            spot = Spot(path, fibre, (), "e_transverse_gpa")
            yield from doubt(spot, "stiffer-across", words, "the two in each other's place?")


def note_core_densities(snapshot: Snapshot) -> Iterator[Fault]:
    """A core is as heavy as foam or balsa, or as wood if it is as stiff."""
    for path, core in of_kind(snapshot, Core):
        heavy = core.density_kg_m3 > FOAM_DENSITY.high and _stiff_as_wood(core)
        ordinary = WOOD_DENSITY if heavy else FOAM_DENSITY
        yield from out_of(Spot(path, core, (), "density_kg_m3"), core.density_kg_m3, ordinary)


def _stiff_as_wood(core: Core) -> bool:
    moduli = (core.e_inplane_mpa, core.e_through_mpa or 0.0)
    return max(moduli) >= WOOD_MODULUS_MPA or max(core.g_mpa or 0, core.g_l_mpa or 0) >= WOOD_SHEAR_MPA


def _range_of(core: Core, key: str) -> Ordinary:
    foam = FOAM[key]
    if core.density_kg_m3 <= WOOD_DENSITY.low:
        return foam
    return Ordinary(foam.low, WOOD_TIMES * foam.high, also=foam.also, of=" for wood")


def note_core_strengths(snapshot: Snapshot) -> Iterator[Fault]:
    """Moduli and strengths of a core, and each strength against its modulus."""
    for path, core in of_kind(snapshot, Core):
        given: dict[str, float] = {
            key: value for key in FOAM if (value := getattr(core, key, None)) is not None
        }
        odd = {key for key, value in given.items() if outside(value, _range_of(core, key))}
        for key in odd:
            yield from out_of(Spot(path, core, (), key), given[key], _range_of(core, key))
        for key, moduli, ordinary in RATIOS:
            other = next((modulus for modulus in moduli if modulus in given), None)
            if other is not None and key in given and not odd & {key, other}:
                yield from _ratio(Spot(path, core, (), key), given[key], other, given[other], ordinary)


def _ratio(spot: Spot, value: float, other: str, modulus: float, ordinary: Ordinary) -> Iterator[Fault]:
    if outside(value / modulus, ordinary):
        ends = f"{written(ordinary.low * modulus)} to {written(ordinary.high * modulus)} MPa"
        given = f"`{spot.name}` {written(value)} MPa with `{other}` {written(modulus)} MPa"
        message = f"{given}: ordinarily {ends} ({written(ordinary.low)} to {written(ordinary.high)} of it)"
        yield from doubt(spot, "core-strength", message, "one of the two?")


def note_films(snapshot: Snapshot) -> Iterator[Fault]:
    """A coating shrinks as it cures, but to no less than half."""
    for path, coating in of_kind(snapshot, Coating):
        wet, cured = coating.wet_thickness_mm, coating.cured_thickness_mm
        if wet is None or cured is None or outside(wet, FILM) or outside(cured, FILM):
            continue
        if outside(cured / wet, CURED_TO_WET):
            share = f"`cured_thickness_mm` {written(cured)} mm is {written(cured / wet)} of the wet film"
            hint = "the two in each other's place?" if cured > wet else "one of the two?"
            spot = Spot(path, coating, (), "cured_thickness_mm")
            yield from doubt(spot, "cured-film", f"{share}: ordinarily 0.5 to 1", hint)


NOTES = (note_fibres, note_core_densities, note_core_strengths, note_films)
