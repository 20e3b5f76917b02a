"""Hulls as text and JSON: the fleet at a glance, and one hull as built."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import TYPE_CHECKING

from recipe_track.impact.rows import view
from recipe_track.present.terminal.tables import table, words_columns
from recipe_track.present.words.figures import ZONE_STIFFNESS, exceeded_lines
from recipe_track.present.words.layers import layer_words
from recipe_track.present.words.plain import shortened, visible
from recipe_track.present.words.records import (
    ACTION_WORDS,
    date_words,
    former_words,
    hold_line,
    indented,
    trial_line,
)
from recipe_track.present.words.units import (
    as_given,
    in_percent,
    number,
    percent,
    quantity,
    signed_quantity,
    stated,
    words_for,
)
from recipe_track.recipe.hulls import OPEN
from recipe_track.recipe.materials import mats_of
from recipe_track.review.hull.zones import DeviationShown, state_in_words

if TYPE_CHECKING:
    from rich.console import RenderableType

    from recipe_track.review.hull.as_built import HullRecord, Lacking, PartShown, StepShown, ZoneShown
    from recipe_track.review.hull.overview import HullRow, TrialRow
    from recipe_track.review.hull.weighings import Weighed

LACKING_WORDS = {
    key: words if key == "as-is" else f"{words}, not done" for key, words in ACTION_WORDS.items()
}
INSPECTED_BY_NOBODY = "This is what the records say; nobody looked at the hull for it."


def fleet_text(rows: Sequence[HullRow]) -> Iterator[RenderableType]:
    """One hull per row."""
    if not rows:
        yield "no hulls"
        return
    heads = ("hull", "model", "status", "parts", "open", "on hold")
    yield table(words_columns(*heads), map(_hull_cells, rows))
    yield "open: observations that nothing answers yet, of all that were logged"


def _hull_cells(row: HullRow) -> tuple[str, ...]:
    parts = ", ".join(f"{p.part} {p.built_to} {p.state}" for p in row.state.parts)
    still = f"{row.open_observations} of {row.observations}"
    cells = (row.number, row.hull.model, row.state.state, parts, still, ", ".join(row.holds))
    return tuple(map(visible, cells))


def deviations_text(rows: Sequence[DeviationShown]) -> Iterator[RenderableType]:
    """Each deviation with its own words."""
    if not rows:
        yield "no deviations"
    for row in rows:
        yield from deviation_lines(row)


def deviation_lines(row: DeviationShown) -> list[str]:
    """`N-V03BG6: concession, hull/bottom-aft, hull 013, 20 Aug 2025`, its layers and its text."""
    deviation = row.deviation
    called = state_in_words(deviation, row.state)
    copy = former_words(row.former)
    where = f"{visible(deviation.zone)}, hull {deviation.hull}{copy}, {date_words(deviation.on)}"
    lines = [f"{row.id}: {called}, {where}"]
    for layer in deviation.layers:
        instead = f", {visible(layer.instead)} instead" if layer.instead else ""
        plies = f"{layer.plies} {'ply' if layer.plies == 1 else 'plies'}"
        lines.append(f"    line {layer.line}: {plies} of {visible(layer.material)} {layer.action}{instead}")
    if deviation.layers and deviation.area_fraction < 1:
        lines.append(f"    over {in_percent(deviation.area_fraction)} of the zone")
    return [*lines, *indented(deviation.text)]


def hull_text(
    record: HullRecord, weighings: Sequence[Weighed], with_layups: bool = False
) -> Iterator[RenderableType]:
    """One hull: what stands open first, then its steps, deviations and weighings; layups where asked for."""
    for title, lines in hull_sections(record, weighings):
        yield title
        yield from (f"  {line}" for line in lines)
        yield ""
    for part in record.parts if with_layups else ():
        yield from _layup_lines(part)
        yield ""
    yield INSPECTED_BY_NOBODY


def hull_sections(record: HullRecord, weighings: Sequence[Weighed]) -> Iterator[tuple[str, list[str]]]:
    """What is on record of a hull, what matters first, under headings; those with nothing are left out."""
    yield hull_heading(record), list(_standing_lines(record))
    open_rows = [row for row in record.observations if row.state != "answered"]
    answered = [row for row in record.observations if row.state == "answered"]
    undecided = [lack for lack in record.lacking if lack.action is None]
    decided = [lack for lack in record.lacking if lack.action is not None]
    sections: tuple[tuple[str, Iterable[str]], ...] = (
        ("open observations", map(_observation, open_rows)),
        ("changes not built in, and nothing decided for this hull", lacking_lines(undecided)),
        ("changes not built in, decided", lacking_lines(decided)),
        ("parts", (line for part in record.parts for line in part_lines(part))),
        ("steps", step_lines(record)),
        ("deviations", deviation_section(record)),
        ("weighed against computed", weighing_lines(weighings)),
        ("observations that are answered", map(_observation, answered)),
    )
    for title, lines in sections:
        if listed := list(lines):
            yield title, listed


def hull_heading(record: HullRecord) -> str:
    """`hull 014: pb98, delivered`."""
    hull = record.hull
    was = f", hull {hull.was} before" if hull.was else ""
    customer = f", customer's reference {visible(hull.customer_reference)}" if hull.customer_reference else ""
    return f"hull {record.number}: {visible(hull.model)}, {record.state.state}{was}{customer}"


def exceeded_as_built(record: HullRecord) -> Iterator[str]:
    """Uses above 1 in the zones of a hull as they were built."""
    for zone in (zone for part in record.parts for zone in part.zones or ()):
        for line in exceeded_lines(zone.built.deviating or zone.built.released):
            yield f"{zone.name}: {line}"


def _standing_lines(record: HullRecord) -> Iterator[str]:
    yield from map(hold_line, record.holds)
    yield from map(visible, exceeded_as_built(record))
    for parted in record.state.disagreements:
        yield f"{visible(parted.part or 'the whole hull')}: steps {' and '.join(parted.steps)} disagree"


def _observation(row: TrialRow) -> str:
    return f"{trial_line(row.id, row.trial)}{former_words(row.former)}: {row.state}"


def part_lines(part: PartShown) -> Iterator[str]:
    """A part, what it was built to and weighs by that, and what is wrong with its release."""
    built = part.part
    copy = f", copy {built.copy}" if built.copy > 1 else ""
    came = f", from hull {built.came_from}" if built.came_from else ""
    computed = f", computed {quantity('mass_kg', part.mass_kg)}" if part.zones is not None else ""
    as_released = f" as {built.revision}" if computed and built.done else ""
    yield (
        f"{visible(built.part)}: {built.built_to} ({built.commit[:10]}), {built.state}, "
        f"{date_words(built.on)}{copy}{came}{computed}{as_released}"
    )
    if part.tag_commit is None:
        yield f"  {built.revision} is not released (no tag is there)"
    elif part.tag_commit != built.commit:
        yield f"  the tag {built.revision} was moved: it stands at {part.tag_commit[:10]} now"
    if part.zones is None:
        yield "  the commit it was built to is not in this repository"


def step_lines(record: HullRecord) -> Iterator[str]:
    """Who moved what when: the whole hull, then part by part, each in the order in which it came."""
    part: str | None = ""
    for shown in record.steps:
        if shown.part != part:
            part = shown.part
            yield visible(part) if part else "the whole hull"
        step = shown.step
        yield f"  {date_words(step.on)}  {step_words(record, shown)}, {visible(step.by)}, {shown.id}"
        yield from indented(step.note) if step.note else ()


def step_words(record: HullRecord, shown: StepShown) -> str:
    """`demoulded r6 with C-…`, or where the part came from or went."""
    step = shown.step
    if step.hull != record.number:
        return f"taken by hull {step.hull}"
    came = f" from hull {step.from_hull}" if step.from_hull else ""
    release = f" {step.revision}" if step.revision else ""
    done = f" with {', '.join(step.done)}" if step.done else ""
    return f"{step.state}{came}{release}{done}"


def deviation_section(record: HullRecord) -> Iterator[str]:
    """Every deviation, those that wait for a decision first, then what the zones come to as built."""
    for row in record.deviations:
        yield from deviation_lines(row)
    for zone in (zone for part in record.parts for zone in part.zones or ()):
        if zone.built.deviating is not None or zone.built.trouble:
            yield visible(zone.name)
            yield from deviating_lines(zone)


def _layup_lines(part: PartShown) -> Iterator[str]:
    yield f"layups of {visible(part.part.part)} at {part.part.revision}"
    mats = mats_of(part.cases[0].materials) if part.cases else frozenset()
    for zone in part.zones or ():
        yield f"  {visible(zone.name)}  {quantity('mass_kg', zone.built.mass_kg)}"
        for line, layer in enumerate(zone.zone.layup, start=1):
            yield f"    {line:>2}  {layer_words(view(line, layer, layer.plies), mats)}"


def deviating_lines(zone: ZoneShown) -> Iterator[str]:
    """What a zone comes to as built, and required minima that it does not meet."""
    built = zone.built
    if built.trouble:
        yield f"  figures as built cannot be computed: {visible(built.trouble)}"
    if built.deviating is None:
        return
    mass = f"{quantity('mass_kg', built.released.mass_kg)} → {quantity('mass_kg', built.mass_kg)}"
    said = [f"mass {mass} ({signed_quantity('mass_kg', built.mass_kg - built.released.mass_kg)})"]
    for key in ZONE_STIFFNESS:
        old, new = getattr(built.released, key), getattr(built.deviating, key)
        if old is not None and new is not None:
            said.append(f"{words_for(key)} where it deviates {quantity(key, old)} → {quantity(key, new)}")
    yield "  as built:"
    yield from (f"    {line}" for line in said)
    for requirement in built.deviating.required:
        if requirement.met is False:
            yield f"    required {requirement.key} {as_given(requirement.limit)} is NOT MET where it deviates"


def weighing_lines(weighings: Sequence[Weighed]) -> Iterator[str]:
    """Each weighing held against the computed mass; with changes carried out, that of the release alone."""
    for row in weighings:
        weighed = row.weighing
        tare = f" net of {stated('tare_kg', weighed.tare_kg)} tare" if weighed.tare_kg else ""
        scales = f"{quantity('mass_kg', row.net_kg)}{tare} {weighed.state.replace('-', ' ')}"
        copy = former_words(row.built) if row.is_former else ""
        yield f"{visible(weighed.part)}{copy}: {scales}, {date_words(weighed.on)}, {row.id}"
        if row.computed_kg is None or row.difference_kg is None:
            yield "  no computed mass to hold it against"
            continue
        against = f"{signed_quantity('mass_kg', row.difference_kg)} ({percent(row.percent)})"
        as_released = f" as {row.built.revision}" if row.built and row.built.done else ""
        yield f"  computed{as_released} {quantity('mass_kg', row.computed_kg)}: {against}"
        if len(row.mean_over) > 1:
            yield f"  mean of hulls {', '.join(row.mean_over)} in this state: {percent(row.mean_percent)}"
        if row.apparent_fibre_fraction is not None and row.computed_fibre_fraction is not None:
            apparent, computed = (
                number("fibre_mass_fraction", fraction)
                for fraction in (row.apparent_fibre_fraction, row.computed_fibre_fraction)
            )
            yield f"  apparent fibre fraction {apparent}, computed {computed}"
        if weighed.includes:
            yield f"  includes {visible(weighed.includes)}"


def lacking_lines(lacking: Iterable[Lacking]) -> Iterator[str]:
    """One line per change and action: `C-… title (deck and grid, since r7): rework`."""
    together: dict[tuple[str, str | None], list[Lacking]] = {}
    for lack in lacking:
        together.setdefault((lack.change, lack.action), []).append(lack)
    for rows in together.values():
        first = rows[0]
        parts = ", ".join(f"{visible(row.part)}{_not_begun(row)}" for row in rows)
        action = f": {LACKING_WORDS[first.action]}" if first.action else ""
        since = first.label or "before the first release"
        yield f"{first.change} {shortened(first.title, 60)} ({parts}; since {since}){action}"


def _not_begun(row: Lacking) -> str:
    return f", {row.state}" if row.state in OPEN else ""
