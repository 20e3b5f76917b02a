"""The worked recipe with something wrong in it, and the one fault that tells."""

from dataclasses import replace
from typing import Any

from recipe_track.errors import Fault
from recipe_track.recipe import rules
from recipe_track.recipe.layup import Zone
from recipe_track.recipe.snapshot import Snapshot
from tests.recipes import material

SIDE = "models/demo/deck/side.toml"


def faults(snapshot: Snapshot) -> list[Fault]:
    return list(rules.check(snapshot))


def only(snapshot: Snapshot, file: str, key: tuple[Any, ...], words: str) -> Fault:
    found = [f for f in faults(snapshot) if f.file == file and f.key == key]
    assert len(found) == 1, faults(snapshot)
    assert words in found[0].message
    return found[0]


def with_material(snapshot: Snapshot, name: str, **keys: Any) -> Snapshot:
    old = snapshot.materials[name].model_dump(exclude_none=True) if name in snapshot.materials else {}
    data = {k: v for k, v in {**old, **keys}.items() if v is not None}
    return replace(snapshot, materials={**snapshot.materials, name: material(**data)})


def with_zone(snapshot: Snapshot, zone: str = "side", **keys: Any) -> Snapshot:
    tree = snapshot.models["demo"]
    part = tree.parts["deck"]
    old = part.zones[zone].model_dump(exclude_none=True, exclude_defaults=True) if zone in part.zones else {}
    data = {k: v for k, v in {**old, **keys}.items() if v is not None}
    zones = {**part.zones, zone: Zone.model_validate(data)}
    parts = {**tree.parts, "deck": replace(part, zones=zones)}
    return replace(snapshot, models={"demo": replace(tree, parts=parts)})


def with_layer(snapshot: Snapshot, n: int, **keys: Any) -> Snapshot:
    zone = snapshot.models["demo"].parts["deck"].zones["side"]
    layers = [layer.model_dump(exclude_none=True, exclude_defaults=True) for layer in zone.layup]
    layers[n] = {k: v for k, v in {**layers[n], **keys}.items() if v is not None}
    return with_zone(snapshot, layup=layers)
