"""The bill of materials as JSON, as text for purchasing and as comma-separated values."""

from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

from recipe_track.present.csv import Cell, csv_text
from recipe_track.present.figures import plain_data, revision_json, revision_words
from recipe_track.present.plain import visible
from recipe_track.present.units import ABSENT, percent, quantity, signed_quantity
from recipe_track.procedures.bill import MEASURED, Amount, Bill, BillItem, by_material

if TYPE_CHECKING:
    from rich.console import RenderableType

KIND_WORDS = {
    "reinforcement": "Reinforcements (kg of dry fibre)",
    "core": "Cores",
    "resin": "Resins",
    "coating": "Coatings",
    "paste": "Pastes",
}
TOTALLED = ("built_in_kg", "bought_kg", "cost")
NOTE = (
    "Bought is built in plus the part's wastage; resin left in the lines is bought on top. Consumables and "
    "setting up belong to the process cost and are not listed. Board and roll counts cover this list only."
)


def bill_json(bill: Bill) -> dict[str, Any]:
    """The body of `bill --json`: one entry a material, its items told apart by thickness and use."""
    return {
        "model": bill.model,
        "part": bill.part,
        "revision": revision_json(bill.revision),
        "against": revision_json(bill.against) if bill.against else None,
        "currency": bill.currency,
        "materials": [_material_json(name, items) for name, items in by_material(bill.items).items()],
        "total": _total_json(bill),
    }


def _total_json(bill: Bill) -> dict[str, Any]:
    """Weights and cost alone: areas of different materials do not add up to anything."""

    def summed(amount: Amount | None) -> dict[str, Any] | None:
        return {key: getattr(amount, key) for key in TOTALLED} if amount is not None else None

    before = bill.before
    delta = bill.total - before if before is not None else None
    return {**(summed(bill.total) or {}), "before": summed(before), "delta": summed(delta)}


def _material_json(name: str, items: tuple[BillItem, ...]) -> dict[str, Any]:
    first = items[0]
    compared = [item.before for item in items if item.before is not None]
    before = sum(compared, Amount()) if compared else None
    boards = [item.boards for item in items if item.boards is not None]
    lengths = [item.roll_length_m for item in items if item.roll_length_m is not None]
    return {
        "material": name,
        "name": first.name,
        "kind": first.kind,
        "supplier": first.supplier,
        "product_code": first.product_code,
        **_compared_json(sum((item.amount for item in items), Amount()), before),
        "boards": sum(boards) if boards else None,
        "roll_length_m": sum(lengths) if lengths else None,
        "items": [
            {
                "use": item.use,
                "thickness_mm": item.thickness_mm,
                **_compared_json(item.amount, item.before),
                "boards": item.boards,
                "roll_length_m": item.roll_length_m,
            }
            for item in items
        ],
    }


def _compared_json(amount: Amount, before: Amount | None) -> dict[str, Any]:
    return {
        **plain_data(amount),
        "before": plain_data(before),
        "delta": plain_data(amount - before) if before is not None else None,
    }


HEAD = (
    "material", "name", "kind", "use", "thickness_mm", "supplier", "product_code",
    *MEASURED, "boards", "roll_length_m", "cost", "currency",
)  # fmt: skip
COMPARED = (*MEASURED, "cost")


def bill_csv(bill: Bill) -> str:
    """One line an item, with the difference where the bill is held against another revision."""
    head = HEAD + (tuple(f"delta_{key}" for key in COMPARED) if bill.against else ())
    return csv_text(head, (_csv_row(item, bill) for item in bill.items))


def _csv_row(item: BillItem, bill: Bill) -> list[Cell]:
    amount = item.amount
    row: list[Cell] = [
        item.material, item.name, item.kind, item.use, item.thickness_mm, item.supplier, item.product_code,
        *(getattr(amount, key) for key in MEASURED),
        item.boards, item.roll_length_m, amount.cost, bill.currency if amount.cost is not None else None,
    ]  # fmt: skip
    if bill.against:
        row += [getattr(item.delta, key) if item.delta else None for key in COMPARED]
    return row


