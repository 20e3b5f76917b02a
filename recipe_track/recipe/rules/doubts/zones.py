"""Zones: area against the craft, panel and foot load, former, and what minima say of themselves."""

from collections.abc import Iterator
from math import sqrt

from recipe_track.errors import Fault
from recipe_track.recipe.layup import Beam, Panel, Patch, Section
from recipe_track.recipe.ordinary import Spot, doubt, ordinary_of, out_of, outside, written
from recipe_track.recipe.paths import zone_path
from recipe_track.recipe.quantities import Ordinary
from recipe_track.recipe.rules.doubts.crafts import plan_m2
from recipe_track.recipe.rules.layups import zones_of
from recipe_track.recipe.rules.names import nearest
from recipe_track.recipe.snapshot import ModelTree, PartTree, Snapshot

SMALLEST_M2, LARGEST_M2 = 0.02, 500.0
ZONE_PLANS, PART_PLANS = 2.5, 6.0  # a zone and a part at most, in length × beam
LENGTHS = 10.0  # all pieces of a stiffener or joint together at most, in lengths of the craft
LONGEST_M = 300.0
SPANS = 8.0
PATCH_KPA = Ordinary(10, 3000)
OUTER = "outer dimensions?"
NARROWEST_LOAD_MM = 20.0
HEIGHT_TO_WIDTH = Ordinary(0.4, 4)


def note_areas(snapshot: Snapshot) -> Iterator[Fault]:
    """Areas and lengths go with the size of the craft, of a zone and of a part."""
    for path, tree, _, _, zone in zones_of(snapshot):
        if zone.area_m2 is not None:
            yield from out_of(Spot(path, zone, (), "area_m2"), zone.area_m2, _area(tree))
        if zone.length_m is not None:
            craft = tree.model.length_m
            ordinary = Ordinary(0.05, LENGTHS * craft if craft else LONGEST_M)
            yield from out_of(Spot(path, zone, (), "length_m"), zone.length_m, ordinary)
    for tree in snapshot.models.values():
        for part in tree.parts.values():
            yield from _area_of_part(tree, part)


def _area(tree: ModelTree) -> Ordinary:
    plan = plan_m2(tree.model)
    of = f" on {written(plan)} m² of length × beam" if plan else ""
    return Ordinary(SMALLEST_M2, ZONE_PLANS * plan if plan else LARGEST_M2, of=of)


def _area_of_part(tree: ModelTree, part: PartTree) -> Iterator[Fault]:
    """Told at the largest zone, where none is too large by itself."""
    plan = plan_m2(tree.model)
    areas = {name: zone.area_m2 for name, zone in part.zones.items() if zone.area_m2 is not None}
    total = sum(areas.values())
    if plan is None or total <= PART_PLANS * plan or any(outside(a, _area(tree)) for a in areas.values()):
        return
    largest = max(areas, key=lambda name: areas[name])
    spot = Spot(zone_path(tree.id, f"{part.id}/{largest}"), part.zones[largest], (), "area_m2")
    message = (
        f"the plates of {part.id} add up to {written(total)} m²: ordinarily at most "
        f"{written(PART_PLANS * plan)} m² on {written(plan)} m² of length × beam"
    )
    yield from doubt(spot, "large-part", message, "this is the largest of them")


def note_panels(snapshot: Snapshot) -> Iterator[Fault]:
    """A panel is up to eight times as long as it is wide, and a foot load spreads over its patch."""
    for path, _, _, _, zone in zones_of(snapshot):
        panel = zone.panel
        if panel is None:
            continue
        if not outside(panel.span_mm, ordinary_of(Panel)["span_mm"]):
            ordinary = Ordinary(panel.span_mm, SPANS * panel.span_mm, of=" at this span")
            if panel.length_mm > panel.span_mm:
                yield from out_of(Spot(path, panel, ("panel",), "length_mm"), panel.length_mm, ordinary)
        if panel.patch is not None:
            yield from _patch(path, panel.patch)


def _patch(path: str, patch: Patch) -> Iterator[Fault]:
    ranges = ordinary_of(Patch)
    pressure = patch.force_kn / (patch.side_mm * 1e-3) ** 2
    alone = not any(outside(getattr(patch, key), ranges[key]) for key in ("force_kn", "side_mm"))
    if alone and outside(pressure, PATCH_KPA):
        message = (
            f"`side_mm` {written(patch.side_mm)} mm under {written(patch.force_kn)} kN is "
            f"{written(pressure)} kPa: ordinarily {PATCH_KPA.low} to {PATCH_KPA.high} kPa"
        )
        hint = "cm?" if pressure > PATCH_KPA.high else "N or kg for the force, or another side?"
        yield from doubt(Spot(path, patch, ("panel", "patch"), "side_mm"), "foot-pressure", message, hint)


