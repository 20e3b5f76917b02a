"""The bill of materials of a model or a part: what is built in, what is bought, what it costs."""

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Annotated

from recipe_track.errors import CallError
from recipe_track.figures.cases import ZoneCase, resolve_zone
from recipe_track.figures.costs import BuiltIn, built_in_cost, price_of, wastage_of
from recipe_track.figures.craft import zone_cases
from recipe_track.recipe.craft import Part, Prices
from recipe_track.recipe.materials import Core, Material, Reinforcement
from recipe_track.recipe.paths import part_of
from recipe_track.recipe.quantities import COST, THICKNESS, Quantity, quantities_of
from recipe_track.recipe.rules.names import nearest
from recipe_track.recipe.snapshot import ModelTree, Snapshot
from recipe_track.recipe.states import Hold, holds_of_part
from recipe_track.workspace import Revision, Workspace

ItemKey = tuple[str, str, float | None]
IN_LINES = "left in the lines"


@dataclass(frozen=True, slots=True)
class Amount:
    """So much of a material: weight, area and volume where they have a meaning, and its cost as bought."""

    built_in_kg: Annotated[float, Quantity("built in", decimals=1)] = 0.0
    built_in_m2: Annotated[float, Quantity("built in", decimals=1)] = 0.0
    built_in_m3: Annotated[float, Quantity("built in", decimals=3)] = 0.0
    bought_kg: Annotated[float, Quantity("bought", decimals=1)] = 0.0
    bought_m2: Annotated[float, Quantity("bought", decimals=1)] = 0.0
    bought_m3: Annotated[float, Quantity("bought", decimals=3)] = 0.0
    cost: Annotated[float | None, COST] = 0.0

    def __add__(self, other: "Amount") -> "Amount":
        return self._with(other, 1.0)

    def __sub__(self, other: "Amount") -> "Amount":
        return self._with(other, -1.0)

    def _with(self, other: "Amount", sign: float) -> "Amount":
        cost = None if self.cost is None or other.cost is None else self.cost + sign * other.cost
        sums = {key: getattr(self, key) + sign * getattr(other, key) for key in MEASURED}
        return Amount(**sums, cost=cost)


MEASURED = tuple(key for key in quantities_of(Amount) if key != "cost")


@dataclass(frozen=True, slots=True)
class BillItem:
    """One thing to buy: a material, of a core one thickness; whole boards, running metres of roll."""

    material: str
    name: str | None
    kind: str
    use: str
    thickness_mm: Annotated[float | None, THICKNESS]
    supplier: str | None
    product_code: str | None
    amount: Amount
    boards: Annotated[int | None, Quantity("boards", decimals=0)] = None
    roll_length_m: Annotated[float | None, Quantity("of roll", decimals=1)] = None
    before: Amount | None = None

    @property
    def delta(self) -> Amount | None:
        """What is more or less than before; None where nothing is compared."""
        return self.amount - self.before if self.before is not None else None


@dataclass(frozen=True, slots=True)
class Bill:
    """Every thing to buy for a model or one part, by kind and material, at one revision."""

    of: str
    model: str
    part: str | None
    revision: Revision
    against: Revision | None
    currency: str | None
    items: tuple[BillItem, ...]
    holds: tuple[Hold, ...] = ()

    @property
    def total(self) -> Amount:
        """All items together; areas and volumes of different materials are not worth reading."""
        return sum((item.amount for item in self.items), Amount())

    @property
    def before(self) -> Amount | None:
        """All items together as they were before."""
        if self.against is None:
            return None
        return sum((item.before for item in self.items if item.before is not None), Amount())


def bill_of(ws: Workspace, of: str, model: str | None, at: str | None, against: str | None) -> Bill:
    """The bill at a revision (the working files by default), held against another one where asked for.

    Raises CallError where there is no such model or part at the revision.
    """
    typed = model or (of if of in ws.model_names else ws.only_model(None))
    revision = ws.revision(at or ws.default_text(), typed)
    snapshot = ws.snapshot(revision)
    chosen = ws.model_of(of if of in snapshot.models and model is None else model, snapshot)
    part = None if of == chosen else of
    _require_part(snapshot.models[chosen], part)
    items = _items(snapshot, chosen, part)
    currency = snapshot.prices.currency if snapshot.prices else None
    held = holds_of_part(ws.current(), chosen, part)
    if against is None:
        return Bill(of, chosen, part, revision, None, currency, _sorted(items.values()), held)
    earlier = ws.revision(against, chosen)
    old = ws.snapshot(earlier)
    known = _items(old, chosen, part) if chosen in old.models else {}
    same_money = old.prices is not None and old.prices.currency == currency
    compared = _compared(items, known, same_money)
    return Bill(of, chosen, part, revision, earlier, currency, _sorted(compared), held)


