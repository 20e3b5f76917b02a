"""The steps of a layup for the shop floor: what to cut, to lay and to mix, from mould side to bag side."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Annotated

from recipe_track.figures.cases import Resolved, ZoneCase, resolve_zone
from recipe_track.figures.costs import BuiltIn, wastage_of, wet_film_mm
from recipe_track.figures.plies import ResolvedLayer
from recipe_track.recipe.layup import Former, Section, section_stated
from recipe_track.recipe.materials import Coating, Core, Material, Reinforcement
from recipe_track.recipe.quantities import ANGLE, LENGTH, PLIES, THICKNESS, Quantity

RESINOUS = ("reinforcement", "core")


@dataclass(frozen=True, slots=True)
class Mix:
    """The resin of one stage, process and kind: what the laminate takes, and that with the reserve [kg]."""

    stage: Annotated[int, Quantity("stage", decimals=0)]
    process: str
    resin: str
    name: str | None
    laid_kg: Annotated[float, Quantity("in the laminate", decimals=1)]
    reserve_fraction: Annotated[float, Quantity("reserve")]

    @property
    def mix_kg(self) -> float:
        """What to have ready, reserve included."""
        return self.laid_kg * (1 + self.reserve_fraction)


def _kind(material: Material) -> str:
    if isinstance(material, Reinforcement):
        return "mat" if all(d.random for d in material.directions) else "fabric"
    return material.kind


@dataclass(frozen=True, slots=True)
class Step:
    """One line of a layup as it is laid; `line` 0 is a former or the paste of a joint.

    `shape` is the section that a layer of a stiffener, or its former, is a part of.

    `cut_m2` and `take_kg` count the wastage, `take_kg` is coating or paste: of a coating whose wet film
    `wet_mm` is known, the liquid on the gun; `resin_kg` is what ends up in the laminate. `angle_deg` None has
    no direction to mind; `fibres_deg` are the directions of the fibres in the zone's axes, those of a flipped
    cloth turned over.
    """

    line: Annotated[int, Quantity("line", decimals=0)]
    material: str
    name: str | None
    kind: str
    plies: Annotated[int, PLIES] = 1
    angle_deg: Annotated[float | None, ANGLE] = None
    fibres_deg: Annotated[tuple[float, ...], Quantity("fibres")] = ()
    flipped: bool = False
    thickness_mm: Annotated[float | None, THICKNESS] = None
    wet_mm: Annotated[float | None, Quantity("wet thickness", decimals=2)] = None
    coverage_fraction: Annotated[float, Quantity("coverage")] = 1.0
    extent: str | None = None
    note: str | None = None
    tag: str | None = None
    process: str | None = None
    stage: Annotated[int, Quantity("stage", decimals=0)] = 1
    laid_m2: Annotated[float | None, Quantity("laid on", decimals=1)] = None
    cut_m2: Annotated[float | None, Quantity("cut", decimals=2)] = None
    take_kg: Annotated[float | None, Quantity("take", decimals=1)] = None
    resin: str | None = None
    resin_kg: Annotated[float | None, Quantity("resin", decimals=2)] = None
    length_m: Annotated[float | None, LENGTH] = None
    on: str = "all"
    former: Former | None = None
    shape: Section | None = None
    kg_per_m: Annotated[float | None, Quantity("paste per metre")] = None


def steps_of(case: ZoneCase) -> tuple[Step, ...]:
    """The steps of a zone: a former first, then the layers from mould side to bag side, or the paste."""
    resolved = resolve_zone(case, {})
    first = [_former_step(case, case.zone.former, resolved)] if case.zone.former else []
    if case.zone.form == "joint":
        first = [_paste_step(case, q) for q in resolved.quantities if q.kind == "paste"]
    return (*first, *(_step(case, layer, resolved) for layer in resolved.layers))


def _step(case: ZoneCase, resolved: ResolvedLayer, zone: Resolved) -> Step:
    layer, material = resolved.layer, resolved.material
    quantities = [q for q in zone.quantities if q.line == resolved.line]
    own = next(q for q in quantities if q.kind == material.kind)
    bought = 1 + wastage_of(case.part.wastage_fraction, own.kind)
    resinous = material.kind in RESINOUS
    step = Step(
        line=resolved.line, material=layer.material, name=material.name, kind=_kind(material),
        plies=layer.plies, flipped=layer.flipped, thickness_mm=layer.thickness_mm,
        coverage_fraction=layer.coverage_fraction, extent=layer.extent, note=layer.note, tag=layer.tag,
        process=layer.process or case.part.process, stage=layer.stage, laid_m2=own.m2, on=layer.on,
        shape=section_stated(case.zone),
        resin=resolved.resin if resinous else None,
        resin_kg=sum(q.kg for q in quantities if q.kind == "resin") if resinous else None,
    )  # fmt: skip
    if isinstance(material, Coating):
        wet = wet_film_mm(material, layer.thickness_mm)
        return replace(step, wet_mm=wet, take_kg=own.used_kg * bought)
    angle, fibres = _directions(resolved)
    return replace(step, cut_m2=own.m2 * bought, angle_deg=angle, fibres_deg=fibres)


def _directions(resolved: ResolvedLayer) -> tuple[float | None, tuple[float, ...]]:
    """The angle of a cloth and of its fibres; of a core only where its strong direction matters."""
    layer, material = resolved.layer, resolved.material
    if isinstance(material, Core):
        directed = material.g_l_mpa is not None or layer.angle_deg != 0
        return (layer.angle_deg if directed else None), ()
    assert isinstance(material, Reinforcement)
    directions = [d.angle_deg or 0.0 for d in material.directions if not d.random]
    if layer.flipped:  # what was towards the bag comes to the mould, and is seen from its other face
        directions = [-angle for angle in reversed(directions)]
    fibres = [layer.angle_deg + angle for angle in directions]
    return (layer.angle_deg if fibres else None), tuple(dict.fromkeys(map(axis_deg, fibres)))


def axis_deg(angle_deg: float) -> float:
    """A direction without a sense, over −90° up to 90°."""
    turned = (angle_deg + 90.0) % 180.0 - 90.0
    return 90.0 if turned == -90.0 else turned


def _former_step(case: ZoneCase, former: Former, zone: Resolved) -> Step:
    own = next(q for q in zone.quantities if q.line == 0 and q.kind == "core")
    name = case.materials[former.material].name
    return Step(
        0, former.material, name, "former", length_m=case.zone.length_m, former=former, note=former.note,
        take_kg=own.kg, shape=case.zone.section,
    )  # fmt: skip


def _paste_step(case: ZoneCase, own: BuiltIn) -> Step:
    bought = 1 + wastage_of(case.part.wastage_fraction, "paste")
    name = case.materials[own.material].name
    return Step(
        0, own.material, name, "paste", length_m=case.zone.length_m, kg_per_m=case.zone.kg_per_m,
        note=case.zone.note, take_kg=own.kg * bought,
    )  # fmt: skip


def mixes_of(cases: Iterable[ZoneCase]) -> tuple[Mix, ...]:
    """The resin of several zones of one part by stage, process and kind; hand work before the infusion."""
    mixes: dict[tuple[int, str, str], Mix] = {}
    for case in cases:
        reserve = case.part.wastage_fraction.resin
        for quantity in resolve_zone(case, {}).quantities:
            if quantity.kind == "resin":
                key = _mix_key(case, quantity)
                known = mixes.get(key) or Mix(*key, case.materials[key[2]].name, 0.0, reserve)
                mixes[key] = replace(known, laid_kg=known.laid_kg + quantity.kg)
    return tuple(sorted(mixes.values(), key=_mix_place))


ORDER = ("spray-up", "hand-layup", "vacuum-bag", "infusion")


def _mix_place(mix: Mix) -> tuple[int, int, str]:
    return mix.stage, ORDER.index(mix.process), mix.resin


def _mix_key(case: ZoneCase, quantity: BuiltIn) -> tuple[int, str, str]:
    layer = case.zone.layup[quantity.line - 1]
    return layer.stage, layer.process or case.part.process, quantity.material


def processes_of(mixes: Sequence[Mix]) -> frozenset[str]:
    """The processes that resin is mixed for."""
    return frozenset(mix.process for mix in mixes)
