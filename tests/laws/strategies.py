"""Whole valid recipes, drawn at random: materials, layers, zones, parts, prices, craft, snapshots, changes.

Every library holds the same ids with values that differ, and every value needed by every process, so that
any part of one recipe can be put into another. Sizes are small by default: laws do not need long stacks.
"""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any, TypeVar

from hypothesis import strategies as st

from recipe_track.recipe.craft import (
    Condition,
    FixedMass,
    Hydrostatics,
    Model,
    Part,
    Price,
    Prices,
    Settings,
    Targets,
    Wastage,
)
from recipe_track.recipe.fields import Process
from recipe_track.recipe.layup import Beam, Former, Layer, Panel, Patch, Section, Zone
from recipe_track.recipe.materials import (
    Coating,
    Core,
    Direction,
    Fibre,
    Lamina,
    Material,
    Paste,
    Reinforcement,
    Resin,
    StrainLimits,
)
from recipe_track.recipe.snapshot import ModelTree, PartTree, Snapshot

T = TypeVar("T")

MODEL = "pb98"
PROCESSES: tuple[Process, ...] = ("infusion", "vacuum-bag", "hand-layup", "spray-up")
FIBRES = ("e-glass", "carbon")
RESINS = ("vinylester", "epoxy")
STITCHED = ("uni-600", "biax-800", "quad-1200", "hybrid-500")
FABRICS = (*STITCHED, "mat-300", "weave-600", "tested-400")
CORES = ("foam", "honeycomb")
COATINGS = ("gelcoat", "barrier")
PASTES = ("bond-paste",)
KINDS: dict[str, str] = {
    **dict.fromkeys(FIBRES, "fibre"),
    **dict.fromkeys(RESINS, "resin"),
    **dict.fromkeys(FABRICS, "reinforcement"),
    **dict.fromkeys(CORES, "core"),
    **dict.fromkeys(COATINGS, "coating"),
    **dict.fromkeys(PASTES, "paste"),
}
_DIRECTIONS: dict[str, tuple[tuple[float, float], ...]] = {
    "uni-600": ((0.0, 1.0),),
    "biax-800": ((45.0, 0.5), (-45.0, 0.5)),
    "quad-1200": ((0.0, 0.25), (45.0, 0.25), (90.0, 0.25), (-45.0, 0.25)),
    "hybrid-500": ((0.0, 0.6), (90.0, 0.4)),
    "weave-600": ((0.0, 0.5), (90.0, 0.5)),
    "tested-400": ((30.0, 0.75), (-60.0, 0.25)),
}


def number(low: float, high: float, places: int = 2) -> st.SearchStrategy[float]:
    """A number as a person writes it: few places, so that examples read well."""
    scale = 10**places
    return st.integers(round(low * scale), round(high * scale)).map(lambda n: n / scale)


def maybe(strategy: st.SearchStrategy[Any]) -> st.SearchStrategy[Any]:
    """A value, or none written."""
    return st.none() | strategy


# Materials


def fibres() -> st.SearchStrategy[Fibre]:
    """A fibre between glass and carbon."""
    return st.builds(
        Fibre,
        kind=st.just("fibre"),
        source=st.just("drawn"),
        density_kg_m3=number(1500, 2700, 0),
        e_axial_gpa=number(60, 250, 1),
        e_transverse_gpa=maybe(number(10, 60, 1)),
        g_gpa=number(10, 35, 1),
        nu=number(0.15, 0.30),
    )


def resins() -> st.SearchStrategy[Resin]:
    """A cured thermoset."""
    return st.builds(
        Resin,
        kind=st.just("resin"),
        source=st.just("drawn"),
        density_kg_m3=number(1050, 1250, 0),
        e_gpa=number(2.5, 4.0),
        nu=number(0.30, 0.40),
    )


