"""Notes of `check`: what is allowed but not ordinary, out of the files alone and out of their figures."""

from collections.abc import Iterator, Set

from recipe_track.errors import Fault, Problem
from recipe_track.figures.craft import figures_of
from recipe_track.figures.results import ModelFigures, Requirement, ZoneFigures
from recipe_track.recipe import rules
from recipe_track.recipe.layup import Zone
from recipe_track.recipe.materials import Reinforcement
from recipe_track.recipe.ordinary import (
    Spot,
    about,
    doubt,
    is_meant,
    out_of,
    outside,
    range_words,
    slip,
    written,
)
from recipe_track.recipe.paths import material_path, model_path, record_path, zone_path
from recipe_track.recipe.quantities import Ordinary, limited, unit_of_key
from recipe_track.recipe.records import Weighing
from recipe_track.recipe.snapshot import ModelTree, Snapshot
from recipe_track.review.hull.as_built import fetch_hulls
from recipe_track.review.hull.weighings import computed_mass, net_kg, parts_weighed
from recipe_track.workspace import Reading, Workspace

# All common practice, no source.
SINGLE_SKIN = {
    "structural_thickness_mm": Ordinary(1, 35, "plies of a line"),
    "areal_mass_kg_m2": Ordinary(1, 60, "the areal mass of a cloth, in g/m²"),
}
AT_LEAST = Ordinary(1 / 3, 1.5)  # a minimum over its figure
AT_MOST = Ordinary(2 / 3, 5.0)  # a limit over its figure; a stiff panel keeps a wide one
TRIM = (0.006, 0.030)  # moment to trim a centimetre over displacement
LIGHTEST_ITEM_KG = 1.0
WEIGHED = Ordinary(0.75, 1.35)  # weighed over computed
POUNDS = Ordinary(1.9, 2.6)


def notes(ws: Workspace, reading: Reading) -> tuple[Problem, ...]:
    """Everything worth a second look, at its place; figures are asked only where there is no problem."""
    faults = [*rules.notes(reading.snapshot)]
    if not reading.problems:
        faults += _of_figures(reading.snapshot, {fault.file for fault in faults if _counts(fault)})
        faults += _of_weighings(ws, reading.snapshot)
    return reading.located(faults)


def _counts(fault: Fault) -> bool:
    """Whether a note is on something that the figures of a zone hang on."""
    return not (fault.key and fault.key[0] in ("required", "formerly", "centroid_m", "overlap_fraction"))


def _of_figures(snapshot: Snapshot, doubted: Set[str]) -> Iterator[Fault]:
    """Figures out of files that are doubted themselves are not held against anything: one slip, one note."""
    for tree in snapshot.models.values():
        computed = figures_of(snapshot, tree.id)
        for figures in computed.zones:
            path, zone = zone_path(tree.id, figures.zone), tree.zones[figures.zone]
            if doubted.isdisjoint((path, *map(material_path, _materials(zone, snapshot)))):
                yield from _single_skin(path, zone, figures)
                yield from _minima(path, zone, figures)
        yield from _trim(tree, computed)
        yield from _items(tree, computed)


def _materials(zone: Zone, snapshot: Snapshot) -> Iterator[str]:
    """What a zone is laid of, with the fibres in it."""
    for layer in zone.layup:
        yield layer.material
        fabric = snapshot.materials.get(layer.material)
        if isinstance(fabric, Reinforcement):
            yield from (direction.fibre or fabric.fibre for direction in fabric.directions)


def _single_skin(path: str, zone: Zone, figures: ZoneFigures) -> Iterator[Fault]:
    """Told at the layup; what is meant is said of the figure, as it is shown."""
    if zone.form != "plate" or figures.core_thickness_mm:
        return
    for key, ordinary in SINGLE_SKIN.items():
        value, unit = round(getattr(figures, key), 1), unit_of_key(key)
        if outside(value, ordinary) and not is_meant(Spot(path, zone, (), key), value):
            message = f"`{key}` of this single skin is {written(value)} {unit}: {range_words(ordinary, unit)}"
            yield Fault(path, ("layup",), "single-skin", message, f"{ordinary.slip}?")


