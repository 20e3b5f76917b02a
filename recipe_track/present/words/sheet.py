"""What a layup sheet says, in the words of the shop; text and page say the same."""

from collections.abc import Iterator
from math import sqrt

from recipe_track.impact.rows import Row
from recipe_track.present.words.figures import day_words
from recipe_track.present.words.layers import layer_words
from recipe_track.present.words.records import hold_line
from recipe_track.present.words.units import (
    ABSENT,
    angle_words,
    as_given,
    as_in,
    figure_in,
    in_percent,
    signed_as_given,
    stated,
    whole_number,
)
from recipe_track.recipe.layup import Former, Section, girth_mm
from recipe_track.recipe.quantities import quantities_of, words_of
from recipe_track.review.hull.zones import DeviationShown, state_in_words
from recipe_track.review.papers.sheet import Sheet
from recipe_track.review.papers.sheet_zones import Difference, SheetZone
from recipe_track.review.papers.steps import Mix, Step, axis_deg, processes_of

PROCESS_WORDS = {
    "infusion": "infusion",
    "vacuum-bag": "vacuum bag",
    "hand-layup": "hand lay-up",
    "spray-up": "spray-up",
}
CAUTIONS = (
    "The product's safety data sheet and the local rules come before this sheet.",
    "Styrene: ventilate, and wear a respirator where the exposure asks for it.",
    "Peroxide initiator: goggles and gloves. Never mix initiator and accelerator directly with each other.",
    "Initiator quantity: from the resin's data sheet for the temperature of the day; this sheet gives none.",
    "Mix resin by stage and in pots you can use up: it heats in the pot and in thick laminates (exotherm).",
    "Dust of glass and cured laminate: mask, extraction, covered skin.",
)
DROP_TEST = "Vacuum: pass the drop test before the resin is let in."


def cautions(sheet: Sheet) -> tuple[str, ...]:
    """The usual shop cautions, the one for vacuum where there is one."""
    vacuum = processes_of(sheet.mixes) & {"infusion", "vacuum-bag"}
    return (*CAUTIONS, DROP_TEST) if vacuum else CAUTIONS


def marks(sheet: Sheet) -> tuple[str, ...]:
    """What stands across every page."""
    said = [] if sheet.released else ["NOT RELEASED"]
    return (*said, "HOLD") if sheet.holds else tuple(said)


def release_words(sheet: Sheet) -> str:
    """`r8`, or what the files are where they are not released."""
    if sheet.released:
        return sheet.revision.shown
    return "working files" if sheet.revision.commit is None else f"{sheet.revision.shown}, not released"


def holds_for(sheet: Sheet) -> str:
    """For which hull and release the sheet holds."""
    commit = f", commit {sheet.revision.commit}" if sheet.revision.commit else ", no commit"
    hull = f"hull {sheet.hull}" if sheet.hull else "no hull named"
    return f"{sheet.of} · {hull} · {release_words(sheet)}{commit}"


def heading_lines(sheet: Sheet) -> Iterator[tuple[str, str]]:
    """What stands on top: label and words."""
    yield "Yard", sheet.yard or "–"
    yield "Model", f"{sheet.model_name} ({sheet.model})" if sheet.model_name else sheet.model
    named = sheet.part_data.name
    yield "Part", f"{named} ({sheet.part})" if named else sheet.part
    state = f" (part: {sheet.state})" if sheet.state else ""
    unnamed = "none named" + (": for every hull built to this release" if sheet.released else "")
    yield "Hull", f"{sheet.hull}{state}" if sheet.hull else unnamed
    dated = f" of {day_words(sheet.revision.date)}" if sheet.revision.date else ""
    yield "Release", f"{release_words(sheet)}{dated}"
    yield "Process", PROCESS_WORDS[sheet.part_data.process]


def warning_lines(sheet: Sheet) -> Iterator[str]:
    """What to settle before anything is laid."""
    if not sheet.released:
        yield "NOT RELEASED: these files are no release; do not build from this sheet."
    for hold in sheet.holds:
        yield f"{hold_line(hold)}. Do not start before it is decided."
    yield from sheet.warnings


def since_words(sheet: Sheet) -> str:
    """Against what changes are marked."""
    if sheet.previous is None:
        return "No earlier hull to compare with, so no change is marked"
    return f"Marks show what is not as on hull {sheet.previous.hull} ({sheet.previous.revision})"