LIMITS = (
    None,
    StrainLimits(tension=0.0035, compression=0.0030, transverse=0.0020, shear=0.0060),
    StrainLimits(tension=0.0045, shear=0.0050),
    StrainLimits(compression=0.0025),
)
TOLERANCES: tuple[dict[str, Any], ...] = (
    {},
    {"areal_mass_tolerance_fraction": 0.03},
    {"areal_mass_tolerance_fraction": 0.02, "fibre_mass_fraction_tolerance": 0.03},
)


def fractions() -> st.SearchStrategy[dict[Process, float]]:
    """A fibre mass fraction for every process."""
    return st.builds(
        lambda best, step: {process: best - n * step for n, process in enumerate(PROCESSES)},
        number(0.55, 0.78),
        number(0.0, 0.12),
    )


@st.composite
def fabrics(draw: st.DrawFn, name: str = "biax-800") -> Reinforcement:
    """The reinforcement of that name, with its own mass, fractions and limits."""
    fibre = draw(st.sampled_from(FIBRES))
    mass = draw(number(200, 1300, 0))
    return Reinforcement(
        kind="reinforcement",
        fibre=fibre,
        areal_mass_g_m2=mass,
        directions=_directions(name),
        woven=name == "weave-600",
        fibre_mass_fraction=draw(fractions()),
        stiffness_factor=draw(number(0.7, 1.0)),
        strain_limits=draw(st.sampled_from(LIMITS)),
        lamina=draw(laminas(mass)) if name == "tested-400" else None,
        **draw(st.sampled_from(TOLERANCES)),
    )


def _directions(name: str) -> tuple[Direction, ...]:
    if name == "mat-300":
        return (Direction(share=1.0, random=True),)
    own = {90.0: "e-glass"} if name == "hybrid-500" else {}
    return tuple(Direction(share=s, angle_deg=a, fibre=own.get(a)) for a, s in _DIRECTIONS[name])


@st.composite
def laminas(draw: st.DrawFn, areal_mass_g_m2: float) -> Lamina:
    """Tested values of a ply that holds at least the fabric's fibre."""
    density = draw(number(1400, 2000, 0))
    thickness_mm = areal_mass_g_m2 * draw(number(1.3, 2.2)) / density
    e2 = draw(number(6, 14, 1))
    return Lamina(
        e1_gpa=e2 * draw(number(1.0, 8.0)),
        e2_gpa=e2,
        g12_gpa=draw(number(2.5, 6.0)),
        nu12=draw(number(0.2, 0.35)),
        thickness_mm=thickness_mm,
        density_kg_m3=density,
    )


@st.composite
def cores(draw: st.DrawFn, name: str = "foam") -> Core:
    """A core with its uptake for every process; the honeycomb has a strong direction."""
    strong = draw(number(20, 60, 0))
    moduli: dict[str, Any] = (
        {"g_l_mpa": strong, "g_w_mpa": strong * draw(number(0.3, 0.9))}
        if name == "honeycomb"
        else {"g_mpa": strong}
    )
    surface, standing = draw(number(0, 400, 0)), draw(number(0, 15, 1))
    return Core(
        kind="core",
        density_kg_m3=draw(number(40, 200, 0)),
        e_inplane_mpa=draw(st.just(0.0) | number(20, 120, 0)),
        e_through_mpa=draw(maybe(number(40, 200, 0))),
        shear_strength_mpa=draw(maybe(number(0.4, 2.0))),
        surface_uptake_g_m2={process: surface / n for n, process in enumerate(PROCESSES, start=1)},
        perforation_uptake_g_m2_mm={process: standing / n for n, process in enumerate(PROCESSES, start=1)},
        thickness_tolerance_mm=draw(maybe(number(0, 0.5))),
        **moduli,
    )


def coatings() -> st.SearchStrategy[Coating]:
    """Gelcoat or paint."""
    return st.builds(Coating, kind=st.just("coating"), density_kg_m3=number(1100, 1500, 0))


