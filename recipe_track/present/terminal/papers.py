"""The layup sheet and the bill of materials as text."""

from collections.abc import Iterator

from rich.console import RenderableType

from recipe_track.present.terminal.tables import TableColumn, table, words_columns
from recipe_track.present.words.figures import revision_words
from recipe_track.present.words.plain import headed, visible
from recipe_track.present.words.records import hold_line
from recipe_track.present.words.sheet import (
    FLIPPED,
    cautions,
    cut_words,
    deviation_words,
    heading_lines,
    holds_for,
    marks,
    mix_words,
    orientation_words,
    part_changes,
    plies_words,
    remarks,
    since_words,
    step_changes,
    thickness_words,
    warning_lines,
    zone_changes,
    zone_lines,
)
from recipe_track.present.words.units import (
    ABSENT,
    change_in,
    figure_in,
    percent,
    quantity,
    signed_quantity,
    stated,
)
from recipe_track.review.papers.bill import MEASURED, Amount, Bill, BillItem
from recipe_track.review.papers.sheet import Sheet
from recipe_track.review.papers.sheet_zones import SheetZone
from recipe_track.review.papers.steps import Step

KIND_WORDS = {
    "reinforcement": "Reinforcements (kg of dry fibre)",
    "core": "Cores",
    "resin": "Resins",
    "coating": "Coatings",
    "paste": "Pastes",
}
TOTALLED = ("built_in_kg", "bought_kg", "cost")
NOTE = (
    "Bought is built in plus the part's wastage, of a coating what goes on the gun plus it; one without a "
    "liquid density is listed as cured, and the gun needs more. Resin left in the lines is bought on top. "
    "Consumables and setting up belong to the process cost and are not listed. Board and roll counts cover "
    "this list only."
)


def bill_text(bill: Bill) -> Iterator[RenderableType]:
    """A table per kind of material, and the total."""
    of = f"part {bill.part} of {bill.model}" if bill.part else bill.model
    yield f"Bill of materials: {visible(of)} at {revision_words(bill.revision)}"
    if bill.against:
        yield f"against {revision_words(bill.against)}"
    yield from map(hold_line, bill.holds)
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


def _table(items: list[BillItem], bill: Bill) -> RenderableType:
    heads = ["built in", "bought", "to order", f"cost {visible(bill.currency or '')}"]
    heads += [f"against {bill.against.shown}"] if bill.against else []
    columns = (TableColumn("material"), *(TableColumn(head, right=True) for head in heads))
    return table(columns, (_cells(item, bill) for item in items))


def _cells(item: BillItem, bill: Bill) -> list[str]:
    cells = [
        item_words(item), measured_words(item, "built_in"), measured_words(item, "bought"),
        order_words(item), quantity("cost", item.amount.cost),
    ]  # fmt: skip
    return cells + ([_delta_words(item, bill)] if bill.against else [])


def item_words(item: BillItem) -> str:
    """`pvc-80 20 mm`, `vinylester-infusion, left in the lines`."""
    thickness = f" {stated('thickness_mm', item.thickness_mm)}" if item.thickness_mm is not None else ""
    return f"{visible(item.material)}{thickness}{f', {item.use}' if item.use else ''}"


def measured_words(item: BillItem, which: str) -> str:
    """The measures by which the kind is bought: m² and kg of a fabric, m² and m³ of a core, else kg."""
    amount = item.amount
    if not getattr(amount, f"{which}_kg"):
        return ABSENT
    kg, m2, m3 = (figure_in(amount, f"{which}_{unit}") for unit in ("kg", "m2", "m3"))
    if item.kind == "reinforcement":
        return f"{m2}\n{kg}"
    if item.kind == "core":
        return f"{m2}\n{m3}" if getattr(amount, f"{which}_m2") else m3
    return kg


def order_words(item: BillItem) -> str:
    """Whole boards or running metres, where the material says how it comes."""
    if not item.amount.bought_kg:
        return "no more"
    if item.boards is not None:
        return f"{item.boards} board{'s' if item.boards != 1 else ''}"
    return f"{figure_in(item, 'roll_length_m')} of roll" if item.roll_length_m is not None else ""


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
        return change_in(delta, "bought_m3")
    return signed_quantity("mass_kg", delta.bought_kg)


VOID = "An older print of this sheet is void."
MIX_HEADS = ("stage", "process", "resin", "in laminate", "reserve", "to mix")


