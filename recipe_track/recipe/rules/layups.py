"""Rules of zones and their layers."""

from collections.abc import Iterator
from itertools import accumulate

from recipe_track.errors import Fault, Key
from recipe_track.recipe.craft import Part
from recipe_track.recipe.fields import MOST_PLIES, MOST_ZONES
from recipe_track.recipe.layup import Layer, Zone
from recipe_track.recipe.materials import Coating, Core, Material, Paste, Reinforcement, Resin
from recipe_track.recipe.ordinary import Spot, doubt
from recipe_track.recipe.paths import part_of, zone_path
from recipe_track.recipe.rules.names import nearest, unknown
from recipe_track.recipe.snapshot import ModelTree, PartTree, Snapshot

NEEDED = {
    "plate": ("area_m2",),
    "stiffener": ("length_m", "girth_mm"),
    "joint": ("length_m", "paste", "kg_per_m"),
}
ALLOWED = {
    "plate": ("area_m2", "layup", "panel"),
    "stiffener": (
        "length_m", "girth_mm", "section", "former", "attached", "attached_axis", "effective_width_mm",
        "layup", "beam",
    ),
    "joint": ("length_m", "paste", "kg_per_m"),
}  # fmt: skip
OF_FORM = sorted({key for keys in ALLOWED.values() for key in keys})


def zones_of(snapshot: Snapshot) -> Iterator[tuple[str, ModelTree, PartTree, str, Zone]]:
    """Every zone with its path, model, part and name."""
    for tree in snapshot.models.values():
        for name, zone in tree.zones.items():
            yield zone_path(tree.id, name), tree, tree.parts[part_of(name)], name, zone


def check_forms(snapshot: Snapshot) -> Iterator[Fault]:
    """A plate, a stiffener and a joint each have their own measures and no others."""
    for path, _, _, _, zone in zones_of(snapshot):
        for key in NEEDED[zone.form]:
            if getattr(zone, key) is None and not (key == "girth_mm" and zone.section):
                yield Fault(path, (key,), "missing-key", f"missing key `{key}`", f"a {zone.form} needs it")
        for key in OF_FORM:
            if key not in ALLOWED[zone.form] and getattr(zone, key):
                yield Fault(path, (key,), "unfit-key", f"`{key}` does not belong to a {zone.form}", at="key")
        if zone.form != "joint" and not zone.layup:
            yield Fault(
                path, ("layup",), "empty-layup", "a zone without layers", "a layup lists at least one layer"
            )


def check_layers(snapshot: Snapshot) -> Iterator[Fault]:
    """Every layer has a known material and what that material needs."""
    for path, _, part, _, zone in zones_of(snapshot):
        for n, layer in enumerate(zone.layup):
            key: Key = ("layup", n)
            material = snapshot.materials.get(layer.material)
            if material is None:
                where, known = f" in layer {n + 1}", snapshot.materials
                yield unknown(path, (*key, "material"), "material", layer.material, known, where=where)
            else:
                yield from _layer_faults(path, key, n + 1, layer, material, part.part)
            if layer.resin:
                yield from _kind_fault(snapshot, path, (*key, "resin"), layer.resin, Resin)


def _layer_faults(
    path: str, key: Key, number: int, layer: Layer, material: Material, part: Part
) -> Iterator[Fault]:
    if isinstance(material, Reinforcement):
        yield from _fabric_faults(path, key, number, layer, material, part)
    elif isinstance(material, Core | Coating):
        if layer.thickness_mm is None:
            message = f"missing key `thickness_mm` in layer {number}: a {material.kind} needs one"
            yield Fault(path, (*key, "thickness_mm"), "missing-key", message)
        if layer.fibre_mass_fraction is not None:
            message = f"`fibre_mass_fraction` does not belong to a {material.kind}"
            yield Fault(path, (*key, "fibre_mass_fraction"), "unfit-key", message, at="key")
    else:
        message = f"`{layer.material}` is a {material.kind}, not a layer"
        yield Fault(path, (*key, "material"), "unfit-material", message)
    if layer.uptake_g_m2 is not None and not isinstance(material, Core):
        message = f"`uptake_g_m2` belongs to a core, not to a {material.kind}"
        yield Fault(path, (*key, "uptake_g_m2"), "unfit-key", message, at="key")
    if isinstance(material, Core) and layer.uptake_g_m2 is None:
        yield from _uptake_faults(path, key, number, layer, material, part)