def pastes() -> st.SearchStrategy[Paste]:
    """Bonding paste."""
    return st.builds(Paste, kind=st.just("paste"), density_kg_m3=number(1000, 1400, 0))


def material(name: str) -> st.SearchStrategy[Any]:
    """The material of that name."""
    by_kind = {
        "fibre": fibres,
        "resin": resins,
        "reinforcement": lambda: fabrics(name),
        "core": lambda: cores(name),
        "coating": coatings,
        "paste": pastes,
    }
    return by_kind[KINDS[name]]()


def libraries() -> st.SearchStrategy[dict[str, Material]]:
    """Every material by its id."""
    return st.fixed_dictionaries({name: material(name) for name in KINDS})


# Layers and zones


OVERRIDES: tuple[dict[str, Any], ...] = (
    {},
    {},
    {},
    {"process": "hand-layup"},
    {"process": "vacuum-bag", "resin": "epoxy"},
    {"resin": "vinylester"},
    {"stage": 2},
    {"coverage_fraction": 0.3, "extent": "over the frames"},
    {"note": "stagger overlaps 50 mm", "tag": "A"},
)


def _layer(*parts: dict[str, Any]) -> Layer:
    return Layer(**{key: value for part in parts for key, value in part.items()})


def fabric_layers(names: Sequence[str] = FABRICS) -> st.SearchStrategy[Layer]:
    """One line of fabric."""
    return st.builds(
        lambda name, angle, plies, more, overrides: _layer(
            {"material": name, "angle_deg": angle, "plies": plies}, more, overrides
        ),
        st.sampled_from(names),
        st.sampled_from((0.0, 45.0, 90.0, -30.0)),
        st.sampled_from((1, 1, 2, 3)),
        st.sampled_from(({}, {}, {"flipped": True}, {"fibre_mass_fraction": 0.55})),
        st.sampled_from(OVERRIDES),
    )


def core_layers() -> st.SearchStrategy[Layer]:
    """One line of core."""
    return st.builds(
        lambda name, thickness, more, overrides: _layer(
            {"material": name, "thickness_mm": thickness}, more, overrides
        ),
        st.sampled_from(CORES),
        st.sampled_from((10.0, 15.0, 20.0, 25.0)),
        st.sampled_from(({}, {}, {"angle_deg": 90.0}, {"uptake_g_m2": 600.0}, {"uptake_g_m2": 0.0})),
        st.sampled_from(OVERRIDES),
    )


def coating_layers() -> st.SearchStrategy[Layer]:
    """One line of gelcoat or paint."""
    return st.builds(
        lambda name, thickness, overrides: _layer({"material": name, "thickness_mm": thickness}, overrides),
        st.sampled_from(COATINGS),
        number(0.3, 1.0, 1),
        st.sampled_from(OVERRIDES),
    )


def layers() -> st.SearchStrategy[Layer]:
    """One line of any kind, fabrics foremost."""
    return st.one_of(fabric_layers(), fabric_layers(), core_layers(), coating_layers())


def layups(max_size: int = 6) -> st.SearchStrategy[tuple[Layer, ...]]:
    """A layup of any layers, at least one of which is a fabric over the whole zone."""
    rest = st.lists(layers(), max_size=max_size - 1)
    carrying = fabric_layers().map(lambda layer: layer.model_copy(update={"coverage_fraction": 1.0}))
    return st.builds(lambda one, more, at: (*more[:at], one, *more[at:]), carrying, rest, st.integers(0, 5))


def panels() -> st.SearchStrategy[Panel]:
    """An unsupported field, its span the shorter side."""
    return st.builds(
        lambda span, ratio, **keys: Panel(span_mm=span, length_mm=span * ratio, **keys),
        number(250, 700, 0),
        number(1.0, 3.0, 1),
        span_axis=st.sampled_from(("x", "y")),
        edges=st.sampled_from(("clamped", "simply-supported")),
        pressure_kpa=number(2, 40, 1),
        patch=maybe(st.builds(Patch, force_kn=number(0.5, 2.0, 1), side_mm=number(50, 150, 0))),
    )


