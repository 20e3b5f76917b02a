"""What a zone's figures start from, as far as they do: zone, layup, panel, materials with their sources."""

from collections.abc import Iterator

from recipe_track.figures.cases import Resolved
from recipe_track.figures.costs import zone_area_m2
from recipe_track.figures.fabric import fibre_fraction, void_fraction
from recipe_track.figures.loads import ACTING, SIDES, sides_mm
from recipe_track.figures.plies import ResolvedLayer
from recipe_track.figures.working.lines import Chapter, Grid, Line, Value, stated
from recipe_track.recipe.craft import Part
from recipe_track.recipe.layup import Layer, Panel
from recipe_track.recipe.materials import (
    Coating,
    Core,
    Direction,
    Fibre,
    Material,
    Paste,
    Reinforcement,
    Resin,
    StrainLimits,
)
from recipe_track.recipe.quantities import quantities_of, unit_of_key

NO_SOURCE = "no source stated"


def input_sections(resolved: Resolved) -> Iterator[Chapter]:
    """Every number that counts in what follows, with its symbol there."""
    case = resolved.case
    yield Chapter("Given", tuple(_given(resolved)))
    if case.zone.layup:
        yield Chapter("Layup, from mould side to bag side", (), grid=_layup(resolved))
    yield Chapter("Materials", tuple(_material_lines(resolved)))


def _given(resolved: Resolved) -> Iterator[Line]:
    zone, part = resolved.case.zone, resolved.case.part
    area = zone_area_m2(zone)
    if area is not None:
        overlap = (Value("o", zone.overlap_fraction),) if zone.overlap_fraction else ()
        yield stated("area; overlap" if overlap else "area", Value("A", area, "m²"), *overlap)
    if zone.layup:
        yield Line("made by", f"{part.process}, resin {part.resin}, where a layer says no other")
    if zone.panel is not None:
        yield from _panel(zone.panel)


def _panel(panel: Panel) -> Iterator[Line]:
    a, b = sides_mm(panel)
    sides = Value("a", a, "mm"), Value("b", b, "mm")
    yield stated(f"panel along x and y, {panel.edges}", *sides)
    acting = ACTING[SIDES[panel.pressure_side]]
    yield stated(f"pressure {acting}", Value("q", panel.pressure_kpa, "kPa"))
    if panel.patch is not None:
        patch = Value("F", panel.patch.force_kn, "kN"), Value("e", panel.patch.side_mm, "mm")
        yield stated(f"foot load {ACTING[SIDES[panel.patch.on]]}, on a square in the middle", *patch)
    if panel.carried_kg_m2:
        yield stated("carried by the panel", Value("mc", panel.carried_kg_m2, "kg/m²"))


def _layup(resolved: Resolved) -> Grid:
    """Columns that say nothing beside the part are left out."""
    heads = ("layer", "material", "plies", "angle", "one ply [mm]", "otherwise")
    rows = [_layer_row(layer, resolved.case.part) for layer in resolved.layers]
    kept = [n for n in range(len(heads)) if any(row[n] for row in rows)]
    return Grid(tuple(heads[n] for n in kept), tuple(tuple(row[n] for n in kept) for row in rows))


def _layer_row(resolved: ResolvedLayer, part: Part) -> tuple[str | float | None, ...]:
    layer = resolved.layer
    turned = not isinstance(resolved.material, Coating) and not is_mat(resolved.material)
    angle = f"{layer.angle_deg:g}°{', flipped' if layer.flipped else ''}".replace("-", "−")
    return (
        str(resolved.line),
        layer.material,
        str(layer.plies),
        angle if turned else "",
        resolved.plies.total_m * 1e3,
        ", ".join(_otherwise(layer, part)),
    )


def _otherwise(layer: Layer, part: Part) -> Iterator[str]:
    if layer.process not in (None, part.process):
        yield layer.process
    if layer.resin not in (None, part.resin):
        yield layer.resin
    if layer.coverage_fraction < 1:
        yield f"over {layer.coverage_fraction:g} of the zone, no stiffness"


