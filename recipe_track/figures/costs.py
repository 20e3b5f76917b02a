"""What is built into a zone, line by line, and what it costs: kilograms, areas, volumes, prices, labour."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from recipe_track.figures.materials import NotComputable, material_of
from recipe_track.figures.plies import ResolvedLayer
from recipe_track.figures.si import MM
from recipe_track.recipe.craft import Part, Price, Prices, Wastage
from recipe_track.recipe.layup import Former, PartOfSection, Zone, girth_mm, width_on
from recipe_track.recipe.materials import Coating, Core, Material, Paste, Reinforcement


@dataclass(frozen=True, slots=True)
class Cost:
    """Material and labour in the currency of the price list."""

    material: float
    labour: float

    @property
    def total(self) -> float:
        """Material and labour together."""
        return self.material + self.labour


def price_of(prices: Prices, material: str) -> Price:
    """The price of a material; NotComputable if the list has none."""
    price = prices.materials.get(material)
    if price is None:
        raise NotComputable(f"no price of `{material}`")
    return price


def wastage_of(wastage: Wastage, kind: str) -> float:
    """Fraction bought but not built in, for a kind of material."""
    return float(getattr(wastage, kind))


def process_cost(part: Part, area_m2: float, prices: Prices) -> float:
    """Consumables over the area, set-up hours, and the resin left in the lines.

    `area_m2` is the sum over plates and stiffeners of the part [m²].
    """
    cost = part.consumables_per_m2 * area_m2 + part.setup_hours * prices.labour_per_hour
    if part.line_resin_kg:
        cost += part.line_resin_kg * _per_kg(part.resin, prices)
    return cost


def _per_kg(material: str, prices: Prices) -> float:
    price = price_of(prices, material).per_kg
    if price is None:
        raise NotComputable(f"`{material}` is not priced per kg")
    return price


Kind = Literal["reinforcement", "core", "resin", "coating", "paste"]


@dataclass(frozen=True, slots=True)
class BuiltIn:
    """So much of one material, built in; a reinforcement's kg are dry fibre; former and paste have line 0.

    kg [kg], m2 [m²] and m3 [m³] where they have a meaning for the kind, m [m] for the paste of a joint.
    `taken_kg` is what goes on the gun for it, of a coating whose liquid is known: it loses some as it cures.
    """

    material: str
    kind: Kind
    line: int
    stage: int
    kg: float
    m2: float = 0.0
    m3: float = 0.0
    m: float = 0.0
    core_uptake: bool = False
    taken_kg: float | None = None

    @property
    def used_kg(self) -> float:
        """What is used up for it, before any wastage [kg]."""
        return self.kg if self.taken_kg is None else self.taken_kg


def built_in_cost(quantity: BuiltIn, part: Part, prices: Prices) -> Cost:
    """What is used up with its wastage at its price, and the minutes to place it."""
    price = price_of(prices, quantity.material)
    bought = 1 + wastage_of(part.wastage_fraction, quantity.kind)
    minutes = price.labour_min_per_m2 * quantity.m2 + price.labour_min_per_m * quantity.m
    return Cost(_measure_price(quantity, price) * bought, minutes * prices.labour_per_hour / 60)


def _measure_price(quantity: BuiltIn, price: Price) -> float:
    if price.per_kg is not None:
        return quantity.used_kg * price.per_kg
    if price.per_m2 is not None:
        if quantity.m2 == 0 and quantity.kg > 0:
            raise NotComputable(f"`{quantity.material}` is priced per m² but has no area here")
        return quantity.m2 * price.per_m2
    if price.per_m3 is not None:
        if quantity.m3 == 0 and quantity.kg > 0:
            raise NotComputable(f"`{quantity.material}` is priced per m³ but has no volume here")
        return quantity.m3 * price.per_m3
    raise NotComputable(f"no price of `{quantity.material}`")


def total_cost(quantities: Iterable[BuiltIn], part: Part, prices: Prices) -> Cost:
    """Sum of the cost of everything built into a zone."""
    costs = [built_in_cost(q, part, prices) for q in quantities]
    return Cost(sum(c.material for c in costs), sum(c.labour for c in costs))


def zone_area_m2(zone: Zone) -> float | None:
    """Developed area of a plate, length times girth of a stiffener, None for a joint [m²]."""
    if zone.form == "plate":
        return _given(zone.area_m2, "area_m2")
    if zone.form == "stiffener":
        return _given(zone.length_m, "length_m") * _given(girth_mm(zone), "girth_mm") * MM
    return None


def laid_area_m2(zone: Zone, on: PartOfSection) -> float:
    """Area of what is laid on a zone, of a stiffener on a part of its section [m²].

    All of it where no section tells the part: so stands a cap in a mix of two revisions, never in a recipe.
    """
    width = width_on(zone, on) if zone.form == "stiffener" and on != "all" else None
    if width is None:
        return zone_area_m2(zone) or 0.0
    return _given(zone.length_m, "length_m") * width * MM


def _given(value: float | None, key: str) -> float:
    if value is None:
        raise NotComputable(f"no `{key}`")
    return value


def built_into(
    zone: Zone, layers: Sequence[ResolvedLayer], materials: Mapping[str, Material]
) -> list[BuiltIn]:
    """Everything built into one zone; raises NotComputable where a measure is missing."""
    if zone.form == "joint":
        return [_paste_quantity(zone, materials)]
    quantities = [
        quantity
        for layer in layers
        for quantity in _layer_quantities(layer, laid_area_m2(zone, layer.layer.on), zone.overlap_fraction)
    ]
    if zone.former is not None:
        quantities.append(_former_quantity(zone, zone.former, materials))
    return quantities


def _layer_quantities(resolved: ResolvedLayer, area_m2: float, overlap: float) -> list[BuiltIn]:
    layer, plies, line = resolved.layer, resolved.plies, resolved.line
    laid = area_m2 * layer.plies * layer.coverage_fraction
    stage = layer.stage
    if isinstance(resolved.material, Reinforcement):
        laid *= 1 + overlap
        return [
            BuiltIn(layer.material, "reinforcement", line, stage, laid * plies.fibre_kg_m2, laid),
            BuiltIn(resolved.resin, "resin", line, stage, laid * plies.resin_kg_m2),
        ]
    volume = laid * (layer.thickness_mm or 0.0) * MM
    if isinstance(resolved.material, Coating):
        wet = wet_film_kg_m2(resolved.material, layer.thickness_mm)
        taken = None if wet is None else laid * wet
        cured = laid * plies.own_kg_m2
        return [BuiltIn(layer.material, "coating", line, stage, cured, laid, volume, taken_kg=taken)]
    return [
        BuiltIn(layer.material, "core", line, stage, laid * plies.own_kg_m2, laid, volume),
        BuiltIn(resolved.resin, "resin", line, stage, laid * plies.uptake_kg_m2, core_uptake=True),
    ]


def wet_film_mm(coating: Coating, cured_mm: float | None) -> float | None:
    """Wet film to spray for a cured one, where the material states both and what the liquid weighs [mm]."""
    wet, cured = coating.wet_thickness_mm, coating.cured_thickness_mm
    if None in (coating.liquid_density_kg_m3, wet, cured, cured_mm):
        return None
    return (cured_mm or 0.0) * (wet or 0.0) / (cured or 1.0)


def wet_film_kg_m2(coating: Coating, cured_mm: float | None) -> float | None:
    """What the wet film of a layer weighs [kg/m²]."""
    wet = wet_film_mm(coating, cured_mm)
    return None if wet is None else wet * MM * (coating.liquid_density_kg_m3 or 0.0)


def _former_quantity(zone: Zone, former: Former, materials: Mapping[str, Material]) -> BuiltIn:
    core = material_of(materials, former.material, Core)
    filled = zone.section.filled_mm2 if zone.section is not None else former.section_mm2
    volume = _given(zone.length_m, "length_m") * _given(filled, "section_mm2") * MM * MM
    return BuiltIn(former.material, "core", 0, 1, volume * core.density_kg_m3, 0.0, volume)


def _paste_quantity(zone: Zone, materials: Mapping[str, Material]) -> BuiltIn:
    if zone.paste is None or not isinstance(materials.get(zone.paste), Paste):
        raise NotComputable(f"no paste `{zone.paste}`")
    length = _given(zone.length_m, "length_m")
    return BuiltIn(zone.paste, "paste", 0, 1, length * _given(zone.kg_per_m, "kg_per_m"), m=length)


def stack_kg_m2(layers: Sequence[ResolvedLayer]) -> float:
    """Areal mass of the full layers, without overlaps [kg/m²]."""
    return sum([(r.plies.own_kg_m2 + r.plies.uptake_kg_m2) * r.layer.plies for r in layers if r.full])
