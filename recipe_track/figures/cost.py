"""What a zone and a part cost: material as bought, labour as laid, and what the process itself takes."""

from collections.abc import Iterable
from dataclasses import dataclass

from recipe_track.figures.lookup import NotComputable
from recipe_track.figures.quantities import Quantity
from recipe_track.recipe.craft import Part, Price, Prices, Wastage


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


def quantity_cost(quantity: Quantity, part: Part, prices: Prices) -> Cost:
    """Built-in quantity with its wastage at its price, and the minutes to place it."""
    price = price_of(prices, quantity.material)
    bought = 1 + wastage_of(part.wastage_fraction, quantity.kind)
    minutes = price.labour_min_per_m2 * quantity.m2 + price.labour_min_per_m * quantity.m
    return Cost(_measure_price(quantity, price) * bought, minutes * prices.labour_per_hour / 60)


def _measure_price(quantity: Quantity, price: Price) -> float:
    if price.per_kg is not None:
        return quantity.kg * price.per_kg
    if price.per_m2 is not None:
        if quantity.m2 == 0 and quantity.kg > 0:
            raise NotComputable(f"`{quantity.material}` is priced per m² but has no area here")
        return quantity.m2 * price.per_m2
    if price.per_m3 is not None:
        if quantity.m3 == 0 and quantity.kg > 0:
            raise NotComputable(f"`{quantity.material}` is priced per m³ but has no volume here")
        return quantity.m3 * price.per_m3
    raise NotComputable(f"no price of `{quantity.material}`")


def total_cost(quantities: Iterable[Quantity], part: Part, prices: Prices) -> Cost:
    """Sum of the cost of everything built into a zone."""
    costs = [quantity_cost(q, part, prices) for q in quantities]
    return Cost(sum(c.material for c in costs), sum(c.labour for c in costs))


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