def _minima(path: str, zone: Zone, figures: ZoneFigures) -> Iterator[Fault]:
    for requirement in figures.required:
        value, limit = requirement.value, requirement.limit
        if zone.required is None or not value or isinstance(limit, tuple) or _is_use(requirement):
            continue
        figure, side = limited(requirement.key)
        ordinary = AT_LEAST if side == "min" else AT_MOST
        if outside(limit / value, ordinary):
            unit = unit_of_key(figure)
            low, high = (about(end * value, 3) for end in (ordinary.low, ordinary.high))
            message = (
                f"`{requirement.key}` {written(limit)} {unit} against {about(value, 3)} {unit} computed: "
                f"ordinarily {low} to {high} {unit}"
            )
            hint = slip(limit, Ordinary(ordinary.low * value, ordinary.high * value), unit)
            spot = Spot(path, zone.required, ("required",), requirement.key)
            yield from doubt(spot, "far-minimum", message, hint or "another key, or another unit?")


def _is_use(requirement: Requirement) -> bool:
    return limited(requirement.key)[0].endswith("_use")


def _trim(tree: ModelTree, computed: ModelFigures) -> Iterator[Fault]:
    water, displacement = tree.model.hydrostatics, computed.craft.mass_kg
    if water is not None and displacement:
        low, high = (share * displacement for share in TRIM)
        of = f" at {displacement:.0f} kg"
        spot = Spot(model_path(tree.id), water, ("hydrostatics",), "mct_kg_m_per_cm")
        yield from out_of(spot, water.mct_kg_m_per_cm, Ordinary(low, high, of=of))


def _items(tree: ModelTree, computed: ModelFigures) -> Iterator[Fault]:
    """No item is heavier than all the rest of the craft together."""
    heaviest = max(condition.mass_kg for condition in computed.craft.conditions)
    for n, item in enumerate(tree.model.mass):
        rest = max(heaviest - item.mass_kg, LIGHTEST_ITEM_KG)
        ordinary = Ordinary(LIGHTEST_ITEM_KG, rest, of=" (half the craft)")
        spot = Spot(model_path(tree.id), item, ("mass", n), "mass_kg")
        yield from out_of(spot, item.mass_kg, ordinary, f"`{item.item}`: `mass_kg`")


def _of_weighings(ws: Workspace, snapshot: Snapshot) -> Iterator[Fault]:
    """Weighings far from what was computed."""
    number_of = snapshot.records.hull_of
    listed = [(i, w) for i, w in snapshot.records.of_kind(Weighing) if number_of(i) in snapshot.hulls]
    if not listed:
        return
    parts = parts_weighed(fetch_hulls(ws, snapshot), listed)
    for name, weighing in listed:
        number = number_of(name)
        computed = computed_mass(snapshot, parts[name], weighing, snapshot.hulls[number].model)
        if computed and outside(net_kg(weighing) / computed, WEIGHED):
            yield from _weighed(name, weighing, number, computed)


def _weighed(name: str, weighing: Weighing, number: str, computed: float) -> Iterator[Fault]:
    """One that a note explains was asked about as it was written; another unit is told all the same."""
    net = net_kg(weighing)
    low, high = (f"{end * computed:.0f}" for end in (WEIGHED.low, WEIGHED.high))
    message = (
        f"{weighing.part} of hull {number} weighed {written(net)} kg net against {computed:.1f} kg computed: "
        f"ordinarily {low} to {high} kg"
    )
    unit = slip(net, Ordinary(WEIGHED.low * computed, WEIGHED.high * computed), "kg")
    unit = "" if unit.startswith("lb") and outside(net / computed, POUNDS) else unit
    if unit or not weighing.note:
        hint = unit or "the tare, or what was on it? say so in a note"
        yield Fault(record_path(name, weighing.on), ("mass_kg",), "far-weighing", message, hint)