def is_mat(material: Material) -> bool:
    """Whether a material is a fabric without any direction."""
    return isinstance(material, Reinforcement) and all(d.random for d in material.directions)


def _material_lines(resolved: Resolved) -> Iterator[Line]:
    """One line a material: its values under the symbols of the formulas."""
    for name, (material, layer) in materials_met(resolved).items():
        yield Line(f"{name}, {material.kind}", _words(material), inputs=_values(resolved, material, layer))


def _words(material: Material) -> str | None:
    if not isinstance(material, Reinforcement):
        return None
    directions = ", ".join(_direction(one, material) for one in material.directions)
    return f"{'woven, ' if material.woven else ''}of {material.fibre}: {directions}"


def _direction(direction: Direction, fabric: Reinforcement) -> str:
    turned = "random" if direction.random else f"{direction.angle_deg or 0:g}°".replace("-", "−")
    of = f" of {direction.fibre}" if direction.fibre and direction.fibre != fabric.fibre else ""
    return f"{turned}{of} s = {direction.share:g}"


def _values(resolved: Resolved, material: Material, layer: ResolvedLayer | None) -> tuple[Value, ...]:
    """The values in use; a fibre and a resin stand here only where a ply is estimated out of them."""
    match material:
        case Fibre():
            across = material.e_transverse_gpa
            eft = (Value("Eft", across, "GPa"),) if across is not None else ()
            return (
                Value("ρf", material.density_kg_m3, "kg/m³"), Value("Ef", material.e_axial_gpa, "GPa"), *eft,
                Value("Gf", material.g_gpa, "GPa"), Value("νf", material.nu),
            )  # fmt: skip
        case Resin():
            return (
                Value("ρm", material.density_kg_m3, "kg/m³"), Value("Em", material.e_gpa, "GPa"),
                Value("νm", material.nu),
            )  # fmt: skip
        case Reinforcement():
            assert layer is not None
            return tuple(_fabric_values(resolved, material, layer))
        case Core():
            return tuple(_core_values(resolved, material, layer))
        case Coating() | Paste():
            return (Value("ρ", material.density_kg_m3, "kg/m³"),) if isinstance(material, Coating) else ()


def _fabric_values(resolved: Resolved, fabric: Reinforcement, layer: ResolvedLayer) -> Iterator[Value]:
    yield Value("w", fabric.areal_mass_g_m2, "g/m²")
    lamina = fabric.lamina
    if lamina is not None:
        yield from (Value("h", lamina.thickness_mm, "mm"), Value("ρ", lamina.density_kg_m3, "kg/m³"))
        moduli = (("E1", lamina.e1_gpa), ("E2", lamina.e2_gpa), ("G12", lamina.g12_gpa))
        yield from (Value(symbol, value, "GPa") for symbol, value in moduli)
        yield Value("ν12", lamina.nu12)
    else:
        part = part_with(resolved, layer)
        yield Value("ψ", fibre_fraction(layer.layer, part, fabric))
        if voids := void_fraction(layer.layer, part, fabric):
            yield Value("v", voids)
        if fabric.stiffness_factor != 1 and layer.full:
            yield Value("k", fabric.stiffness_factor)
    if fabric.strain_limits is not None and layer.full and _is_held(resolved):
        yield from _limits(fabric.strain_limits)


def _limits(limits: StrainLimits) -> Iterator[Value]:
    for key in quantities_of(StrainLimits):
        if (limit := getattr(limits, key)) is not None:
            yield Value(f"εlim {key}", limit)


def _is_held(resolved: Resolved) -> bool:
    """Whether strains and stresses are held against limits at all."""
    zone = resolved.case.zone
    return zone.panel is not None or getattr(zone, "beam", None) is not None


