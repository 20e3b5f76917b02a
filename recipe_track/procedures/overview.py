"""The fleet and its deviations at a glance."""

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass

from recipe_track.procedures.choosing import hull_named, one_of
from recipe_track.procedures.hull_record import DeviationShown
from recipe_track.recipe.craft import Hull
from recipe_track.recipe.materials import Material, Reinforcement
from recipe_track.recipe.records import Deviation, Trial
from recipe_track.recipe.snapshot import Snapshot
from recipe_track.recipe.states import deviation_state, holds, of_kind, open_trials


@dataclass(frozen=True, slots=True)
class FleetRow:
    """One hull in a line: its parts, and how much stands open on it."""

    number: str
    hull: Hull
    observations: int
    open_observations: int
    deviations: int
    holds: tuple[str, ...]


def fleet_rows(snapshot: Snapshot, model: str | None = None) -> tuple[FleetRow, ...]:
    """Every hull, or those of one model, by number."""
    if model is not None:
        one_of("model", model, snapshot.models)
    seen = Counter(trial.hull for _, trial in of_kind(snapshot.records, Trial))
    still_open = Counter(trial.hull for _, trial in open_trials(snapshot.records))
    deviating = Counter(deviation.hull for _, deviation in of_kind(snapshot.records, Deviation))
    held = holds(snapshot)
    return tuple(
        FleetRow(
            number, hull, seen[number], still_open[number], deviating[number],
            tuple(hold.record for hold in held if hold.hull == number),
        )
        for number, hull in sorted(snapshot.hulls.items())
        if model in (None, hull.model)
    )  # fmt: skip


def mats_of(materials: Mapping[str, Material]) -> frozenset[str]:
    """Fabrics without any direction, of which no angle is said."""
    return frozenset(
        name
        for name, material in materials.items()
        if isinstance(material, Reinforcement) and all(d.random for d in material.directions)
    )


def deviation_rows(snapshot: Snapshot, hull: str | None = None) -> tuple[DeviationShown, ...]:
    """Departures, those that wait for a decision first, then by date."""
    if hull is not None:
        hull_named(snapshot, hull)
    rows = [
        DeviationShown(i, d, deviation_state(snapshot.records, i))
        for i, d in of_kind(snapshot.records, Deviation)
        if hull in (None, d.hull)
    ]
    return tuple(sorted(rows, key=lambda row: row.state != "reported"))
