"""How much of a laminate is fibre: mass fractions held against what each process reaches by volume."""

from collections.abc import Iterator, Mapping

from recipe_track.errors import Fault
from recipe_track.recipe.layup import Layer
from recipe_track.recipe.materials import Fibre, Material, Reinforcement, Resin
from recipe_track.recipe.ordinary import Spot, doubt, outside, written
from recipe_track.recipe.quantities import Ordinary
from recipe_track.recipe.rules.layups import zones_of
from recipe_track.recipe.rules.materials import of_kind
from recipe_track.recipe.snapshot import Snapshot

HEXAGONAL, SQUARE = 0.907, 0.785  # π/(2√3) and π/4: how densely round fibres can lie (geometry)
VOLUME = {
    "spray-up": Ordinary(0.10, 0.22),
    "hand-layup": Ordinary(0.10, 0.42),
    "vacuum-bag": Ordinary(0.18, 0.55),
    "infusion": Ordinary(0.20, 0.65),
}
VOLUME_OF_MATS = {
    "spray-up": Ordinary(0.10, 0.22),
    "hand-layup": Ordinary(0.10, 0.22),
    "vacuum-bag": Ordinary(0.12, 0.32),
    "infusion": Ordinary(0.15, 0.35),
}
MAT = 0.5  # from this share of random fibre on a fabric packs like a mat
LAMINA = Ordinary(0.15, 0.70)
RESIN_KG_M3 = 1150.0  # a usual resin, where none is said


def by_volume(mass_fraction: float, fibre_kg_m3: float, resin_kg_m3: float) -> float:
    """Fibre by volume out of fibre by mass, without voids."""
    fibre, resin = mass_fraction / fibre_kg_m3, (1 - mass_fraction) / resin_kg_m3
    return fibre / (fibre + resin)


def by_mass(volume_fraction: float, fibre_kg_m3: float, resin_kg_m3: float) -> float:
    """Fibre by mass out of fibre by volume, without voids."""
    fibre, resin = volume_fraction * fibre_kg_m3, (1 - volume_fraction) * resin_kg_m3
    return fibre / (fibre + resin)


def note_fractions(snapshot: Snapshot) -> Iterator[Fault]:
    """The fractions of a fabric by process."""
    for path, fabric in of_kind(snapshot, Reinforcement):
        for process, fraction in fabric.fibre_mass_fraction.items():
            spot = Spot(path, fabric, (), "fibre_mass_fraction", (process,))
            yield from _fraction(spot, fraction, fabric, process, snapshot.materials, RESIN_KG_M3)


def note_fractions_of_layers(snapshot: Snapshot) -> Iterator[Fault]:
    """The fraction that a layer states in place of its material's."""
    for path, _, part, _, zone in zones_of(snapshot):
        for n, layer in enumerate(zone.layup):
            fabric = snapshot.materials.get(layer.material)
            counts = isinstance(fabric, Reinforcement) and fabric.lamina is None
            if isinstance(fabric, Reinforcement) and counts and layer.fibre_mass_fraction is not None:
                spot = Spot(path, layer, ("layup", n), "fibre_mass_fraction")
                resin = _resin_density(layer, part.part.resin, snapshot.materials)
                process = layer.process or part.part.process
                yield from _fraction(
                    spot, layer.fibre_mass_fraction, fabric, process, snapshot.materials, resin
                )


def _resin_density(layer: Layer, of_part: str, materials: Mapping[str, Material]) -> float:
    resin = materials.get(layer.resin or of_part)
    return resin.density_kg_m3 if isinstance(resin, Resin) else RESIN_KG_M3


def _fraction(
    spot: Spot, fraction: float, fabric: Reinforcement, process: str, materials: Mapping[str, Material],
    resin_kg_m3: float,
) -> Iterator[Fault]:  # fmt: skip
    fibre = fibre_density(fabric, materials)
    if fibre is None:
        return
    volume = by_volume(fraction, fibre, resin_kg_m3)
    ordinary = (VOLUME_OF_MATS if _is_mat(fabric) else VOLUME)[process]
    given = f"`fibre_mass_fraction` {written(fraction)} for {process} is {volume:.2f} by volume"
    ends = " to ".join(f"{by_mass(end, fibre, resin_kg_m3):.2f}" for end in (ordinary.low, ordinary.high))
    usual = f"ordinarily {written(ordinary.low)} to {written(ordinary.high)}, {ends} by mass"
    if volume > HEXAGONAL:
        message = f"{given}, which is not possible: round fibres fill at most {HEXAGONAL}; {usual}"
        yield from doubt(spot, "impossible-fraction", message, "the resin's fraction?", fraction)
    elif outside(volume, ordinary):
        dense = f" and in square packing at most {SQUARE}" if volume > SQUARE else ""
        hint = _fraction_slip(fraction, fibre, resin_kg_m3, ordinary, fabric)
        yield from doubt(spot, "unlikely-fraction", f"{given}: {usual}{dense}", hint, fraction)


def _fraction_slip(
    fraction: float, fibre: float, resin: float, ordinary: Ordinary, fabric: Reinforcement
) -> str:
    if not outside(by_volume(1 - fraction, fibre, resin), ordinary):
        return f"the resin's fraction? the fibre's would be {written(1 - fraction)}"
    if not outside(fraction, ordinary):
        return f"a volume fraction? by mass it would be {by_mass(fraction, fibre, resin):.2f}"
    return "the row of a stitched cloth?" if _is_mat(fabric) else "another process's row?"


def fibre_density(fabric: Reinforcement, materials: Mapping[str, Material]) -> float | None:
    """Density of a fabric's fibre, of a hybrid's fibres together; None where one is not known [kg/m³]."""
    volume = 0.0
    for direction in fabric.directions:
        fibre = materials.get(direction.fibre or fabric.fibre)
        if not isinstance(fibre, Fibre):
            return None
        volume += direction.share / fibre.density_kg_m3
    return 1 / volume


def _is_mat(fabric: Reinforcement) -> bool:
    return sum(direction.share for direction in fabric.directions if direction.random) >= MAT


def note_laminas(snapshot: Snapshot) -> Iterator[Fault]:
    """A tested ply is as thick as its fibre asks for."""
    for path, fabric in of_kind(snapshot, Reinforcement):
        density = fibre_density(fabric, snapshot.materials)
        if fabric.lamina is None or density is None:
            continue
        thickness = fabric.lamina.thickness_mm
        volume = fabric.areal_mass_g_m2 / density / thickness
        if outside(volume, LAMINA):
            message = (
                f"`thickness_mm` {written(thickness)} mm of the tested ply is {volume:.2g} fibre by volume: "
                f"ordinarily {written(LAMINA.low)} to {written(LAMINA.high)}"
            )
            hint = f"µm? {written(thickness / 1000)} mm" if not outside(1000 * volume, LAMINA) else ""
            spot = Spot(path, fabric.lamina, ("lamina",), "thickness_mm")
            yield from doubt(spot, "unlikely-ply", message, hint or "of another cloth?")


NOTES = (note_fractions, note_fractions_of_layers, note_laminas)