def _require_part(tree: ModelTree, part: str | None) -> None:
    if part is not None and part not in tree.parts:
        raise CallError(f"there is no model or part `{part}`", nearest(part, [tree.id, *tree.parts]))


def _compared(
    items: Mapping[ItemKey, BillItem], known: Mapping[ItemKey, BillItem], same_money: bool
) -> Iterator[BillItem]:
    """Items of either side; one that is gone stays with nothing of it."""
    for key in {**items, **known}:
        item = items.get(key) or _gone(known[key])
        before = known[key].amount if key in known else Amount()
        yield replace(item, before=before if same_money else replace(before, cost=None))


def _gone(item: BillItem) -> BillItem:
    return replace(item, amount=Amount(), boards=item.boards and 0, roll_length_m=item.roll_length_m and 0.0)


KIND_ORDER = ("reinforcement", "core", "resin", "coating", "paste")


def _sorted(items: Iterable[BillItem]) -> tuple[BillItem, ...]:
    def place(item: BillItem) -> tuple[int, str, str, float]:
        return (KIND_ORDER.index(item.kind), item.material, item.use, item.thickness_mm or 0.0)

    return tuple(sorted(items, key=place))


def _items(snapshot: Snapshot, model: str, part: str | None) -> dict[ItemKey, BillItem]:
    tree = snapshot.models[model]
    amounts: dict[ItemKey, Amount] = {}
    kinds: dict[ItemKey, str] = {}
    for case in zone_cases(snapshot, tree):
        if part is None or part_of(case.name) == part:
            for quantity in resolve_zone(case, {}).quantities:
                key = _key(case, quantity)
                kinds[key] = quantity.kind
                amounts[key] = amounts.get(key, Amount()) + _amount(quantity, case.part, snapshot.prices)
    for key, amount in _line_resin(snapshot, tree, part):
        kinds[key] = "resin"
        amounts[key] = amounts.get(key, Amount()) + amount
    return {key: _item(key, kinds[key], amount, snapshot.materials) for key, amount in amounts.items()}


def _key(case: ZoneCase, quantity: BuiltIn) -> ItemKey:
    """Material, use and, of a core, its thickness: boards of one foam in two thicknesses are two things."""
    if quantity.kind != "core":
        return quantity.material, "", None
    if quantity.line == 0:
        return quantity.material, "formers", None
    return quantity.material, "", case.zone.layup[quantity.line - 1].thickness_mm


def _amount(quantity: BuiltIn, part: Part, prices: Prices | None) -> Amount:
    bought = 1 + wastage_of(part.wastage_fraction, quantity.kind)
    cost = built_in_cost(quantity, part, prices).material if prices is not None else None
    return Amount(
        quantity.kg, quantity.m2, quantity.m3,
        quantity.used_kg * bought, quantity.m2 * bought, quantity.m3 * bought, cost,
    )  # fmt: skip


def _line_resin(snapshot: Snapshot, tree: ModelTree, only: str | None) -> Iterator[tuple[ItemKey, Amount]]:
    """Resin that stays in the lines: bought, never built in, and without wastage on top."""
    for name, part in tree.parts.items():
        kg = part.part.line_resin_kg
        if kg and only in (None, name):
            cost = None
            if snapshot.prices is not None:
                cost = kg * (price_of(snapshot.prices, part.part.resin).per_kg or 0.0)
            yield (part.part.resin, IN_LINES, None), Amount(bought_kg=kg, cost=cost)


def _item(key: ItemKey, kind: str, amount: Amount, materials: Mapping[str, Material]) -> BillItem:
    name, use, thickness = key
    material = materials[name]
    return BillItem(
        name, material.name, kind, use, thickness,
        getattr(material, "supplier", None), getattr(material, "product_code", None), amount,
        boards_of(material, amount.bought_m2), roll_length_of(material, amount.bought_m2),
    )  # fmt: skip


def boards_of(material: Material, bought_m2: float) -> int | None:
    """Whole boards, where the core states its board and an area is laid."""
    if not isinstance(material, Core) or material.board_m2 is None or bought_m2 == 0:
        return None
    return math.ceil(round(bought_m2 / material.board_m2, 9))


def roll_length_of(material: Material, bought_m2: float) -> float | None:
    """Running metres off the roll, where the reinforcement states its width [m]."""
    if not isinstance(material, Reinforcement) or material.roll_width_m is None:
        return None
    return bought_m2 / material.roll_width_m


def by_material(items: Sequence[BillItem]) -> dict[str, tuple[BillItem, ...]]:
    """The items of each material, in their order."""
    groups: dict[str, list[BillItem]] = {}
    for item in items:
        groups.setdefault(item.material, []).append(item)
    return {name: tuple(group) for name, group in groups.items()}
