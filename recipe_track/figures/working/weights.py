"""Weights and costs of a zone, line by line."""

from collections.abc import Iterator

from recipe_track.figures.cases import Resolved
from recipe_track.figures.costs import BuiltIn, built_in_cost, laid_area_m2, price_of, wastage_of
from recipe_track.figures.fabric import fibre_fraction
from recipe_track.figures.plies import LayerPlies, ResolvedLayer
from recipe_track.figures.working.inputs import part_with, told_as
from recipe_track.figures.working.lines import Chapter, Line, Value, derived
from recipe_track.recipe.craft import Part, Price, Prices
from recipe_track.recipe.materials import Coating, Core, Reinforcement

COSTS = "Costs"


def weight_sections(resolved: Resolved) -> Iterator[Chapter]:
    """What is built in, what it weighs and, with a price list, what it costs."""
    yield Chapter("Weights", (*_areal_lines(resolved), *_weight_lines(resolved)))
    prices = resolved.case.prices
    if prices is not None:
        yield Chapter(COSTS, tuple(_cost_lines(resolved, prices)))


def _where(quantity: BuiltIn) -> str:
    line = f"layer {quantity.line}: " if quantity.line else ""
    return f"{line}{quantity.material}, {quantity.kind}"


def _areal_lines(resolved: Resolved) -> Iterator[Line]:
    """What a square metre of one ply weighs, once for all layers of one kind, by formula."""
    different: dict[tuple[str, float], ResolvedLayer] = {}
    for layer in resolved.layers:
        different.setdefault((told_as(layer, resolved), layer.layer.thickness_mm or 0.0), layer)
    lines = [line for layer in different.values() for line in _per_ply(resolved, layer)]
    yield from sorted(lines, key=lambda line: [one.formula for one in lines].index(line.formula))


def _per_ply(resolved: Resolved, layer: ResolvedLayer) -> Iterator[Line]:
    match layer.material:
        case Reinforcement():
            yield from _fabric_weights(resolved, layer, layer.material)
        case Core():
            yield from _core_weights(resolved, layer, layer.material)
        case Coating():
            yield _own_weight(layer, layer.material.density_kg_m3)


def _fabric_weights(resolved: Resolved, layer: ResolvedLayer, fabric: Reinforcement) -> Iterator[Line]:
    plies, name = layer.plies, told_as(layer, resolved)
    dry, areal = plies.fibre_kg_m2, Value("w", fabric.areal_mass_g_m2, "g/m²")
    yield derived(f"{name}, fibre", "wf", "{w} / 1000", dry, "kg/m²", areal)
    fibre = Value("wf", dry, "kg/m²")
    if fabric.lamina is not None:
        given = Value("ρ", fabric.lamina.density_kg_m3, "kg/m³"), Value("h", fabric.lamina.thickness_mm, "mm")
        formula = "{ρ} · {h} / 1000 − {wf}"
        yield derived(f"{name}, resin", "wm", formula, plies.resin_kg_m2, "kg/m²", *given, fibre)
        return
    fraction = Value("ψ", fibre_fraction(layer.layer, part_with(resolved, layer), fabric))
    formula = "{wf} · (1 − {ψ}) / {ψ}"
    yield derived(f"{name}, resin", "wm", formula, plies.resin_kg_m2, "kg/m²", fibre, fraction)


def _own_weight(layer: ResolvedLayer, density_kg_m3: float) -> Line:
    given = Value("ρ", density_kg_m3, "kg/m³"), Value("t", layer.layer.thickness_mm or 0.0, "mm")
    name = layer.layer.material
    return derived(name, "w", "{ρ} · {t} / 1000", layer.plies.own_kg_m2, "kg/m²", *given)


def _core_weights(resolved: Resolved, layer: ResolvedLayer, core: Core) -> Iterator[Line]:
    yield _own_weight(layer, core.density_kg_m3)
    name, uptake = f"{layer.layer.material}, resin taken up", layer.plies.uptake_kg_m2
    if layer.layer.uptake_g_m2 is not None:
        given = Value("u", layer.layer.uptake_g_m2, "g/m²")
        yield derived(name, "wu", "{u} / 1000", uptake, "kg/m²", given)
        return
    process = layer.layer.process or part_with(resolved, layer).process
    yield derived(
        name, "wu", "(2 · {us} + {up} · {t}) / 1000", uptake, "kg/m²",
        Value("us", core.surface_uptake_g_m2[process], "g/m²"),
        Value("up", core.perforation_uptake_g_m2_mm[process], "g/m² per mm"),
        Value("t", layer.layer.thickness_mm or 0.0, "mm"),
    )  # fmt: skip


