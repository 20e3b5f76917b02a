"""The layup sheet and the bill of materials as JSON and as comma-separated values."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from recipe_track.present.data.csv import Cell, csv_text
from recipe_track.present.data.values import plain_data, revision_json
from recipe_track.present.terminal.papers import TOTALLED
from recipe_track.present.words.sheet import (
    cautions,
    deviation_words,
    marks,
    part_changes,
    section_words,
    step_changes,
    warning_lines,
    zone_changes,
)
from recipe_track.review.papers.bill import MEASURED, Amount, Bill, BillItem, by_material

if TYPE_CHECKING:
    from recipe_track.review.papers.sheet import Sheet
    from recipe_track.review.papers.sheet_zones import SheetZone
    from recipe_track.review.papers.steps import Step


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
        "holds": plain_data(bill.holds),
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


def sheet_json(sheet: Sheet) -> dict[str, Any]:
    """The body of `sheet --json`."""
    return {
        "of": sheet.of,
        "model": sheet.model,
        "part": sheet.part,
        "hull": sheet.hull,
        "revision": revision_json(sheet.revision),
        "released": sheet.released,
        "marks": list(marks(sheet)),
        "warnings": list(warning_lines(sheet)),
        "previous": plain_data(sheet.previous),
        "changes": list(part_changes(sheet)),
        "zones": [_zone_json(zone) for zone in sheet.zones],
        "mixes": [{**plain_data(mix), "mix_kg": mix.mix_kg} for mix in sheet.mixes],
        "line_resin_kg": sheet.part_data.line_resin_kg if sheet.whole_part else None,
        "cautions": list(cautions(sheet)),
    }


def _step_json(zone: SheetZone, step: Step) -> dict[str, Any]:
    written = plain_data(step)
    del written["former"], written["kg_per_m"], written["shape"]
    return {**written, "section": section_words(step), "changes": list(step_changes(zone, step))}


def _zone_json(zone: SheetZone) -> dict[str, Any]:
    return {
        "zone": zone.name,
        "name": zone.zone.name,
        "extent": zone.zone.extent,
        "drawing": zone.zone.drawing,
        "steps": [_step_json(zone, step) for step in zone.steps],
        "changes": list(zone_changes(zone)),
        "mixes": [{**plain_data(mix), "mix_kg": mix.mix_kg} for mix in zone.mixes],
        "holds": plain_data(zone.holds),
        "deviations": [
            {"deviation": d.id, "state": d.state, "words": deviation_words(d)} for d in zone.deviations
        ],
    }