def note_formers(snapshot: Snapshot) -> Iterator[Fault]:
    """A former is neither a plank on edge nor one that lies flat."""
    for path, _, _, _, zone in zones_of(snapshot):
        former = zone.former
        if former is None or former.height_mm is None or former.section_mm2 is None:
            continue
        width = former.section_mm2 / former.height_mm
        if outside(former.height_mm / width, HEIGHT_TO_WIDTH):
            ends = (HEIGHT_TO_WIDTH.low, HEIGHT_TO_WIDTH.high)
            low, high = (f"{sqrt(end * former.section_mm2):.0f}" for end in ends)
            message = (
                f"`height_mm` {written(former.height_mm)} mm leaves a width of {written(width)} mm: "
                f"ordinarily {low} to {high} mm for {written(former.section_mm2)} mm² (0.4 to 4 widths)"
            )
            spot = Spot(path, former, ("former",), "height_mm")
            yield from doubt(spot, "slender-former", message, OUTER)


def note_sections(snapshot: Snapshot) -> Iterator[Fault]:
    """A hat is 0.4 to 4 crowns high, and leans by no more than its height."""
    for path, _, _, _, zone in zones_of(snapshot):
        section = zone.section
        if section is None or any(outside(getattr(section, k), r) for k, r in ordinary_of(Section).items()):
            continue
        crown, height = section.crown_mm, section.height_mm
        ends = (HEIGHT_TO_WIDTH.low * crown, HEIGHT_TO_WIDTH.high * crown)
        tall = Ordinary(*ends, OUTER.rstrip("?"), of=f" on a crown of {written(crown)} mm")
        yield from out_of(Spot(path, section, ("section",), "height_mm"), height, tall)
        wide = Ordinary(crown, crown + height, OUTER.rstrip("?"), of=" for this crown and height")
        yield from out_of(Spot(path, section, ("section",), "base_mm"), section.base_mm, wide)


def note_beams(snapshot: Snapshot) -> Iterator[Fault]:
    """A stiffener carries a strip no wider than it is long between supports."""
    for path, _, _, _, zone in zones_of(snapshot):
        beam = zone.beam
        if beam is not None and not outside(beam.span_mm, ordinary_of(Beam)["span_mm"]):
            ordinary = Ordinary(NARROWEST_LOAD_MM, beam.span_mm, of=" at this span")
            yield from out_of(Spot(path, beam, ("beam",), "load_width_mm"), beam.load_width_mm, ordinary)


def note_minima(snapshot: Snapshot) -> Iterator[Fault]:
    """Minima say where they come from, and a use is limited to no more than 1."""
    for path, _, _, _, zone in zones_of(snapshot):
        required = zone.required
        if required is None:
            continue
        stated = [key for key in type(required).model_fields if key.endswith(("_min", "_max"))]
        given = {key: value for key in stated if (value := getattr(required, key)) is not None}
        if given and not required.source:
            spot = Spot(path, required, ("required",), "source")
            message, hint = (
                "minima without a `source`",
                'the calculation of record, as source = "SC-014 rev B"',
            )
            yield from doubt(spot, "minima-without-source", message, hint)
        for key, value in given.items():
            if key.endswith("_use_max") and value > 1:
                message = f"`{key}` {written(value)} allows more than the whole limit: ordinarily at most 1"
                hint = f"percent? {written(value / 100)}" if 5 < value <= 100 else ""
                yield from doubt(Spot(path, required, ("required",), key), "use-above-one", message, hint)


def note_earlier_names(snapshot: Snapshot) -> Iterator[Fault]:
    """An earlier name is one that the history of the model knows; told where it is known at all."""
    for path, tree, _, _, zone in zones_of(snapshot):
        past = snapshot.past_zones.get(tree.id, frozenset())
        for n, name in enumerate(zone.formerly):
            if past and name not in past and name not in tree.zones:
                spot = Spot(path, zone, (), "formerly", (n,))
                message = f"`formerly` names `{name}`, and no zone of {tree.id} was ever called so"
                yield from doubt(spot, "formerly-unknown", message, nearest(name, _gone(past, tree)), name)


def _gone(past: frozenset[str], tree: ModelTree) -> list[str]:
    return sorted(past - tree.zones.keys())


NOTES = (note_areas, note_panels, note_formers, note_sections, note_beams, note_minima, note_earlier_names)
