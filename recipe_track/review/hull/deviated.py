"""A zone as it was built: the layup of its release with the deviations of the hull applied."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from recipe_track.figures.cases import ZoneCase, resolve_zone
from recipe_track.figures.limits import not_met_words
from recipe_track.figures.materials import NotComputable
from recipe_track.figures.zone import zone_figures
from recipe_track.recipe.materials import Coating, Core, Material

if TYPE_CHECKING:
    from recipe_track.figures.results import ZoneFigures
    from recipe_track.recipe.layup import Layer
    from recipe_track.recipe.records import DeviatingLayer, Deviation


@dataclass(frozen=True, slots=True)
class BuiltZone:
    """Figures of a zone as released, where it deviates (None without), and its mass with all deviations."""

    released: ZoneFigures
    deviating: ZoneFigures | None
    mass_kg: float
    cost: float | None
    trouble: str | None = None


@dataclass(frozen=True, slots=True)
class Contents:
    """What a weighed part is made of: fibre, the resin in the fabrics, and everything else [kg]."""

    fibre_kg: float
    fabric_resin_kg: float
    other_kg: float

    @property
    def total_kg(self) -> float:
        """All of it."""
        return self.fibre_kg + self.fabric_resin_kg + self.other_kg

    def apparent_fibre_fraction(self, weighed_kg: float) -> float | None:
        """Fibre over fibre and resin, if all that the scales differ by were resin in the fabrics."""
        laminate = weighed_kg - self.other_kg
        return self.fibre_kg / laminate if laminate > self.fibre_kg > 0 else None


def built_zones(
    cases: Sequence[ZoneCase], deviations: Mapping[str, Sequence[Deviation]]
) -> dict[str, BuiltZone]:
    """Every zone as built; `deviations` are those that hold, by zone name."""
    released = {figures.zone: figures for figures in zone_figures(cases)}
    return {case.name: _built(case, released[case.name], deviations.get(case.name, ())) for case in cases}


def broken_by(case: ZoneCase, deviations: Sequence[Deviation]) -> dict[str, str]:
    """What a zone keeps as released and no more as built, by key in words: required minima, uses above 1."""
    zone = built_zones([case], {case.name: deviations})[case.name]
    if zone.deviating is None:
        return {}
    met = {one.key for one in zone.released.required if one.met}
    above = [key for key in zone.deviating.exceeded if key not in zone.released.exceeded]
    broken = {r.key: not_met_words(r) for r in zone.deviating.required if r.met is False and r.key in met}
    return broken | {key: f"{key} {getattr(zone.deviating, key):.2f} is above 1" for key in above}


def _built(case: ZoneCase, released: ZoneFigures, deviations: Sequence[Deviation]) -> BuiltZone:
    given = [d for d in deviations if d.layers]
    if not given:
        return BuiltZone(released, None, released.mass_kg, released.cost)
    try:
        each = [_figures(case, d.layers) for d in given]
        together = (
            each[0] if len(given) == 1 else _figures(case, [layer for d in given for layer in d.layers])
        )
    except NotComputable as missing:
        return BuiltZone(released, None, released.mass_kg, released.cost, str(missing))
    parts = list(zip(given, each, strict=True))
    mass = released.mass_kg + sum(d.area_fraction * (f.mass_kg - released.mass_kg) for d, f in parts)
    cost = None
    if released.cost is not None:
        cost = released.cost + sum(d.area_fraction * ((f.cost or 0.0) - released.cost) for d, f in parts)
    return BuiltZone(released, together, mass, cost)


def _figures(case: ZoneCase, layers: Sequence[DeviatingLayer]) -> ZoneFigures:
    layup = deviated_layup(case.zone.layup, layers, case.materials)
    zone = case.zone.model_copy(update={"layup": layup})
    return zone_figures([ZoneCase(case.name, zone, case.part, case.materials, case.prices)])[0]


def deviated_layup(
    layup: Sequence[Layer], layers: Sequence[DeviatingLayer], materials: Mapping[str, Material]
) -> tuple[Layer, ...]:
    """The layup with layers left out, added on the bag side of a line, or substituted; lines as released."""
    lines: list[list[Layer]] = [[layer] for layer in layup]
    for change in layers:
        if not 1 <= change.line <= len(lines):
            raise NotComputable(f"the layup has no line {change.line}")
        line = lines[change.line - 1]
        pattern = layup[change.line - 1]
        if change.action != "added":
            _take_out(line, change)
        if change.action != "left-out":
            material = change.instead or change.material
            line.append(_laid(pattern, material, change.plies, materials))
    return tuple(layer for line in lines for layer in line)


def _take_out(line: list[Layer], change: DeviatingLayer) -> None:
    layer = line[0] if line else None
    if layer is None or layer.material != change.material or layer.plies < change.plies:
        raise NotComputable(f"line {change.line} has no {change.plies} plies of `{change.material}`")
    if layer.plies == change.plies:
        line.pop(0)
    else:
        line[0] = layer.model_copy(update={"plies": layer.plies - change.plies})


def _laid(pattern: Layer, name: str, plies: int, materials: Mapping[str, Material]) -> Layer:
    """A layer laid as the line says, of another material where that was used."""
    if name == pattern.material:
        return pattern.model_copy(update={"plies": plies})
    thick = isinstance(materials.get(name), Core | Coating)
    if thick and pattern.thickness_mm is None:
        raise NotComputable(f"no thickness is recorded for `{name}`")
    update = {"material": name, "plies": plies, "fibre_mass_fraction": None, "uptake_g_m2": None}
    return pattern.model_copy(update=update if thick else {**update, "thickness_mm": None})


def contents(cases: Sequence[ZoneCase]) -> Contents:
    """What zones are made of, as released."""
    fibre = resin = other = 0.0
    for case in cases:
        for quantity in resolve_zone(case, {}).quantities:
            if quantity.kind == "reinforcement":
                fibre += quantity.kg
            elif quantity.kind == "resin" and not quantity.core_uptake:
                resin += quantity.kg
            else:
                other += quantity.kg
    return Contents(fibre, resin, other)
