"""The layup sheet as JSON and as text; `sheet_page` makes the printable one."""

from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

from recipe_track.present.figures import plain_data, revision_json
from recipe_track.present.lines import beside
from recipe_track.present.plain import visible
from recipe_track.present.sheet_words import (
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
from recipe_track.procedures.sheet import Sheet
from recipe_track.procedures.sheet_steps import Step
from recipe_track.procedures.sheet_zones import SheetZone

if TYPE_CHECKING:
    from rich.console import RenderableType

VOID = "An older print of this sheet is void."
MIX_HEADS = ("stage", "process", "resin", "in laminate", "reserve", "to mix")


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


def _zone_json(zone: SheetZone) -> dict[str, Any]:
    return {
        "zone": zone.name,
        "name": zone.zone.name,
        "extent": zone.zone.extent,
        "drawing": zone.zone.drawing,
        "steps": [{**plain_data(s), "changes": list(step_changes(zone, s))} for s in zone.steps],
        "changes": list(zone_changes(zone)),
        "mixes": [{**plain_data(mix), "mix_kg": mix.mix_kg} for mix in zone.mixes],
        "holds": plain_data(zone.holds),
        "deviations": [
            {"deviation": d.id, "state": d.state, "words": deviation_words(d)} for d in zone.deviations
        ],
    }


def sheet_text(sheet: Sheet) -> "Iterator[RenderableType]":
    """The sheet at 80 columns, tick boxes in brackets."""
    for mark in marks(sheet):
        yield f"=== {mark} === {mark} === {mark} ==="
    yield beside("LAYUP SHEET  ", visible(holds_for(sheet)))
    yield from (beside(f"{label + ':':<9}", visible(words)) for label, words in heading_lines(sheet))
    yield from (beside("! ", visible(line)) for line in warning_lines(sheet))
    yield ""
    yield from (beside("- ", line) for line in cautions(sheet))
    yield ""
    yield visible(since_words(sheet))
    yield from (beside("* ", visible(line)) for line in part_changes(sheet))
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
        kg, resin = sheet.part_data.line_resin_kg, sheet.part_data.resin
        yield f"Line resin: {kg:g} kg more stay in the lines ({resin})."
    else:
        yield "Line resin is on the sheet of the whole part."


def _zone_text(zone: SheetZone, sheet: Sheet) -> "Iterator[RenderableType]":
    yield "-" * 78
    yield f"ZONE {visible(zone.name)}  {visible(zone.zone.name or '')}".rstrip()
    yield from (beside(f"{label + ':':<16}", visible(words)) for label, words in zone_lines(zone))
    yield from (beside("HOLD ", f"{visible(hold.record)}: {visible(hold.reason)}") for hold in zone.holds)
    yield from (visible(deviation_words(shown)) for shown in zone.deviations)
    yield from (beside("* ", visible(line)) for line in zone_changes(zone))
    yield ""
    yield _step_table(zone, sheet)
    yield "Laid by ______________  Checked by ______________  Date ____________"


def _step_table(zone: SheetZone, sheet: Sheet) -> "RenderableType":
    from rich.table import Table
    from rich.text import Text

    table = Table(box=None, pad_edge=False, padding=(0, 1, 1, 0))
    table.add_column("no.", justify="right")
    table.add_column("mould side first", ratio=5, overflow="fold")
    table.add_column("thickness", ratio=2, overflow="fold")
    table.add_column("cut, with waste", ratio=3, overflow="fold")
    table.add_column("done, batch", ratio=2, overflow="fold")
    for step in zone.steps:
        cells = (
            number_words(step), "\n".join(_step_lines(zone, step, sheet)), thickness_words(step),
            cut_words(step), f"{boxes(step)}\n________",
        )  # fmt: skip
        table.add_row(*(Text(cell) for cell in cells))
    return table


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


def _mix_table(sheet: Sheet) -> "RenderableType":
    from rich.table import Table
    from rich.text import Text

    table = Table(box=None, pad_edge=False, padding=(0, 2, 0, 0))
    for head in MIX_HEADS:
        table.add_column(head, overflow="fold")
    for mix in sheet.mixes:
        table.add_row(*(Text(visible(cell)) for cell in mix_words(mix)))
    return table