def part_changes(sheet: Sheet) -> Iterator[str]:
    """What changed of the whole part since the hull before."""
    yield from (difference_words(d) for d in sheet.differences)
    for name in sheet.gone:
        yield f"NO LONGER: zone {name}"


def difference_words(difference: Difference) -> str:
    """`CHANGED area [m²]: was 2.5, now 2.6`."""
    unit = f" [{difference.unit}]" if difference.unit else ""
    return f"CHANGED {difference.what}{unit}: was {_value(difference.before)}, now {_value(difference.after)}"


def _value(value: object) -> str:
    if value is None:
        return ABSENT
    if isinstance(value, Former):
        area = value.section_mm2
        return value.material if area is None else f"{value.material} {stated('section_mm2', area)}"
    if isinstance(value, Section):
        return hat_words(value)
    return as_given(value) if isinstance(value, float) else str(value)


def zone_changes(zone: SheetZone) -> Iterator[str]:
    """What changed of a zone beside its steps, and the layers that are laid no longer."""
    if zone.is_new:
        yield "NEW: the hull before has no such zone"
    yield from (difference_words(d) for d in zone.differences)
    for row in zone.rows:
        if row.mark == "removed" and row.before is not None:
            yield f"NO LONGER: {layer_words(row.before, zone.mats)} (was line {row.before.line})"
    for material in zone.corrected:
        yield f"CHANGED data of {material}: quantities differ"
    for material in zone.restated:
        yield f"CHANGED data of {material}: stiffness or strength; quantities as before"


def step_changes(zone: SheetZone, step: Step) -> Iterator[str]:
    """What of a step is not as on the hull before."""
    for row in zone.rows:
        if row.after is not None and row.after.line == step.line and row.mark != "kept":
            yield _row_words(row, zone.mats)


def _row_words(row: Row, mats: frozenset[str]) -> str:
    if row.before is None:
        plies = row.after.plies if row.after else 1
        return "NEW" if plies == 1 else f"NEW: {plies} plies"
    if row.mark == "moved":
        return f"MOVED: was line {row.before.line}"
    return f"CHANGED: was {layer_words(row.before, mats)}"


def orientation_words(step: Step, zone: SheetZone) -> str:
    """Degrees from the zero direction, the directions of the fibres, and the side in words."""
    if step.kind == "mat":
        return "any direction"
    if step.angle_deg is None:
        return ""
    zero = f"the zero direction ({zone.zone.zero_direction or 'not stated'})"
    said = f"{angle_words(step.angle_deg)} from {zero}" if step.angle_deg else f"0°, along {zero}"
    if step.fibres_deg and step.fibres_deg != (axis_deg(step.angle_deg),):
        said += f"; fibres from the mould up: {', '.join(signed_angle(a) for a in step.fibres_deg)}"
    return said


FLIPPED = "TURN OVER: the other face of the cloth to the mould"


def signed_angle(angle_deg: float) -> str:
    """`+45°`."""
    return angle_words(angle_deg) if angle_deg in (0.0, 90.0) else signed_as_given("angle_deg", angle_deg)


def plies_words(step: Step) -> str:
    """`2 plies`."""
    if step.line == 0 or step.kind == "coating" or (step.kind == "core" and step.plies == 1):
        return ""
    return f"{step.plies} plies" if step.plies > 1 else "1 ply"


def thickness_words(step: Step) -> str:
    """`20 mm`; of a coating cured, and wet where its liquid is known."""
    if step.thickness_mm is None:
        return section_words(step) or ""
    thickness = stated("thickness_mm", step.thickness_mm)
    if step.kind == "coating":
        wet = f"{figure_in(step, 'wet_mm')} wet, " if step.wet_mm is not None else ""
        return f"{wet}{thickness} cured"
    return thickness


def section_words(step: Step) -> str | None:
    """`80 × 60 mm (4800 mm²)` of a former, `0.8 kg/m` of a paste, the hat that a former fills."""
    if step.former is not None:
        area = step.former.section_mm2
        if area is None:
            return hat_words(step.shape) if step.shape is not None else None
        height = step.former.height_mm or sqrt(area)
        return f"{whole_number(area / height)} × {whole_number(height)} mm ({stated('section_mm2', area)})"
    return stated("kg_per_m", step.kg_per_m) if step.kg_per_m is not None else None


def hat_words(section: Section) -> str:
    """`crown 60, height 80, base 90, flanges 50 mm`."""
    keys = (key for key in quantities_of(Section) if key != "flange_mm" or section.flange_mm)
    words = {"flange_mm": "flanges"}
    said = (f"{words.get(key) or words_of(Section, key)} {as_given(getattr(section, key))}" for key in keys)
    return f"{', '.join(said)} mm"