# Keys of a core with their symbols; the first row counts in stiffness, the second in margins alone.
_STIFF = {"e_inplane_mpa": "E", "nu": "ν", "g_mpa": "G", "g_l_mpa": "Gl", "g_w_mpa": "Gw"}
_STRONG = {
    "e_through_mpa": "Ec",
    "shear_strength_mpa": "τlim",
    "shear_strength_l_mpa": "SL",
    "shear_strength_w_mpa": "SW",
    "compressive_strength_mpa": "σc",
}


def _core_values(resolved: Resolved, core: Core, layer: ResolvedLayer | None) -> Iterator[Value]:
    yield Value("ρ", core.density_kg_m3, "kg/m³")
    keys = {**_STIFF, **(_STRONG if _is_held(resolved) else {})} if layer is None or layer.full else {}
    for key, symbol in keys.items():
        value = getattr(core, key, None)
        if value and (key != "nu" or core.e_inplane_mpa):
            yield Value(symbol, value, unit_of_key(key))
    if layer is not None and layer.layer.uptake_g_m2 is None:
        process = layer.layer.process or part_with(resolved, layer).process
        yield Value("us", core.surface_uptake_g_m2[process], "g/m²")
        yield Value("up", core.perforation_uptake_g_m2_mm[process], "g/m² per mm")


def materials_met(resolved: Resolved) -> dict[str, tuple[Material, ResolvedLayer | None]]:
    """Materials whose values count, in the order met: a fabric with a layer of it, its fibres, its resin."""
    case, zone = resolved.case, resolved.case.zone
    met: dict[str, tuple[Material, ResolvedLayer | None]] = {}
    plating = [layer for layer in resolved.attached if layer.full and layer.plies.carries]
    for layer in (*resolved.layers, *plating):
        met.setdefault(told_as(layer, resolved), (layer.material, layer))
        if isinstance(layer.material, Reinforcement) and layer.material.lamina is None and layer.full:
            for name in _made_of(layer.material, layer.resin):
                met.setdefault(name, (case.materials[name], None))
    others = (zone.former.material if zone.former else None, zone.paste)
    met.update({name: (case.materials[name], None) for name in others if name and name not in met})
    return met


def told_as(layer: ResolvedLayer, resolved: Resolved) -> str:
    """A layer's material, with the number of the layer where its fraction is not that of the first of it."""
    name = layer.layer.material
    first = next(one for one in (*resolved.layers, *resolved.attached) if one.layer.material == name)
    alike = first.resin == layer.resin and _packing(first, resolved) == _packing(layer, resolved)
    if alike or not isinstance(layer.material, Reinforcement):
        return name
    of_plating = any(layer is one for one in resolved.attached)
    return f"{name} of {'the plating, ' if of_plating else ''}layer {layer.line}"


def part_with(resolved: Resolved, layer: ResolvedLayer) -> Part:
    """The part that a layer is moulded in: the zone's own, or that of the plating it stands on."""
    attached = resolved.case.attached
    on_plating = attached is not None and any(layer is one for one in resolved.attached)
    return attached.part if attached is not None and on_plating else resolved.case.part


def _packing(layer: ResolvedLayer, resolved: Resolved) -> tuple[float, float]:
    fabric, part = layer.material, part_with(resolved, layer)
    if not isinstance(fabric, Reinforcement) or fabric.lamina is not None:
        return (0.0, 0.0)
    return fibre_fraction(layer.layer, part, fabric), void_fraction(layer.layer, part, fabric)


def _made_of(fabric: Reinforcement, resin: str) -> Iterator[str]:
    yield from (direction.fibre or fabric.fibre for direction in fabric.directions)
    yield resin


def data_sources(resolved: Resolved) -> tuple[tuple[str, str], ...]:
    """Each source of material data once, with the materials that have it."""
    found: dict[str, list[str]] = {}
    for name, (material, _) in materials_met(resolved).items():
        found.setdefault(material.source or NO_SOURCE, []).append(name)
        lamina = material.lamina if isinstance(material, Reinforcement) else None
        if lamina is not None and lamina.source:
            found.setdefault(lamina.source, []).append(f"{name}, tested ply")
    return tuple((", ".join(names), source) for source, names in found.items())
