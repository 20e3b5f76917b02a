"""Hulls and their deviations as JSON."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict
from typing import TYPE_CHECKING, Any

from recipe_track.impact.rows import view
from recipe_track.present.data.records import record_json, trial_json
from recipe_track.present.data.values import plain_data
from recipe_track.review.hull.zones import DeviationShown, state_in_words

if TYPE_CHECKING:
    from recipe_track.review.hull.as_built import HullRecord, PartShown, ZoneShown
    from recipe_track.review.hull.overview import HullRow
    from recipe_track.review.hull.weighings import Weighed


def fleet_json(rows: Sequence[HullRow]) -> dict[str, Any]:
    """The body of `hull list --json`."""
    return {
        "hulls": [
            {
                "hull": row.number,
                **row.hull.model_dump(mode="json"),
                "status": row.state.state,
                "parts": [{**asdict(part), "on": part.on.isoformat()} for part in row.state.parts],
                "observations": row.observations,
                "open_observations": row.open_observations,
                "deviations": row.deviations,
                "holds": list(row.holds),
            }
            for row in rows
        ]
    }


def deviations_json(rows: Sequence[DeviationShown]) -> dict[str, Any]:
    """The body of `deviation list --json`."""
    return {"deviations": [deviation_json(row) for row in rows]}


def deviation_json(row: DeviationShown) -> dict[str, Any]:
    """A deviation with its state, and what it is called by it."""
    called = state_in_words(row.deviation, row.state)
    former = row.former.copy if row.former else None
    return {
        **record_json(row.id, row.deviation), "state": row.state, "called": called, "former_copy": former,
    }  # fmt: skip


def hull_json(record: HullRecord, weighings: Sequence[Weighed]) -> dict[str, Any]:
    """The body of `hull show --json`."""
    return {
        "hull": record.number,
        "model": record.hull.model,
        "status": record.state.state,
        "customer_reference": record.hull.customer_reference,
        "was": record.hull.was,
        "disagreements": plain_data(record.state.disagreements),
        "parts": [_part_json(part) for part in record.parts],
        "steps": [{**record_json(row.id, row.step), "part": row.part} for row in record.steps],
        "deviations": [deviation_json(row) for row in record.deviations],
        "weighings": [_weighed_json(row) for row in weighings],
        "observations": [trial_json(row) for row in record.observations],
        "holds": plain_data(record.holds),
        "lacking": plain_data(record.lacking),
    }


def _part_json(part: PartShown) -> dict[str, Any]:
    moved = part.tag_commit is not None and part.tag_commit != part.part.commit
    return {
        **{**asdict(part.part), "on": part.part.on.isoformat()},
        "built_to": part.part.built_to,
        "tag_commit": part.tag_commit,
        "tag_moved": moved,
        "mass_kg": part.mass_kg,
        "zones": None if part.zones is None else [_zone_json(zone) for zone in part.zones],
    }


def _zone_json(zone: ZoneShown) -> dict[str, Any]:
    return {
        "zone": zone.name,
        "layup": [
            plain_data(view(line, layer, layer.plies)) for line, layer in enumerate(zone.zone.layup, start=1)
        ],
        "released": plain_data(zone.built.released),
        "deviating": plain_data(zone.built.deviating),
        "mass_kg": zone.built.mass_kg,
        "cost": zone.built.cost,
        "trouble": zone.built.trouble,
        "deviations": [deviation_json(row) for row in zone.deviations],
        "holds": plain_data(zone.holds),
    }


def _weighed_json(row: Weighed) -> dict[str, Any]:
    figures = plain_data(row)
    for key in ("weighing", "built", "is_former"):
        figures.pop(key)
    former = row.built.copy if row.built and row.is_former else None
    return {**record_json(row.id, row.weighing), **figures, "former_copy": former}
