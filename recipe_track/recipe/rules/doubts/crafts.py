"""The craft: its size, where its masses and zones lie, what the water answers."""

from collections.abc import Iterator

from recipe_track.errors import Fault, Key
from recipe_track.recipe.craft import Model
from recipe_track.recipe.fields import RecipeTable
from recipe_track.recipe.ordinary import Spot, doubt, ordinary_of, out_of, outside, written
from recipe_track.recipe.paths import model_path, zone_path
from recipe_track.recipe.quantities import Ordinary
from recipe_track.recipe.snapshot import ModelTree, Snapshot

SLENDERNESS = Ordinary(0.2, 0.6)
WATER_KG_PER_CM_M2 = 10.25  # a square metre of sea water, a centimetre deep (hydrostatics)
WATERPLANE = (0.5, 0.95)  # of length × beam
ANYWHERE_M = 50.0  # further than this from any origin is no place on a small craft
AFT_ORIGIN = 0.25  # from this share of places aft of the origin on, the origin lies amidships or forward


def note_beams(snapshot: Snapshot) -> Iterator[Fault]:
    """The beam goes with the length."""
    for tree in snapshot.models.values():
        length, beam = tree.model.length_m, tree.model.beam_m
        if length is None or outside(length, ordinary_of(Model)["length_m"]):
            continue
        if beam is not None:
            low, high = SLENDERNESS.low * length, SLENDERNESS.high * length
            ordinary = Ordinary(low, high, of=f" at a length of {written(length)} m")
            yield from out_of(Spot(model_path(tree.id), tree.model, (), "beam_m"), beam, ordinary)


def note_immersion(snapshot: Snapshot) -> Iterator[Fault]:
    """What sinks the craft a centimetre goes with its length and beam."""
    for tree in snapshot.models.values():
        water, plan = tree.model.hydrostatics, plan_m2(tree.model)
        if water is not None and plan is not None:
            low, high = (share * WATER_KG_PER_CM_M2 * plan for share in WATERPLANE)
            spot = Spot(model_path(tree.id), water, ("hydrostatics",), "kg_per_cm")
            ordinary = Ordinary(low, high, of=" by length and beam")
            yield from out_of(spot, water.kg_per_cm, ordinary)


def plan_m2(model: Model) -> float | None:
    """Length times beam; None where either is not said, or is asked about itself."""
    length, beam = model.length_m, model.beam_m
    if length is None or beam is None or outside(length, ordinary_of(Model)["length_m"]):
        return None
    return None if outside(beam / length, SLENDERNESS) else length * beam


def note_places(snapshot: Snapshot) -> Iterator[Fault]:
    """Zones and items lie on the craft."""
    for tree in snapshot.models.values():
        behind = _lies_behind(tree)
        path = model_path(tree.id)
        for n, item in enumerate(tree.model.mass):
            yield from _place(tree.model, path, item, ("mass", n), "at_m", behind, f"`{item.item}`: ")
        for name, zone in tree.zones.items():
            yield from _place(tree.model, zone_path(tree.id, name), zone, (), "centroid_m", behind)
        if tree.model.hydrostatics is not None and tree.model.length_m is not None:
            spot = Spot(path, tree.model.hydrostatics, ("hydrostatics",), "lcf_m")
            ordinary = _along(tree.model.length_m, behind)
            yield from out_of(spot, tree.model.hydrostatics.lcf_m, ordinary)


def _lies_behind(tree: ModelTree) -> bool:
    """Whether the origin lies so far forward that places aft of it are ordinary."""
    along = [item.at_m[0] for item in tree.model.mass] + [zone.centroid_m[0] for zone in tree.zones.values()]
    return sum(x < 0 for x in along) > AFT_ORIGIN * len(along)


def _along(length: float, behind: bool) -> Ordinary:
    return Ordinary((-1.1 if behind else -0.1) * length, 1.1 * length)


def _place(
    model: Model, path: str, table: RecipeTable, at: Key, key: str, behind: bool, what: str = ""
) -> Iterator[Fault]:
    length, half = model.length_m, 0.6 * model.beam_m if model.beam_m else ANYWHERE_M
    far = Ordinary(-ANYWHERE_M, ANYWHERE_M)
    ranges = (
        _along(length, behind) if length else far,
        Ordinary(-half, half),
        Ordinary(-0.3 * length, 0.8 * length) if length else far,
    )
    for axis, (value, ordinary) in enumerate(zip(getattr(table, key), ranges, strict=True)):
        spot = Spot(path, table, at, key, (axis,))
        yield from out_of(spot, value, ordinary, f"{what}{'xyz'[axis]} of `{key}`")


def note_copies(snapshot: Snapshot) -> Iterator[Fault]:
    """Two zones of one layup, size and place: one is a copy that was not finished."""
    for tree in snapshot.models.values():
        first: dict[object, str] = {}
        for name, zone in sorted(tree.zones.items()):
            like = (zone.form, zone.layup, zone.area_m2, zone.length_m, zone.paste, zone.centroid_m)
            if like in first:
                message = f"the same layup, size and centre as {first[like]}"
                spot = Spot(zone_path(tree.id, name), zone, (), "centroid_m")
                yield from doubt(spot, "copied-zone", message, "copied, and not yet edited?")
            first.setdefault(like, name)


NOTES = (note_beams, note_immersion, note_places, note_copies)