def centres() -> st.SearchStrategy[tuple[float, float, float]]:
    """A place on the craft [m]."""
    return st.tuples(number(0, 9.5), number(-1.6, 1.6), number(-0.4, 2.4))


def plates(max_layers: int = 6) -> st.SearchStrategy[Zone]:
    """A plate, with a panel or without."""
    return st.builds(
        Zone,
        area_m2=number(0.3, 20.0),
        centroid_m=centres(),
        overlap_fraction=st.just(0.0) | number(0, 0.15),
        layup=layups(max_layers),
        panel=maybe(panels()),
    )


def stiffeners() -> st.SearchStrategy[Zone]:
    """A stiffener over a foam former, or over none."""
    return st.builds(
        Zone,
        form=st.just("stiffener"),
        length_m=number(1.0, 9.0),
        girth_mm=number(150, 500, 0),
        former=maybe(st.builds(Former, material=st.just("foam"), section_mm2=number(500, 9000, 0))),
        centroid_m=centres(),
        layup=layups(3),
    )


def hats() -> st.SearchStrategy[Zone]:
    """A stiffener by its section, with layers on parts of it, some as a beam."""
    section = st.builds(
        Section, crown_mm=number(40, 120, 0), height_mm=number(40, 150, 0), base_mm=number(60, 160, 0),
        flange_mm=number(20, 60, 0),
    )  # fmt: skip
    beam = st.builds(
        Beam, span_mm=number(500, 2500, 0), load_width_mm=number(200, 600, 0), pressure_kpa=number(2, 40, 1),
        ends=st.sampled_from(("clamped", "simply-supported")), carried_kg_m=number(0, 5, 1),
    )  # fmt: skip
    capped = st.builds(
        lambda layup, cap, on: (*layup, cap.model_copy(update={"on": on})),
        layups(2), fabric_layers(), st.sampled_from(("crown", "webs", "flanges")),
    )  # fmt: skip
    return st.builds(
        Zone,
        form=st.just("stiffener"),
        length_m=number(1.0, 9.0),
        section=section,
        former=maybe(st.builds(Former, material=st.just("foam"), carries=st.booleans())),
        centroid_m=centres(),
        layup=capped,
        beam=maybe(beam),
    )


def standing_on_bottom(tree: PartTree) -> PartTree:
    """The stiffeners of a part attached to its bottom, if that is a plate."""
    plate = tree.zones.get("bottom")
    if plate is None or plate.form != "plate":
        return tree
    keys = {"attached": f"{tree.id}/bottom", "effective_width_mm": 300.0, "attached_axis": "x"}
    zones = {
        name: zone.model_copy(update=keys) if zone.form == "stiffener" else zone
        for name, zone in tree.zones.items()
    }
    return PartTree(tree.id, tree.part, zones)


def joints() -> st.SearchStrategy[Zone]:
    """A bonded joint."""
    return st.builds(
        Zone,
        form=st.just("joint"),
        length_m=number(1.0, 25.0),
        paste=st.sampled_from(PASTES),
        kg_per_m=number(0.1, 1.5),
        centroid_m=centres(),
    )


def zones() -> st.SearchStrategy[Zone]:
    """A zone of any form, plates foremost."""
    return st.one_of(plates(), plates(), stiffeners(), hats(), joints())


# Parts, prices, craft


def parts() -> st.SearchStrategy[Part]:
    """How a moulding is made."""
    wastages = st.builds(
        Wastage,
        reinforcement=number(0, 0.2),
        core=number(0, 0.2),
        resin=number(0, 0.1),
        coating=number(0, 0.3),
    )
    return st.builds(
        Part,
        process=st.sampled_from(PROCESSES),
        resin=st.sampled_from(RESINS),
        wastage_fraction=wastages,
        line_resin_kg=number(0, 10, 1),
        consumables_per_m2=number(0, 20, 1),
        setup_hours=number(0, 20, 1),
    )