def bill_text(bill: Bill) -> "Iterator[RenderableType]":
    """A table per kind of material, and the total."""
    of = f"part {bill.part} of {bill.model}" if bill.part else bill.model
    yield f"Bill of materials: {visible(of)} at {revision_words(bill.revision)}"
    if bill.against:
        yield f"against {revision_words(bill.against)}"
    for kind, words in KIND_WORDS.items():
        items = [item for item in bill.items if item.kind == kind]
        if items:
            yield ""
            yield words
            yield _table(items, bill)
    yield ""
    yield f"total {_total_words(bill)}"
    yield ""
    yield NOTE


def _total_words(bill: Bill) -> str:
    total, before = bill.total, bill.before
    said = (
        f"built in {quantity('mass_kg', total.built_in_kg)}, bought {quantity('mass_kg', total.bought_kg)}, "
        f"cost {quantity('cost', total.cost, bill.currency)}"
    )
    if before is None:
        return said
    delta = total - before
    relative = percent(100 * delta.cost / before.cost) if delta.cost is not None and before.cost else ABSENT
    cost = signed_quantity("cost", delta.cost, bill.currency)
    return f"{said} ({signed_quantity('mass_kg', delta.bought_kg)}, {cost}, {relative})"


def _table(items: list[BillItem], bill: Bill) -> "RenderableType":
    from rich.table import Table
    from rich.text import Text

    table = Table(box=None, pad_edge=False, padding=(0, 2, 0, 0))
    table.add_column("material", overflow="fold")
    heads = ["built in", "bought", "to order", f"cost {visible(bill.currency or '')}"]
    for head in heads + ([f"against {bill.against.shown}"] if bill.against else []):
        table.add_column(Text(head), justify="right")
    for item in items:
        table.add_row(*(Text(cell) for cell in _cells(item, bill)))
    return table


def _cells(item: BillItem, bill: Bill) -> list[str]:
    cells = [
        item_words(item), measured_words(item, "built_in"), measured_words(item, "bought"),
        order_words(item), quantity("cost", item.amount.cost),
    ]  # fmt: skip
    return cells + ([_delta_words(item, bill)] if bill.against else [])


def item_words(item: BillItem) -> str:
    """`pvc-80 20 mm`, `vinylester-infusion, left in the lines`."""
    thickness = f" {item.thickness_mm:g} mm" if item.thickness_mm is not None else ""
    return f"{visible(item.material)}{thickness}{f', {item.use}' if item.use else ''}"


def measured_words(item: BillItem, which: str) -> str:
    """The measures by which the kind is bought: m² and kg of a fabric, m² and m³ of a core, else kg."""
    kg, m2, m3 = (getattr(item.amount, f"{which}_{unit}") for unit in ("kg", "m2", "m3"))
    if not kg:
        return ABSENT
    if item.kind == "reinforcement":
        return f"{m2:.1f} m²\n{kg:.1f} kg"
    if item.kind == "core":
        return f"{m2:.1f} m²\n{m3:.3f} m³" if m2 else f"{m3:.3f} m³"
    return f"{kg:.1f} kg"


def order_words(item: BillItem) -> str:
    """Whole boards or running metres, where the material says how it comes."""
    if not item.amount.bought_kg:
        return "no more"
    if item.boards is not None:
        return f"{item.boards} board{'s' if item.boards != 1 else ''}"
    return f"{item.roll_length_m:.1f} m of roll" if item.roll_length_m is not None else ""


def _delta_words(item: BillItem, bill: Bill) -> str:
    delta = item.delta
    assert delta is not None
    changed = any(abs(getattr(delta, key)) > 1e-9 for key in MEASURED) or abs(delta.cost or 0.0) > 0.005
    if not changed:
        return "same"
    return "\n".join((_bought_delta(item, delta), signed_quantity("cost", delta.cost, bill.currency)))


def _bought_delta(item: BillItem, delta: Amount) -> str:
    if item.kind in ("reinforcement", "core") and abs(delta.bought_m2) > 1e-9:
        return signed_quantity("area_m2", delta.bought_m2)
    if item.kind == "core" and abs(delta.bought_m3) > 1e-9:
        return f"{'+' if delta.bought_m3 > 0 else '−'}{abs(delta.bought_m3):.3f} m³"
    return signed_quantity("mass_kg", delta.bought_kg)
