"""Weights and costs of a zone, line by line."""

from collections.abc import Iterator

from recipe_track.figures.cases import Resolved
from recipe_track.figures.costs import BuiltIn, built_in_cost, laid_area_m2, price_of, wastage_of
from recipe_track.figures.plies import LayerPlies, ResolvedLayer
from recipe_track.figures.working.lines import Chapter, Line, Value, derived
from recipe_track.recipe.craft import Part, Price, Prices
from recipe_track.recipe.materials import Coating


def weight_sections(resolved: Resolved) -> Iterator[Chapter]:
    """What is built in, what it weighs and, with a price list, what it costs."""
    yield Chapter("Weights", tuple(_weight_lines(resolved)))
    prices = resolved.case.prices
    if prices is not None:
        yield Chapter("Costs", tuple(_cost_lines(resolved, prices)))


def _where(quantity: BuiltIn) -> str:
    line = f"layer {quantity.line}: " if quantity.line else ""
    return f"{line}{quantity.material}, {quantity.kind}"


def _weight_lines(resolved: Resolved) -> Iterator[Line]:
    zone = resolved.case.zone
    by_line = {layer.line: layer for layer in resolved.layers}
    for quantity in resolved.quantities:
        layer = by_line.get(quantity.line)
        if layer is None:
            yield Line(_where(quantity), quantity.kg, "kg", "m", "as stated: length · section · density")
            continue
        overlap = zone.overlap_fraction if layer.plies.fibre_kg_m2 else 0.0
        yield derived(
            _where(quantity), "m", "{A} · (1 + {o}) · {n} · {c} · {w}", quantity.kg, "kg",
            Value("A", laid_area_m2(zone, layer.layer.on), "m²"), Value("o", overlap),
            Value("n", layer.layer.plies), Value("c", layer.layer.coverage_fraction),
            Value("w", _per_m2(quantity, layer.plies), "kg/m²"),
        )  # fmt: skip
        if quantity.taken_kg is not None and isinstance(layer.material, Coating):
            yield _wet_line(quantity, layer, layer.material)
    yield Line("mass of the zone", sum(q.kg for q in resolved.quantities), "kg", "m", "sum of the lines")


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
    for quantity in resolved.quantities:
        yield from _quantity_lines(quantity, part, prices)
    total = sum(built_in_cost(q, part, prices).total for q in resolved.quantities)
    yield Line("cost of the zone", total, prices.currency, "cost", "sum of the lines")


def _quantity_lines(quantity: BuiltIn, part: Part, prices: Prices) -> Iterator[Line]:
    price, cost = price_of(prices, quantity.material), built_in_cost(quantity, part, prices)
    amount, per, unit = _measure(quantity, price)
    wastage = wastage_of(part.wastage_fraction, quantity.kind)
    source = price.source or prices.source or ""
    yield Line(
        _where(quantity), cost.material, prices.currency, "material", "{x} · (1 + {f}) · {p}",
        (Value("x", amount, unit), Value("f", wastage), Value("p", per, f"{prices.currency}/{unit}")), source,
    )  # fmt: skip
    if cost.labour:
        yield Line(
            f"{_where(quantity)}, labour", cost.labour, prices.currency, "labour",
            "({u} · {A} + {v} · {l}) · {r} / 60",
            (
                Value("u", price.labour_min_per_m2, "min/m²"), Value("A", quantity.m2, "m²"),
                Value("v", price.labour_min_per_m, "min/m"), Value("l", quantity.m, "m"),
                Value("r", prices.labour_per_hour, f"{prices.currency}/h"),
            ),
        )  # fmt: skip


def _measure(quantity: BuiltIn, price: Price) -> tuple[float, float, str]:
    if price.per_kg is not None:
        return quantity.used_kg, price.per_kg, "kg"
    if price.per_m2 is not None:
        return quantity.m2, price.per_m2, "m²"
    return quantity.m3, price.per_m3 or 0.0, "m³"
