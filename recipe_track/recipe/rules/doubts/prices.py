"""Prices and labour in the currencies whose price level is known."""

from collections.abc import Iterator, Mapping

from recipe_track.errors import Fault, Key
from recipe_track.recipe.craft import Price
from recipe_track.recipe.materials import Coating, Core, Fibre, Material, Paste, Reinforcement, Resin
from recipe_track.recipe.ordinary import Spot, doubt, out_of, outside, slip, written
from recipe_track.recipe.paths import PRICES_PATH, part_path
from recipe_track.recipe.quantities import Ordinary
from recipe_track.recipe.rules.doubts.materials import CARBON_DENSITY, GLASS_DENSITY
from recipe_track.recipe.snapshot import Snapshot

CURRENCIES = ("EUR", "USD", "GBP", "CHF")
GLASS_KG = Ordinary(1, 20, of=" of glass")
CARBON_KG = Ordinary(15, 120, of=" of carbon")
OTHER_KG = Ordinary(1, 120)
LIQUID_KG = Ordinary(2, 40)
FABRIC_M2 = Ordinary(1, 80)
CORE_M3 = Ordinary(300, 6000)
CORE_MM = (3, 60)
LABOUR_HOUR = Ordinary(15, 150)
LABOUR = Ordinary(1, 60, also=(0,))
CONSUMABLES = Ordinary(0, 80, "for the whole part")


def note_prices(snapshot: Snapshot) -> Iterator[Fault]:
    """A price lies where such a material is ordinarily bought."""
    prices = snapshot.prices
    if prices is None or prices.currency not in CURRENCIES:
        return
    yield from out_of(
        Spot(PRICES_PATH, prices, (), "labour_per_hour"), prices.labour_per_hour, LABOUR_HOUR,
        unit=f"{prices.currency}/h",
    )  # fmt: skip
    for name, price in prices.materials.items():
        material = snapshot.materials.get(name)
        if material is not None:
            yield from _price(price, ("materials", name), material, snapshot.materials, prices.currency)


def _price(
    price: Price, at: Key, material: Material, materials: Mapping[str, Material], currency: str
) -> Iterator[Fault]:
    ranges = _ranges(material, materials)
    for key, ordinary in ranges.items():
        value = getattr(price, key)
        if value is not None and outside(value, ordinary):
            spot = Spot(PRICES_PATH, price, at, key)
            unit = f"{currency}/{key.removeprefix('per_').replace('m2', 'm²').replace('m3', 'm³')}"
            ends = f"ordinarily {written(ordinary.low)} to {written(ordinary.high)} {unit}"
            message = f"`{at[-1]}` {written(value)} {unit}: {ends}{ordinary.of}"
            hint = _other_measure(value, key, ranges, material) or slip(value, ordinary, "¤")
            yield from doubt(spot, "unlikely-price", message, hint.replace("¤", unit))
    for key in ("labour_min_per_m2", "labour_min_per_m"):
        yield from out_of(Spot(PRICES_PATH, price, at, key), getattr(price, key), LABOUR)


def _ranges(material: Material, materials: Mapping[str, Material]) -> dict[str, Ordinary]:
    if isinstance(material, Reinforcement):
        return {"per_kg": _fibre_range(material, materials), "per_m2": FABRIC_M2}
    if isinstance(material, Core):
        density = material.density_kg_m3
        by_kg = Ordinary(CORE_M3.low / density, CORE_M3.high / density, of=" of such a core")
        low, high = (mm * 1e-3 * end for mm, end in zip(CORE_MM, (CORE_M3.low, CORE_M3.high), strict=True))
        return {"per_kg": by_kg, "per_m2": Ordinary(low, high), "per_m3": CORE_M3}
    return {"per_kg": LIQUID_KG} if isinstance(material, Resin | Coating | Paste) else {}


def _fibre_range(fabric: Reinforcement, materials: Mapping[str, Material]) -> Ordinary:
    fibres = [materials.get(direction.fibre or fabric.fibre) for direction in fabric.directions]
    known = {_kind(fibre) for fibre in fibres}
    if known == {"glass"}:
        return GLASS_KG
    return CARBON_KG if known == {"carbon"} else OTHER_KG


def _kind(fibre: Material | None) -> str:
    if not isinstance(fibre, Fibre):
        return ""
    if not outside(fibre.density_kg_m3, GLASS_DENSITY):
        return "glass"
    return "" if outside(fibre.density_kg_m3, CARBON_DENSITY) else "carbon"


def _other_measure(value: float, key: str, ranges: Mapping[str, Ordinary], material: Material) -> str:
    """A price by m² that stands under kg, and the other way round."""
    if not isinstance(material, Reinforcement):
        return ""
    kg_m2 = material.areal_mass_g_m2 * 1e-3
    other, meant = ("per_m2", value / kg_m2) if key == "per_kg" else ("per_kg", value * kg_m2)
    if outside(meant, ranges[key]) or outside(value, ranges[other]):
        return ""
    return f"a price `{other}`? it would be {written(round(meant, 2))} `{key}`"


def note_consumables(snapshot: Snapshot) -> Iterator[Fault]:
    """Consumables are stated by the square metre."""
    prices = snapshot.prices
    if prices is None or prices.currency not in CURRENCIES:
        return
    for tree in snapshot.models.values():
        for part in tree.parts.values():
            spot = Spot(part_path(tree.id, part.id), part.part, (), "consumables_per_m2")
            yield from out_of(spot, part.part.consumables_per_m2, CONSUMABLES, unit=f"{prices.currency}/m²")


NOTES = (note_prices, note_consumables)
