"""Layers whose thickness, angle, place or resin is not ordinary."""

from collections.abc import Iterator, Sequence

from recipe_track.errors import Fault, Key
from recipe_track.recipe.fields import RecipeTable
from recipe_track.recipe.layup import Layer
from recipe_track.recipe.materials import Coating, Core, Material, Reinforcement
from recipe_track.recipe.ordinary import Spot, doubt, out_of, written
from recipe_track.recipe.paths import zone_path
from recipe_track.recipe.quantities import Ordinary
from recipe_track.recipe.rules.layups import zones_of
from recipe_track.recipe.rules.materials import of_kind
from recipe_track.recipe.snapshot import ModelTree, PartTree, Snapshot

CORE_MM = Ordinary(3, 60, of=" for a core")
COATING_MM = Ordinary(0.05, 1.2, of=" for a coating")
DEGREES_OF_RADIAN = 57.29578


def note_thicknesses(snapshot: Snapshot) -> Iterator[Fault]:
    """A core and a coating are as thick as they are sold or sprayed."""
    for path, _, _, _, zone in zones_of(snapshot):
        for n, layer in enumerate(zone.layup):
            material = snapshot.materials.get(layer.material)
            spot = Spot(path, layer, ("layup", n), "thickness_mm")
            if layer.thickness_mm is not None and isinstance(material, Core | Coating):
                ordinary = CORE_MM if isinstance(material, Core) else COATING_MM
                yield from out_of(spot, layer.thickness_mm, ordinary, f"layer {n + 1}: `thickness_mm`")


def note_angles(snapshot: Snapshot) -> Iterator[Fault]:
    """An angle is at most a quarter turn, or a half one, and is given in degrees."""
    for path, fabric in of_kind(snapshot, Reinforcement):
        for n, direction in enumerate(fabric.directions):
            yield from _angle(path, direction, ("directions", n), direction.angle_deg or 0.0)
    for path, _, _, _, zone in zones_of(snapshot):
        for n, layer in enumerate(zone.layup):
            yield from _angle(path, layer, ("layup", n), layer.angle_deg, f"layer {n + 1}: ")


def _angle(path: str, table: RecipeTable, at: Key, angle: float, where: str = "") -> Iterator[Fault]:
    spot = Spot(path, table, at, "angle_deg")
    given = f"{where}`angle_deg` {written(angle)}"
    if abs(angle) > 90 and abs(angle) != 180:
        near = (angle + 90) % 180 - 90
        message = f"{given}: ordinarily −90 to 90, or 180"
        yield from doubt(spot, "wide-angle", message, f"{written(near)} is the same direction")
    elif abs(angle) < 2 and angle != int(angle):
        message = f"{given}: ordinarily whole degrees, −90 to 90"
        yield from doubt(spot, "angle-in-radians", message, f"radians? {angle * DEGREES_OF_RADIAN:.0f}°")


def note_places(snapshot: Snapshot) -> Iterator[Fault]:
    """A coating lies at a face, and a core between skins that carry."""
    for path, _, _, _, zone in zones_of(snapshot):
        if zone.form != "plate":
            continue
        stack = [snapshot.materials.get(layer.material) for layer in zone.layup]
        for n, (layer, material) in enumerate(zip(zone.layup, stack, strict=True)):
            spot = Spot(path, layer, ("layup", n), "material")
            if isinstance(material, Coating) and not (_coated(stack[:n]) or _coated(stack[n + 1 :])):
                message = f"layer {n + 1}: the coating `{layer.material}` lies within the laminate"
                yield from doubt(spot, "coating-inside", message, "the order of the lines? mould side first")
            if isinstance(material, Core):
                yield from _skins(spot, n, zone.layup, stack)


def _coated(stack: Sequence[Material | None]) -> bool:
    """Whether nothing but coatings lies there, so that what comes next is at a face."""
    return all(isinstance(material, Coating) for material in stack)


def _skins(spot: Spot, n: int, layup: Sequence[Layer], stack: Sequence[Material | None]) -> Iterator[Fault]:
    carries = [
        isinstance(material, Reinforcement) and layer.coverage_fraction == 1
        for layer, material in zip(layup, stack, strict=True)
    ]
    bare = [side for side, skin in (("mould", carries[:n]), ("bag", carries[n + 1 :])) if not any(skin)]
    if bare:
        name = layup[n].material
        message = f"layer {n + 1}: the core `{name}` has no carrying skin on its {' and '.join(bare)} side"
        yield from doubt(spot, "core-without-skin", message, "the order of the lines? mould side first")


def note_resins(snapshot: Snapshot) -> Iterator[Fault]:
    """One stage of an infused part takes one resin."""
    for tree in snapshot.models.values():
        for part in tree.parts.values():
            yield from _resins(snapshot, tree, part)


def _resins(snapshot: Snapshot, tree: ModelTree, part: PartTree) -> Iterator[Fault]:
    infused = [
        (name, n, layer)
        for name, zone in part.zones.items()
        for n, layer in enumerate(zone.layup)
        if (layer.process or part.part.process) == "infusion"
        and isinstance(snapshot.materials.get(layer.material), Reinforcement | Core)
    ]
    resins = {(layer.stage, layer.resin or part.part.resin) for _, _, layer in infused}
    for name, n, layer in infused:
        others = [resin for stage, resin in resins if stage == layer.stage and resin != layer.resin]
        if layer.resin is not None and others:
            spot = Spot(zone_path(tree.id, f"{part.id}/{name}"), layer, ("layup", n), "resin")
            message = (
                f"layer {n + 1}: stage {layer.stage} of {part.id} is infused with `{layer.resin}` here "
                f"and with `{sorted(others)[0]}` elsewhere"
            )
            yield from doubt(spot, "two-resins", message, "a `stage` of its own, or `process` missing?")


NOTES = (note_thicknesses, note_angles, note_places, note_resins)
