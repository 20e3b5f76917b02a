"""The figures of a model at one revision, as JSON and as tables for people."""

from collections.abc import Iterator, Sequence
from dataclasses import fields, is_dataclass
from typing import TYPE_CHECKING, Any

from recipe_track.figures.craft import CraftFigures, ModelFigures
from recipe_track.figures.required import Requirement
from recipe_track.figures.zone import ZoneFigures
from recipe_track.present.plain import visible
from recipe_track.present.units import limit_words, measure, number, quantity, unit_of
from recipe_track.workspace import Revision

if TYPE_CHECKING:
    from rich.console import RenderableType

CAUTION = (
    "Figures are estimates for comparing revisions; scantlings stay with the standard that applies "
    "and with a qualified designer or the certification body."
)


def plain_data(value: Any) -> Any:
    """Frozen records as dictionaries and lists, ready for JSON."""
    if is_dataclass(value) and not isinstance(value, type):
        return {f.name: plain_data(getattr(value, f.name)) for f in fields(value)}
    if isinstance(value, dict):
        return {key: plain_data(v) for key, v in value.items()}
    if isinstance(value, list | tuple):
        return [plain_data(v) for v in value]
    return value


def revision_json(revision: Revision) -> dict[str, Any]:
    """Label, commit and date of a revision."""
    return {"label": revision.label, "commit": revision.commit, "date": revision.date}


def figures_json(figures: ModelFigures, revision: Revision, zones: Sequence[ZoneFigures]) -> dict[str, Any]:
    """The body of `figures --json`; only the zones asked for are listed, part and craft are whole."""
    return {
        "model": figures.model,
        "revision": revision_json(revision),
        "currency": figures.currency,
        "zones": plain_data(list(zones)),
        "parts": plain_data(list(figures.parts)),
        "craft": plain_data(figures.craft),
    }


def figures_text(
    figures: ModelFigures, revision: Revision, zones: Sequence[ZoneFigures]
) -> "Iterator[RenderableType]":
    """Tables of zones, parts and craft at 80 columns, and the cautions."""
    yield f"{visible(figures.model)} at {revision_words(revision)}"
    yield _zone_table(zones, figures.currency)
    yield ""
    yield _part_table(figures)
    yield from _craft_lines(figures.craft, figures.currency)
    yield from _zone_notes(zones)
    yield ""
    yield CAUTION


def revision_words(revision: Revision) -> str:
    """`r7 (12 Feb 2026)`, or `the working files`."""
    if revision.commit is None:
        return "the working files"
    return f"{revision.shown} ({day_words(revision.date)})"


def day_words(moment: str | None) -> str:
    """An ISO date or moment as `12 Feb 2026`."""
    if not moment:
        return ""
    year, month, day = moment[:10].split("-")
    months = ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"]
    return f"{int(day)} {months[int(month) - 1]} {year}"


_ZONE_KEYS = ("mass_kg", "thickness_mm", "ei_x_kn_m2_per_m", "ei_y_kn_m2_per_m", "deflection_mm", "cost")
_HEADS = {"ei_x_kn_m2_per_m": "EI along", "ei_y_kn_m2_per_m": "EI across", "thickness_mm": "thick"}


def _zone_table(zones: Sequence[ZoneFigures], currency: str | None) -> "RenderableType":
    from rich.table import Table
    from rich.text import Text

    table = Table(box=None, pad_edge=False, padding=(0, 1, 0, 0))
    table.add_column("zone", overflow="fold")
    for key in _ZONE_KEYS:
        head = f"{_HEADS.get(key, measure(key).words)}\n{unit_of(key, currency)}"
        table.add_column(Text(head), justify="right", no_wrap=True)
    for zone in zones:
        mark = " HOLD" if zone.hold else ""
        row = [Text(zone.zone + mark)]
        table.add_row(*row, *(Text(number(key, getattr(zone, key))) for key in _ZONE_KEYS))
    return table


def _part_table(figures: ModelFigures) -> "RenderableType":
    from rich.table import Table
    from rich.text import Text

    keys = ("mass_kg", "material_cost", "labour_cost", "process_cost", "cost")
    table = Table(box=None, pad_edge=False, padding=(0, 1, 0, 0))
    table.add_column("part")
    for key in keys:
        head = f"{measure(key).words}\n{unit_of(key, figures.currency)}"
        table.add_column(Text(head), justify="right", no_wrap=True)
    for part in figures.parts:
        table.add_row(Text(part.part), *(Text(number(key, getattr(part, key))) for key in keys))
    return table


def _craft_lines(craft: CraftFigures, currency: str | None) -> Iterator[str]:
    yield ""
    laminate = quantity("laminate_mass_kg", craft.laminate_mass_kg)
    yield f"craft, laminate {laminate}, cost {quantity('cost', craft.cost, currency)}"
    for condition in craft.conditions:
        centre = centre_words(condition.centroid_m)
        yield f"  {visible(condition.name):<10} {quantity('mass_kg', condition.mass_kg):>12}  {centre}"
    for target in craft.targets:
        yield f"  target ({visible(craft.condition)}): {requirement_words(target, currency)}"


def centre_words(centre: tuple[float, float, float] | None) -> str:
    """`LCG 3.950 TCG 0.000 VCG 0.880 m`."""
    if centre is None:
        return "no mass, no centre"
    x, y, z = (number(key, value) for key, value in zip(("lcg_m", "tcg_m", "vcg_m"), centre, strict=True))
    return f"LCG {x} TCG {y} VCG {z} m"


def requirement_words(requirement: Requirement, currency: str | None = None) -> str:
    """`mass 5 980.0 kg, at most 6 100.0 kg: met`."""
    key, words = limit_words(requirement.key)
    limit = requirement.limit
    if isinstance(limit, tuple):
        shown = f"{number(key, limit[0])} … {quantity(key, limit[1], currency)}"
    else:
        shown = quantity(key, limit, currency)
    verdict = {True: "met", False: "NOT MET", None: "no figure to hold against it"}[requirement.met]
    return f"{measure(key).words} {quantity(key, requirement.value, currency)}, {words} {shown}: {verdict}"


def other_notes(zone: ZoneFigures) -> tuple[str, ...]:
    """The notes of a zone but those on minima not met, which people are told in their own words."""
    missed = {f"required {r.key} {r.limit:g} is not met" for r in zone.required if r.met is False}
    return tuple(note for note in zone.notes if note not in missed)


def _zone_notes(zones: Sequence[ZoneFigures]) -> Iterator[str]:
    noted = [zone for zone in zones if zone.notes or zone.hold or zone.not_checked]
    if noted:
        yield ""
    for zone in noted:
        if zone.hold:
            yield f"{zone.zone}: HOLD because of {', '.join(zone.hold)}"
        for required in zone.required:
            if required.met is False:
                yield f"{zone.zone}: required: {requirement_words(required)}"
        for note in other_notes(zone):
            yield f"{zone.zone}: {visible(note)}"
        if zone.not_checked:
            yield f"{zone.zone}: not checked: {visible(', '.join(zone.not_checked))}"