PART_WORDS = {"crown": "on the crown", "webs": "on both webs", "flanges": "on both flanges"}


def part_words(step: Step) -> str | None:
    """`on the crown, 60 mm wide`, of a layer that does not lie all around a stiffener."""
    if step.on not in PART_WORDS or step.shape is None:
        return None
    width = step.shape.crown_mm if step.on == "crown" else step.shape.flange_mm
    width = step.shape.web_mm if step.on == "webs" else width
    return f"{PART_WORDS[step.on]}, {whole_number(width)} mm wide{' each' if step.on != 'crown' else ''}"


def cut_words(step: Step) -> str:
    """What to cut or to take, wastage included."""
    if step.length_m is not None:
        taken = f", {figure_in(step, 'take_kg')}" if step.take_kg is not None and step.kind == "paste" else ""
        return f"{stated('length_m', step.length_m)}{taken}"
    if step.take_kg is not None:
        return f"{figure_in(step, 'take_kg')} on {figure_in(step, 'laid_m2')}"
    each = as_in(step, "cut_m2", (step.cut_m2 or 0.0) / step.plies).removesuffix(" m²")
    return figure_in(step, "cut_m2") + (f" ({step.plies} × {each})" if step.plies > 1 else "")


def remarks(step: Step, sheet: Sheet) -> Iterator[str]:
    """Everything else that is said of a step."""
    if lies := part_words(step):
        yield lies
    if step.coverage_fraction < 1:
        where = f": {step.extent}" if step.extent else ""
        yield f"only over {in_percent(step.coverage_fraction)} of the zone{where}"
    elif step.extent:
        yield step.extent
    if step.process is not None and step.process != sheet.part_data.process:
        yield f"by {PROCESS_WORDS[step.process]}"
    if step.stage > 1:
        yield f"stage {step.stage}"
    if step.resin is not None and step.resin != sheet.part_data.resin:
        yield f"with {step.resin}"
    if step.kind == "coating" and step.wet_mm is None:
        yield "taken as cured: the gun needs more than this (no liquid density stated)"
    if step.note:
        yield step.note


def mix_words(mix: Mix) -> tuple[str, ...]:
    """Stage, process, resin, what the laminate takes, the reserve, what to have ready."""
    resin = f"{mix.name} ({mix.resin})" if mix.name else mix.resin
    return (
        str(mix.stage), PROCESS_WORDS[mix.process], resin, figure_in(mix, "laid_kg"),
        in_percent(mix.reserve_fraction), as_in(mix, "laid_kg", mix.mix_kg),
    )  # fmt: skip


def deviation_words(shown: DeviationShown) -> str:
    """`DEVIATION PERMIT N-0WCF4X: …`, with the lines it is about."""
    deviation = shown.deviation
    layers = "; ".join(
        f"line {layer.line}: {layer.plies} × {layer.material} {layer.action}"
        + (f" by {layer.instead}" if layer.instead else "")
        for layer in deviation.layers
    )
    share = f" on {in_percent(deviation.area_fraction)} of the area" if deviation.area_fraction < 1 else ""
    where = f" [{layers}{share}]" if layers else ""
    build = " Build as released." if shown.state == "refused" else ""
    return f"{state_in_words(deviation, shown.state).upper()} {shown.id}: {deviation.text}{where}{build}"


def zone_lines(zone: SheetZone) -> Iterator[tuple[str, str]]:
    """Where a zone is and how its angles are counted: label and words."""
    written = zone.zone
    if written.extent:
        yield "Extent", written.extent
    if written.drawing:
        yield "Drawing", written.drawing
    if written.form == "plate":
        yield "Area", stated("area_m2", written.area_m2 or 0.0)
    elif written.form == "stiffener":
        around = girth_mm(written) or 0.0
        girth = stated("girth_mm", around if written.section is None else round(around))
        yield "Length", f"{stated('length_m', written.length_m or 0.0)}, girth {girth}"
        if written.section is not None:
            yield "Section", f"{hat_words(written.section)}, of the former"
    if written.form != "joint":
        yield "Overlaps", f"{in_percent(written.overlap_fraction)} of the area, counted in the cut areas"
        seen = written.seen_from or "bag side"
        zero = written.zero_direction or "not stated, ask"
        yield "Zero direction", f"{zero}; degrees anticlockwise seen from {seen}"
    if written.note:
        yield "Note", written.note