def sheet_text(sheet: Sheet) -> Iterator[RenderableType]:
    """The sheet at 80 columns, tick boxes in brackets."""
    for mark in marks(sheet):
        yield f"=== {mark} === {mark} === {mark} ==="
    yield headed("LAYUP SHEET  ", visible(holds_for(sheet)))
    yield from (headed(f"{label + ':':<9}", visible(words)) for label, words in heading_lines(sheet))
    yield from (headed("! ", visible(line)) for line in warning_lines(sheet))
    yield ""
    yield from (headed("- ", line) for line in cautions(sheet))
    yield ""
    yield visible(since_words(sheet))
    yield from (headed("* ", visible(line)) for line in part_changes(sheet))
    for zone in sheet.zones:
        yield ""
        yield from _zone_text(zone, sheet)
    yield ""
    yield "RESIN TO HAVE READY, reserve included"
    yield _mix_table(sheet)
    yield from line_resin_lines(sheet)
    yield ""
    yield f"Holds only for {visible(holds_for(sheet))}. {VOID}"
    for mark in marks(sheet):
        yield f"=== {mark} === {mark} === {mark} ==="


def line_resin_lines(sheet: Sheet) -> Iterator[str]:
    """The resin that stays in the lines, on the sheet of the whole part only."""
    if not sheet.part_data.line_resin_kg:
        return
    if sheet.whole_part:
        kg, resin = stated("line_resin_kg", sheet.part_data.line_resin_kg), sheet.part_data.resin
        yield f"Line resin: {kg} more stay in the lines ({resin})."
    else:
        yield "Line resin is on the sheet of the whole part."


def _zone_text(zone: SheetZone, sheet: Sheet) -> Iterator[RenderableType]:
    yield "-" * 78
    yield f"ZONE {visible(zone.name)}  {visible(zone.zone.name or '')}".rstrip()
    yield from (headed(f"{label + ':':<16}", visible(words)) for label, words in zone_lines(zone))
    yield from map(hold_line, zone.holds)
    yield from (visible(deviation_words(shown)) for shown in zone.deviations)
    yield from (headed("* ", visible(line)) for line in zone_changes(zone))
    yield ""
    yield _step_table(zone, sheet)
    yield "Laid by ______________  Checked by ______________  Date ____________"


def _step_table(zone: SheetZone, sheet: Sheet) -> RenderableType:
    return table(STEP_COLUMNS, (_step_cells(zone, step, sheet) for step in zone.steps), apart=1, below=1)


STEP_COLUMNS = (
    TableColumn("no.", right=True),
    TableColumn("mould side first", ratio=5),
    TableColumn("thickness", ratio=2),
    TableColumn("cut, with waste", ratio=3),
    TableColumn("done, batch", ratio=2),
)


def _step_cells(zone: SheetZone, step: Step, sheet: Sheet) -> tuple[str, ...]:
    what = "\n".join(_step_lines(zone, step, sheet))
    done = f"{boxes(step)}\n________"
    return number_words(step), what, thickness_words(step), cut_words(step), done


def number_words(step: Step) -> str:
    """The line of the layup; a former comes first, a joint has only its paste."""
    return {"former": "former", "paste": "paste"}.get(step.kind, str(step.line))


def boxes(step: Step) -> str:
    """A box to tick per ply; many plies share a row of boxes."""
    return "[ ]" * min(step.plies, 8) + (f" of {step.plies}" if step.plies > 8 else "")


def _step_lines(zone: SheetZone, step: Step, sheet: Sheet) -> Iterator[str]:
    yield " ".join(filter(None, (visible(step.name or ""), f"[{visible(step.material)}]", plies_words(step))))
    if said := orientation_words(step, zone):
        yield visible(said)
    if step.flipped:
        yield FLIPPED
    yield from (visible(remark) for remark in remarks(step, sheet))
    yield from (f"* {visible(change)}" for change in step_changes(zone, step))
    yield from (f"! {words}" for words in step_permits(zone, step))


def step_permits(zone: SheetZone, step: Step) -> Iterator[str]:
    """The deviations of this hull that are about a step."""
    for shown in zone.deviations:
        if any(layer.line == step.line for layer in shown.deviation.layers):
            yield f"see {shown.id} above"


def _mix_table(sheet: Sheet) -> RenderableType:
    return table(words_columns(*MIX_HEADS), (tuple(map(visible, mix_words(mix))) for mix in sheet.mixes))
