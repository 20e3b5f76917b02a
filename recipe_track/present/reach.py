"""How far a change reaches, in words: hulls with and without it, open matters, other users of materials."""

from collections.abc import Iterable, Iterator
from typing import Any

from recipe_track.present.figures import plain_data
from recipe_track.present.plain import shortened, visible
from recipe_track.present.records import observation_words
from recipe_track.procedures.reach import ChangeReach, OpenObservation, ReachedPart

SIDE_WORDS = {"before": "without this change", "between": "with some of it", "after": "with this change"}


def reach_json(reach: ChangeReach) -> dict[str, Any]:
    """The `reach` of `compare --json`."""
    return {**plain_data(reach), "in_build": plain_data(reach.in_build())}


def reach_lines(reach: ChangeReach, model: str) -> Iterator[str]:
    """The whole reach, one matter a line; what is not met is not said."""
    yield from hull_lines(reach)
    for seen in reach.observations:
        yield f"open {open_words(seen)}"
    for hold in reach.holds:
        yield f"HOLD {hold.record} on {visible(hold.zone)}: {visible(hold.reason)}"
    yield from material_lines(reach, model)


def hull_lines(reach: ChangeReach) -> Iterator[str]:
    """Which parts of which hulls are built to a release without and with the change, and in build now."""
    if reach.parts and not reach.hulls:
        yield f"no hull number is recorded with this part yet: {', '.join(reach.parts)}"
    for side, words in SIDE_WORDS.items():
        parts = [part for part in reach.hulls if part.side == side]
        if parts:
            yield f"{words}: {built_words(parts)}"
    if building := reach.in_build():
        states = "; ".join(f"hull {visible(p.hull)} {p.part} {p.state} ({p.revision})" for p in building)
        yield f"in build now: {states}"


def built_words(parts: Iterable[ReachedPart]) -> str:
    """`hull 013 deck r4, hull 014 deck r6`, the parts of one hull together."""
    by_hull: dict[str, list[str]] = {}
    for part in parts:
        by_hull.setdefault(part.hull, []).append(f"{part.part} {part.revision}")
    return "; ".join(f"hull {visible(hull)} {', '.join(built)}" for hull, built in by_hull.items())


def open_words(seen: OpenObservation) -> str:
    """`T-7K3QX2, hull 014, deck/aft-deck: noise, severity 2, contained: “…”`."""
    place = f"{seen.trial}, hull {visible(seen.hull)}, {visible(seen.zone)}"
    state = ", contained" if seen.state == "contained" else ""
    what = f"{observation_words(seen.observation)}, severity {seen.severity}{state}"
    return f"{place}: {what}: “{shortened(seen.text, 160)}”"


def material_lines(reach: ChangeReach, model: str) -> Iterator[str]:
    """Changed materials with the zones and the other models that use them."""
    for material in reach.materials:
        own = material.zones.get(model, ())
        here = f"{len(own)} zone{'s' if len(own) != 1 else ''} of this model"
        others = "; ".join(f"{name}: {', '.join(zones)}" for name, zones in material.others(model).items())
        elsewhere = f"other models: {others}" if others else "no other model"
        yield f"changed material {material.material}: {here} ({', '.join(own)}); {elsewhere}"
    if reach.prices:
        yield f"changed prices: {', '.join(reach.prices)}"