def _fabric_faults(
    path: str, key: Key, number: int, layer: Layer, fabric: Reinforcement, part: Part
) -> Iterator[Fault]:
    if layer.thickness_mm is not None:
        message = f"`thickness_mm` in layer {number}: the thickness of a reinforcement is computed"
        yield Fault(path, (*key, "thickness_mm"), "unfit-key", message, at="key")
    process = layer.process or part.process
    known = fabric.fibre_mass_fraction.get(process) or layer.fibre_mass_fraction
    if fabric.lamina is None and known is None:
        message = f"no fibre mass fraction of `{layer.material}` for {process} (layer {number})"
        hint = f"add {process} = … to fibre_mass_fraction of the material, or one to the layer"
        yield Fault(path, (*key, "material"), "missing-fibre-fraction", message, hint)


def _uptake_faults(path: str, key: Key, number: int, layer: Layer, core: Core, part: Part) -> Iterator[Fault]:
    process = layer.process or part.process
    for table in ("surface_uptake_g_m2", "perforation_uptake_g_m2_mm"):
        if process not in getattr(core, table):
            message = f"no {table} of `{layer.material}` for {process} (layer {number})"
            hint = f"add {process} = … to {table} of the material (0 is allowed), or uptake_g_m2 to the layer"
            yield Fault(path, (*key, "material"), "missing-uptake", message, hint, name=table)


def check_sizes(snapshot: Snapshot) -> Iterator[Fault]:
    """A layup has no more plies, and a model no more zones, than can be computed."""
    for path, _, _, _, zone in zones_of(snapshot):
        together = accumulate(layer.plies for layer in zone.layup)
        beyond = next((n for n, plies in enumerate(together) if plies > MOST_PLIES), None)
        if beyond is not None:
            message = f"more than {MOST_PLIES:,} plies in the zone up to here"
            yield Fault(path, ("layup", beyond, "plies"), "too-many-plies", message)
    for tree in snapshot.models.values():
        if len(tree.zones) > MOST_ZONES:
            path = zone_path(tree.id, sorted(tree.zones)[MOST_ZONES])
            message = f"zone {MOST_ZONES + 1:,} of {len(tree.zones):,}: a model has at most {MOST_ZONES:,}"
            yield Fault(path, (), "too-many-zones", message)


def check_references(snapshot: Snapshot) -> Iterator[Fault]:
    """Paste, former and attached zone exist and are of their kind."""
    for path, tree, _, name, zone in zones_of(snapshot):
        if zone.paste:
            yield from _kind_fault(snapshot, path, ("paste",), zone.paste, Paste)
        if zone.former:
            yield from _kind_fault(snapshot, path, ("former", "material"), zone.former.material, Core)
        if zone.attached:
            plates = [n for n, z in tree.zones.items() if z.form == "plate"]
            if zone.attached not in plates:
                message = f"no plate `{zone.attached}` to be attached to"
                hint = nearest(zone.attached, plates)
                yield Fault(path, ("attached",), "unknown-plate", message, hint, name=zone.attached)
        if name in zone.formerly:
            message = f"`{name}` is what the zone is called now"
            yield Fault(path, ("formerly", zone.formerly.index(name)), "formerly-current", message)


def _kind_fault(snapshot: Snapshot, path: str, key: Key, name: str, kind: type[Material]) -> Iterator[Fault]:
    known = [n for n, m in snapshot.materials.items() if isinstance(m, kind)]
    if name not in known:
        yield unknown(path, key, kind.__name__.lower(), name, known)


def check_panels(snapshot: Snapshot) -> Iterator[Fault]:
    """The span is the short side, and a patch lies within the field."""
    for path, _, _, _, zone in zones_of(snapshot):
        panel = zone.panel
        if panel is None:
            continue
        if panel.length_mm < panel.span_mm:
            message = "`span_mm` is the short side, `length_mm` the long one"
            yield Fault(path, ("panel", "span_mm"), "span-not-short", message)
        if panel.patch and panel.patch.side_mm > min(panel.span_mm, panel.length_mm):
            message = "the patch is larger than the field"
            yield Fault(path, ("panel", "patch", "side_mm"), "patch-too-large", message)


def note_ignored_fractions(snapshot: Snapshot) -> Iterator[Fault]:
    """A fibre fraction on a layer of tested ply values has no effect."""
    for path, _, _, _, zone in zones_of(snapshot):
        for n, layer in enumerate(zone.layup):
            material = snapshot.materials.get(layer.material)
            tested = isinstance(material, Reinforcement) and material.lamina is not None
            if tested and layer.fibre_mass_fraction is not None:
                message = (
                    f"layer {n + 1}: the tested ply values of `{layer.material}` rule, not this fraction"
                )
                spot = Spot(path, layer, ("layup", n), "fibre_mass_fraction")
                yield from doubt(spot, "ignored-fibre-fraction", message)


RULES = (check_forms, check_layers, check_sizes, check_references, check_panels)