def prices_of(name: str) -> st.SearchStrategy[Price]:
    """A price by a measure that fits the material wherever it is used."""
    minutes = {"labour_min_per_m2": number(0, 12, 1), "labour_min_per_m": number(0, 6, 1)}
    by_kg = st.builds(Price, per_kg=number(0.5, 60), **minutes)
    by_m2 = st.builds(Price, per_m2=number(0.5, 60), **minutes)
    by_m3 = st.builds(Price, per_m3=number(200, 3000, 0), **minutes)
    if KINDS[name] == "reinforcement":
        return by_kg | by_m2
    if KINDS[name] == "core":
        return by_kg | by_m3
    return by_kg


def price_lists(currency: str = "EUR") -> st.SearchStrategy[Prices]:
    """A price for everything that can be bought."""
    bought = [name for name, kind in KINDS.items() if kind != "fibre"]
    return st.builds(
        Prices,
        currency=st.just(currency),
        labour_per_hour=number(20, 90, 1),
        materials=st.fixed_dictionaries({name: prices_of(name) for name in bought}),
    )


def fixed_masses() -> st.SearchStrategy[FixedMass]:
    """Something aboard that is not laminate."""
    return st.builds(
        FixedMass,
        item=st.sampled_from(("engine", "fuel", "outfit", "water")),
        mass_kg=number(20, 1500, 0),
        at_m=centres(),
        variable=st.booleans(),
    )


def hydrostatics() -> st.SearchStrategy[Hydrostatics]:
    """What a boat of about ten metres answers."""
    return st.builds(
        Hydrostatics,
        kg_per_cm=number(120, 300, 0),
        mct_kg_m_per_cm=number(50, 150, 0),
        lcf_m=number(3, 5),
        gm_m=number(0.4, 1.6),
    )


def crafts() -> st.SearchStrategy[Model]:
    """Everything of a model but its parts."""
    return st.builds(
        Model,
        origin=st.just("centreline, transom at the waterline"),
        mass=st.lists(fixed_masses(), max_size=3).map(tuple),
        condition=st.just((Condition(name="arrival", fill=0.1),)),
        targets=maybe(st.builds(Targets, condition=st.sampled_from(("light", "full", "arrival")))),
        hydrostatics=maybe(hydrostatics()),
    )


def part_trees(name: str, max_zones: int = 3) -> st.SearchStrategy[PartTree]:
    """A part with some zones."""
    ids = st.sampled_from(("bottom", "side", "deck-edge", "frames", "seam"))
    return st.builds(
        PartTree, st.just(name), parts(), st.dictionaries(ids, zones(), min_size=1, max_size=max_zones)
    ).map(standing_on_bottom)


def model_trees(max_parts: int = 2) -> st.SearchStrategy[ModelTree]:
    """A model with its parts and zones."""
    names = st.lists(st.sampled_from(("hull", "deck")), min_size=1, max_size=max_parts, unique=True)
    trees = names.flatmap(lambda chosen: st.fixed_dictionaries({n: part_trees(n) for n in chosen}))
    return st.builds(ModelTree, st.just(MODEL), crafts(), trees)


def snapshots(priced: bool = True) -> st.SearchStrategy[Snapshot]:
    """Everything written at one revision, without hulls and records."""
    return st.builds(
        Snapshot,
        settings=st.just(Settings(format=1)),
        materials=libraries(),
        prices=price_lists() if priced else st.none() | price_lists(),
        models=model_trees().map(lambda tree: {tree.id: tree}),
    )


# Changes


