"""Rules of parts, craft and price list: conditions, targets, and a price that fits for everything used."""

from collections import defaultdict
from collections.abc import Iterator

from recipe_track.errors import Fault
from recipe_track.recipe.materials import Core, Reinforcement, Resin
from recipe_track.recipe.paths import PRICES_PATH, model_path, part_of, part_path
from recipe_track.recipe.rules.names import unknown
from recipe_track.recipe.snapshot import Snapshot

BUILT_IN = ("light", "full")


def check_conditions(snapshot: Snapshot) -> Iterator[Fault]:
    """Names of conditions are not built in and not given twice; the targets' condition exists."""
    for tree in snapshot.models.values():
        path, seen = model_path(tree.id), set(BUILT_IN)
        for n, condition in enumerate(tree.model.condition):
            if condition.name in seen:
                message = f"there is a condition `{condition.name}` already"
                yield Fault(path, ("condition", n, "name"), "repeated-name", message)
            seen.add(condition.name)
        targets = tree.model.targets
        if targets and targets.condition not in seen:
            yield unknown(path, ("targets", "condition"), "condition", targets.condition, seen)


def check_ranges(snapshot: Snapshot) -> Iterator[Fault]:
    """A target range runs from its lower to its upper end."""
    for tree in snapshot.models.values():
        for key in ("lcg_m", "tcg_m"):
            limits = getattr(tree.model.targets, key, None)
            if limits and limits[0] > limits[1]:
                message = f"`{key}` runs from the lower to the upper end"
                yield Fault(model_path(tree.id), ("targets", key), "reversed-range", message)


def check_excitation(snapshot: Snapshot) -> Iterator[Fault]:
    """What shakes a craft has orders or frequencies; speeds say nothing without orders, and run upwards."""
    for tree in snapshot.models.values():
        shaken, path = tree.model.excitation, model_path(tree.id)
        if shaken is None:
            continue
        speeds = bool(shaken.steady_rpm or shaken.range_rpm)
        if not (shaken.orders or (shaken.hz and not speeds)):
            message = "what shakes the craft is stated as `orders` of a shaft, or in `hz`"
            yield Fault(path, ("excitation",), "excitation-incomplete", message, at="key")
        if shaken.range_rpm and shaken.range_rpm[0] > shaken.range_rpm[1]:
            message = "`range_rpm` runs from the lower to the upper end"
            yield Fault(path, ("excitation", "range_rpm"), "reversed-range", message)


def check_parts(snapshot: Snapshot) -> Iterator[Fault]:
    """The resin of a part is a resin."""
    resins = [n for n, m in snapshot.materials.items() if isinstance(m, Resin)]
    for tree in snapshot.models.values():
        for part in tree.parts.values():
            if part.part.resin not in resins:
                yield unknown(part_path(tree.id, part.id), ("resin",), "resin", part.part.resin, resins)


RULES = (check_conditions, check_ranges, check_excitation, check_parts)
PRICE_MEASURES = ("per_kg", "per_m2", "per_m3")


def check_price_list(snapshot: Snapshot) -> Iterator[Fault]:
    """A repository with zones has a price list."""
    if snapshot.prices is None and any(tree.zones for tree in snapshot.models.values()):
        hint = "write `currency`, `labour_per_hour` and a [materials] table"
        yield Fault(PRICES_PATH, (), "missing-prices", "there is no price list", hint)


def check_measures(snapshot: Snapshot) -> Iterator[Fault]:
    """A price has exactly one measure, and one that fits the material."""
    if snapshot.prices is None:
        return
    for name, price in snapshot.prices.materials.items():
        given = [m for m in PRICE_MEASURES if getattr(price, m) is not None]
        material = snapshot.materials.get(name)
        key = ("materials", name)
        if material is None:
            yield unknown(PRICES_PATH, key, "material", name, snapshot.materials, at="key")
        elif len(given) != 1:
            known, here = ", ".join(PRICE_MEASURES), " and ".join(given) or "none"
            message = f"a price takes exactly one of {known}; here {here}"
            yield Fault(PRICES_PATH, key, "not-one-measure", message)
        elif given[0] not in (fit := _fitting(material)):
            message = f"a {material.kind} is priced {' or '.join(fit)}, not {given[0]}"
            yield Fault(PRICES_PATH, (*key, given[0]), "unfit-measure", message, at="key")


def _fitting(material: object) -> tuple[str, ...]:
    if isinstance(material, Core):
        return PRICE_MEASURES
    return ("per_kg", "per_m2") if isinstance(material, Reinforcement) else ("per_kg",)


def materials_in_use(snapshot: Snapshot) -> dict[str, list[str]]:
    """Every bought material in use with the places that use it."""
    used: defaultdict[str, list[str]] = defaultdict(list)
    for tree in snapshot.models.values():
        for name, zone in tree.zones.items():
            here = f"{tree.id}: {name}"
            materials = {tree.parts[part_of(name)].part.resin, *(layer.material for layer in zone.layup)}
            materials |= {layer.resin for layer in zone.layup if layer.resin}
            materials |= {zone.paste} if zone.paste else set()
            materials |= {zone.former.material} if zone.former else set()
            for material in sorted(materials):
                used[material].append(here)
    return dict(used)


def check_prices(snapshot: Snapshot) -> Iterator[Fault]:
    """Every used material has a price."""
    if snapshot.prices is None:
        return
    for material, places in materials_in_use(snapshot).items():
        if material in snapshot.materials and material not in snapshot.prices.materials:
            shown = ", ".join(places[:3]) + (f" and {len(places) - 3} more" if len(places) > 3 else "")
            message, hint = f"no price of `{material}`, used in {shown}", f"add a line for {material}"
            yield Fault(PRICES_PATH, ("materials",), "missing-price", message, hint, at="key", name=material)


def check_formers(snapshot: Snapshot) -> Iterator[Fault]:
    """A former has a volume, not an area: its core is priced by kg or m³."""
    if snapshot.prices is None:
        return
    for tree in snapshot.models.values():
        for name, zone in tree.zones.items():
            price = snapshot.prices.materials.get(zone.former.material) if zone.former else None
            if zone.former and price and price.per_m2 is not None:
                message = (
                    f"`{zone.former.material}` is the former of {tree.id} {name}: price it per_kg or per_m3"
                )
                key = ("materials", zone.former.material, "per_m2")
                yield Fault(PRICES_PATH, key, "former-by-area", message, at="key", name=name)


PRICE_RULES = (check_price_list, check_measures, check_prices, check_formers)