def _weight_lines(resolved: Resolved) -> Iterator[Line]:
    zone = resolved.case.zone
    by_line = {layer.line: layer for layer in resolved.layers}
    gunned = []
    for quantity in resolved.quantities:
        layer = by_line.get(quantity.line)
        if layer is None:
            yield _by_length(resolved, quantity)
            continue
        overlap = zone.overlap_fraction if layer.plies.fibre_kg_m2 else 0.0
        yield derived(
            _where(quantity), "m", "{A} · (1 + {o}) · {n} · {c} · {w}", quantity.kg, "kg",
            Value("A", laid_area_m2(zone, layer.layer.on), "m²"), Value("o", overlap),
            Value("n", layer.layer.plies), Value("c", layer.layer.coverage_fraction),
            Value("w", _per_m2(quantity, layer.plies), "kg/m²"),
        )  # fmt: skip
        if quantity.taken_kg is not None and isinstance(layer.material, Coating):
            gunned.append(_wet_line(quantity, layer, layer.material))
    yield Line("mass of the zone", sum(q.kg for q in resolved.quantities), "kg", "M", "Σ m")
    yield from gunned


def _by_length(resolved: Resolved, quantity: BuiltIn) -> Line:
    """A former by its section, paste by what is laid on a metre."""
    zone = resolved.case.zone
    length = Value("L", zone.length_m or 0.0, "m")
    if zone.kg_per_m is not None:
        laid = Value("p", zone.kg_per_m, "kg/m")
        return derived(_where(quantity), "m", "{L} · {p}", quantity.kg, "kg", length, laid)
    section = Value("S", quantity.m3 / length.number * 1e6, "mm²")
    density = Value("ρ", quantity.kg / quantity.m3, "kg/m³")
    formula = "{L} · {S} · {ρ} / 10^6"
    return derived(_where(quantity), "m", formula, quantity.kg, "kg", length, section, density)


def _wet_line(quantity: BuiltIn, layer: ResolvedLayer, coating: Coating) -> Line:
    """What goes on the gun for a coating."""
    return derived(
        f"{_where(quantity)}, on the gun", "mg", "{A} · {t} · {hw} / {hc} · {ρl} / 1000",
        quantity.used_kg, "kg",
        Value("A", quantity.m2, "m²"), Value("t", layer.layer.thickness_mm or 0.0, "mm"),
        Value("hw", coating.wet_thickness_mm or 0.0, "mm"),
        Value("hc", coating.cured_thickness_mm or 0.0, "mm"),
        Value("ρl", coating.liquid_density_kg_m3 or 0.0, "kg/m³"),
    )  # fmt: skip


def _per_m2(quantity: BuiltIn, plies: LayerPlies) -> float:
    """What one ply weighs of a kind of material [kg/m²]."""
    if quantity.kind == "reinforcement":
        return plies.fibre_kg_m2
    if quantity.kind == "resin":
        return plies.uptake_kg_m2 if quantity.core_uptake else plies.resin_kg_m2
    return plies.own_kg_m2


def _cost_lines(resolved: Resolved, prices: Prices) -> Iterator[Line]:
    part = resolved.case.part
    costs = [(quantity, built_in_cost(quantity, part, prices)) for quantity in resolved.quantities]
    yield from (_material_line(quantity, cost.material, part, prices) for quantity, cost in costs)
    yield from (_labour_line(quantity, cost.labour, prices) for quantity, cost in costs if cost.labour)
    material, labour = (sum(getattr(cost, key) for _, cost in costs) for key in ("material", "labour"))
    unit = prices.currency
    yield Line("materials", material, unit, "Cm", "Σ cm")
    yield Line("labour", labour, unit, "Cl", "Σ cl")
    parts = Value("Cm", material, unit), Value("Cl", labour, unit)
    yield derived("cost of the zone", "C", "{Cm} + {Cl}", material + labour, unit, *parts)


def _material_line(quantity: BuiltIn, cost: float, part: Part, prices: Prices) -> Line:
    amount, per, unit = _measure(quantity, price_of(prices, quantity.material))
    wastage = wastage_of(part.wastage_fraction, quantity.kind)
    given = Value("x", amount, unit), Value("f", wastage), Value("p", per, f"{prices.currency}/{unit}")
    return derived(_where(quantity), "cm", "{x} · (1 + {f}) · {p}", cost, prices.currency, *given)


def _labour_line(quantity: BuiltIn, cost: float, prices: Prices) -> Line:
    price, rate = (
        price_of(prices, quantity.material),
        Value("r", prices.labour_per_hour, f"{prices.currency}/h"),
    )
    if quantity.m:
        given = Value("v", price.labour_min_per_m, "min/m"), Value("l", quantity.m, "m"), rate
        return derived(_where(quantity), "cl", "{v} · {l} · {r} / 60", cost, prices.currency, *given)
    given = Value("u", price.labour_min_per_m2, "min/m²"), Value("A", quantity.m2, "m²"), rate
    return derived(_where(quantity), "cl", "{u} · {A} · {r} / 60", cost, prices.currency, *given)


def _measure(quantity: BuiltIn, price: Price) -> tuple[float, float, str]:
    if price.per_kg is not None:
        return quantity.used_kg, price.per_kg, "kg"
    if price.per_m2 is not None:
        return quantity.m2, price.per_m2, "m²"
    return quantity.m3, price.per_m3 or 0.0, "m³"