@st.composite
def edited_layups(draw: st.DrawFn, layup: tuple[Layer, ...]) -> tuple[Layer, ...]:
    """A layup after a few edits of its lines: added, removed, altered, replaced, moved."""
    lines = list(layup)
    for _ in range(draw(st.integers(1, 3))):
        at = draw(st.integers(0, len(lines) - 1))
        edit = draw(st.sampled_from(("add", "remove", "alter", "replace", "move")))
        if edit == "add":
            lines.insert(at, draw(layers()))
        elif edit == "move":
            lines.insert(draw(st.integers(0, len(lines) - 1)), lines.pop(at))
        elif edit == "remove" and len(lines) > 1:
            del lines[at]
        else:
            lines[at] = draw(_altered(lines[at]) if edit == "alter" else layers())
    return tuple(lines)


def _altered(layer: Layer) -> st.SearchStrategy[Layer]:
    change = st.fixed_dictionaries(
        {},
        optional={
            "angle_deg": st.sampled_from((0.0, 45.0, 90.0)),
            "plies": st.sampled_from((1, 2, 4)),
            "process": st.sampled_from(PROCESSES),
            "note": st.just("see drawing"),
        },
    )
    return change.map(lambda keys: layer.model_copy(update=keys))


@st.composite
def edited_zones(draw: st.DrawFn, zone: Zone) -> Zone:
    """A zone with its layup, its geometry or both changed, or neither."""
    changes: dict[str, Any] = {}
    if draw(st.booleans()) and zone.layup:
        changes["layup"] = draw(edited_layups(zone.layup))
    if draw(st.booleans()):
        changes["centroid_m"] = draw(centres())
        changes.update(draw(_resized(zone)))
    return zone.model_copy(update=changes)


def _resized(zone: Zone) -> st.SearchStrategy[dict[str, Any]]:
    if zone.form == "plate":
        panel = panels() if zone.panel else st.none()
        return st.fixed_dictionaries(
            {"area_m2": number(0.3, 20), "overlap_fraction": number(0, 0.2), "panel": panel}
        )
    return st.fixed_dictionaries({"length_m": number(1, 9)})


def _either(old: T, new: st.SearchStrategy[T]) -> st.SearchStrategy[T]:
    return st.just(old) | new


@st.composite
def edited_materials(draw: st.DrawFn, library: Mapping[str, Material]) -> dict[str, Material]:
    """A library with a few definitions changed."""
    names = draw(st.lists(st.sampled_from(sorted(library)), max_size=3, unique=True))
    return {**library, **{name: draw(material(name)) for name in names}}


@st.composite
def edited_part_trees(draw: st.DrawFn, tree: PartTree) -> PartTree:
    """A part with zones edited, sometimes one renamed, added or removed, and sometimes another process."""
    changed = {name: draw(edited_zones(zone)) for name, zone in tree.zones.items()}
    first = next(iter(changed))
    fate = draw(st.sampled_from(("stay", "stay", "rename", "add", "remove")))
    if fate == "rename":
        changed["renamed"] = changed.pop(first).model_copy(update={"formerly": (f"{tree.id}/{first}",)})
    elif fate == "add":
        changed["new-zone"] = draw(zones())
    elif fate == "remove" and len(changed) > 1:
        del changed[first]
    return replace(tree, part=draw(_either(tree.part, parts())), zones=changed)


@st.composite
def edited_snapshots(draw: st.DrawFn, before: Snapshot) -> Snapshot:
    """The same recipe after some change of anything."""
    tree = before.models[MODEL]
    edited = {name: draw(edited_part_trees(part)) for name, part in tree.parts.items()}
    model = draw(_either(tree.model, crafts()))
    assert before.prices is not None
    return replace(
        before,
        materials=draw(_either(before.materials, edited_materials(before.materials))),
        prices=draw(_either(before.prices, price_lists())),
        models={MODEL: replace(tree, model=model, parts=edited)},
    )


def snapshot_pairs() -> st.SearchStrategy[tuple[Snapshot, Snapshot]]:
    """A recipe before and after a change of anything in it."""
    return snapshots().flatmap(lambda before: st.tuples(st.just(before), edited_snapshots(before)))
