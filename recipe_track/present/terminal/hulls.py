"""Hulls as text and JSON: the fleet at a glance, and one hull as built."""

from collections.abc import Iterator, Sequence
from typing import Any

from rich.console import RenderableType

from recipe_track.impact.rows import view
from recipe_track.present.terminal.tables import table, words_columns
from recipe_track.present.words.figures import ZONE_STIFFNESS
from recipe_track.present.words.layers import layer_words
from recipe_track.present.words.plain import shortened, visible
from recipe_track.present.words.records import date_words, indented, trial_line
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
from recipe_track.recipe.materials import mats_of
from recipe_track.review.hull.as_built import HullRecord, PartShown, ZoneShown
from recipe_track.review.hull.overview import HullRow
from recipe_track.review.hull.weighings import Weighed
from recipe_track.review.hull.zones import DeviationShown, state_in_words

ACTION_WORDS = {"as-is": "stays as it is", "rework": "rework", "retrofit": "retrofit", "recall": "recall"}


def fleet_text(rows: Sequence[HullRow]) -> Iterator[RenderableType]:
    """One hull per row."""
    if not rows:
        yield "no hulls"
        return
    heads = ("hull", "model", "status", "parts", "open", "on hold")
    yield table(words_columns(*heads), map(_hull_cells, rows))
    yield "open: observations that nothing answers yet, of all that were logged"


def _hull_cells(row: HullRow) -> tuple[str, ...]:
    parts = ", ".join(f"{p.part} {p.revision} {p.state}" for p in row.hull.part)
    still = f"{row.open_observations} of {row.observations}"
    cells = (row.number, row.hull.model, row.hull.status, parts, still, ", ".join(row.holds))
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
    where = f"{visible(deviation.zone)}, hull {deviation.hull}, {date_words(deviation.on)}"
    lines = [f"{row.id}: {called}, {where}"]
    for layer in deviation.layers:
        instead = f", {visible(layer.instead)} instead" if layer.instead else ""
        plies = f"{layer.plies} {'ply' if layer.plies == 1 else 'plies'}"
        lines.append(f"    line {layer.line}: {plies} of {visible(layer.material)} {layer.action}{instead}")
    if deviation.layers and deviation.area_fraction < 1:
        lines.append(f"    over {in_percent(deviation.area_fraction)} of the zone")
    return [*lines, *indented(deviation.text)]


def hull_text(record: HullRecord, weighings: Sequence[Weighed]) -> Iterator[RenderableType]:
    """The as-built record of one hull."""
    yield f"hull {record.number}: {visible(record.hull.model)}, {record.hull.status}"
    for hold in record.holds:
        yield f"  HOLD {visible(hold.zone)}: {hold.record}, {visible(hold.reason)}"
    for part in record.parts:
        yield ""
        yield from _part_lines(part)
    yield from _section("weighed against computed", _weighing_lines(weighings))
    observations = (_observation(row.id, row.trial, row.state) for row in record.observations)
    yield from _section("observations", observations)
    yield from _section("later changes this hull does not have", _lacking_lines(record))
    yield ""
    yield "This is what the records say; nobody looked at the hull for it."


def _section(title: str, lines: Iterator[str]) -> Iterator[str]:
    listed = list(lines)
    if listed:
        yield ""
        yield title
        yield from (f"  {line}" for line in listed)


def _observation(trial_id: str, trial: Any, state: str) -> str:
    return f"{trial_line(trial_id, trial)}: {state}"


def _part_lines(part: PartShown) -> Iterator[str]:
    built = part.part
    commit = built.commit[:10]
    yield f"{visible(built.part)}: {built.revision} ({commit}), {built.state}, {date_words(built.on)}"
    if part.tag_commit is None:
        yield f"  {built.revision} is not released (no tag is there)"
    elif part.tag_commit != built.commit:
        yield f"  the tag {built.revision} was moved: it stands at {part.tag_commit[:10]} now"
    if part.zones is None:
        yield "  the commit it was built to is not in this repository"
    mats = mats_of(part.cases[0].materials) if part.cases else frozenset()
    for zone in part.zones or ():
        yield from (f"  {line}" for line in _zone_lines(zone, mats))


def _zone_lines(zone: ZoneShown, mats: frozenset[str]) -> Iterator[str]:
    yield f"{visible(zone.name)}  {quantity('mass_kg', zone.built.mass_kg)}"
    yield from (f"  HOLD: {hold.record}, {visible(hold.reason)}" for hold in zone.holds)
    for line, layer in enumerate(zone.zone.layup, start=1):
        yield f"  {line:>2}  {layer_words(view(line, layer, layer.plies), mats)}"
    for row in zone.deviations:
        yield from (f"  {line}" for line in deviation_lines(row))
    yield from _deviating(zone)


def _deviating(zone: ZoneShown) -> Iterator[str]:
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


def _weighing_lines(weighings: Sequence[Weighed]) -> Iterator[str]:
    for row in weighings:
        weighed = row.weighing
        tare = f" net of {stated('tare_kg', weighed.tare_kg)} tare" if weighed.tare_kg else ""
        scales = f"{quantity('mass_kg', row.net_kg)}{tare} {weighed.state.replace('-', ' ')}"
        yield f"{visible(weighed.part)}: {scales}, {date_words(weighed.on)}, {row.id}"
        if row.computed_kg is None or row.difference_kg is None:
            yield "  no computed mass to hold it against"
            continue
        against = f"{signed_quantity('mass_kg', row.difference_kg)} ({percent(row.percent)})"
        yield f"  computed {quantity('mass_kg', row.computed_kg)}: {against}"
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


def _lacking_lines(record: HullRecord) -> Iterator[str]:
    for lack in record.lacking:
        action = ACTION_WORDS[lack.action] if lack.action else "nothing decided for this hull"
        where = f"{visible(lack.part)}, since {lack.label or 'before the first release'}"
        yield f"{lack.change} {shortened(lack.title, 60)} ({where}): {action}"
