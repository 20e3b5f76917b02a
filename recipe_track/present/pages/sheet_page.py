"""The layup sheet as a page to print: one table of steps a zone, with arrows, boxes and fields to sign."""

from dataclasses import dataclass

from markupsafe import Markup

from recipe_track.present.pages.drawing import direction_drawing
from recipe_track.present.pages.hats import HatColumn, hat_drawing
from recipe_track.present.pages.html import rendered_page
from recipe_track.present.terminal.papers import MIX_HEADS, VOID, line_resin_lines, number_words, step_permits
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
from recipe_track.present.words.units import figure_in
from recipe_track.review.papers.sheet import Sheet
from recipe_track.review.papers.sheet_zones import SheetZone
from recipe_track.review.papers.steps import Step


@dataclass(frozen=True, slots=True)
class StepView:
    """One row of the table of steps."""

    number: str
    name: str
    material: str
    plies: str
    boxes: int
    orientation: str
    arrow: Markup | None
    flipped: str | None
    thickness: str
    cut: str
    resin: str
    remarks: tuple[str, ...]
    changes: tuple[str, ...]
    permits: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class ZoneView:
    """One zone with its heading lines and steps."""

    name: str
    title: str
    lines: tuple[tuple[str, str], ...]
    holds: tuple[str, ...]
    deviations: tuple[str, ...]
    changes: tuple[str, ...]
    steps: tuple[StepView, ...]
    hat: Markup | None


def sheet_page(sheet: Sheet, paper: str = "a4") -> str:
    """The whole page; prints on A4 or Letter, lying."""
    return rendered_page(
        "sheet.html",
        title=f"Layup sheet {holds_for(sheet)}",
        paper=f"{paper} landscape",
        marks=marks(sheet),
        footer=f"Layup sheet · {holds_for(sheet)} · {VOID}",
        holds_for=holds_for(sheet),
        heading=tuple(heading_lines(sheet)),
        warnings=tuple(warning_lines(sheet)),
        cautions=cautions(sheet),
        since=since_words(sheet),
        changes=tuple(part_changes(sheet)),
        mix_heads=MIX_HEADS,
        mixes=[mix_words(mix) for mix in sheet.mixes],
        line_resin=tuple(line_resin_lines(sheet)),
        zones=[_zone_view(zone, sheet, number) for number, zone in enumerate(sheet.zones)],
        void=VOID,
    )


def _zone_view(zone: SheetZone, sheet: Sheet, number: int) -> ZoneView:
    return ZoneView(
        zone.name, zone.zone.name or "", tuple(zone_lines(zone)),
        tuple(map(hold_line, zone.holds)),
        tuple(deviation_words(shown) for shown in zone.deviations),
        tuple(zone_changes(zone)), tuple(_step_view(zone, step, sheet) for step in zone.steps),
        _hat(zone, f"hat{number}"),
    )  # fmt: skip


def _hat(zone: SheetZone, name: str) -> Markup | None:
    """The section of a stiffener, to see what lies where."""
    if zone.hat is None:
        return None
    labels = {
        step.line: " ".join(filter(None, (str(step.line), step.material, plies_words(step))))
        for step in zone.steps
    }
    return hat_drawing([HatColumn("Section, laminate outside the former", zone.hat, labels)], name)


def _step_view(zone: SheetZone, step: Step, sheet: Sheet) -> StepView:
    words = orientation_words(step, zone)
    arrow = None
    if step.angle_deg is not None:
        arrow = direction_drawing(step.angle_deg, step.fibres_deg, words)
    return StepView(
        number=number_words(step), name=step.name or "", material=step.material, plies=plies_words(step),
        boxes=step.plies, orientation=words, arrow=arrow, flipped=FLIPPED if step.flipped else None,
        thickness=thickness_words(step), cut=cut_words(step),
        resin=figure_in(step, "resin_kg") if step.resin_kg else "",
        remarks=tuple(remarks(step, sheet)), changes=tuple(step_changes(zone, step)),
        permits=tuple(step_permits(zone, step)),
    )  # fmt: skip
