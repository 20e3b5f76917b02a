"""Whether required minima still rest on what they were checked for: loads, process, resin and materials.

Laying more or less of what a zone is made of is judged by its figures. What is asked here is whether what the
figures and the strengths behind them are worked out from is still the same: by value, not by name.
"""

from collections.abc import Iterator, Mapping

from recipe_track.figures.cases import ZoneCase
from recipe_track.impact.align import align
from recipe_track.impact.materials import differing_keys, is_redefined
from recipe_track.recipe.fields import Process, RecipeTable
from recipe_track.recipe.layup import Beam, Layer, Panel, Zone
from recipe_track.recipe.materials import (
    Coating,
    Core,
    Fibre,
    Material,
    Reinforcement,
    Resin,
    StrainLimits,
)
from recipe_track.recipe.quantities import Counts, words_of

_WORKS: tuple[Counts, ...] = ("figures", "stiffness")
_RESTS_ON_NOTHING = frozenset({"carried_kg_m2", "carried_kg_m"})
_PER_PROCESS = ("fibre_mass_fraction", "void_fraction", "surface_uptake_g_m2", "perforation_uptake_g_m2_mm")
_STRENGTHS = (
    "strain_limits", "shear_strength_mpa", "shear_strength_l_mpa", "shear_strength_w_mpa",
    "compressive_strength_mpa", "e_through_mpa",
)  # fmt: skip


def layup_changed(before: Zone, after: Zone) -> bool:
    """Whether the layers differ in more than a note, a tag or an extent."""
    if len(before.layup) != len(after.layup):
        return True
    return any(differing_keys(old, new) for old, new in zip(before.layup, after.layup, strict=True))


def basis_changes(before: ZoneCase, after: ZoneCase) -> tuple[str, ...]:
    """What changed of that on which the required minima of a zone rest, in words."""
    said = (
        *_load_changes(before.zone, after.zone),
        *_laid_changes(before, after),
        *_former_changes(before, after),
        *_attached_changes(before, after),
    )
    return tuple(dict.fromkeys(said))


def _load_changes(before: Zone, after: Zone) -> Iterator[str]:
    """What loads a panel or a beam, and how it is held."""
    for name, kind in (("panel", Panel), ("beam", Beam)):
        old, new = getattr(before, name), getattr(after, name)
        if old is None or new is None:
            if old != new:
                yield name
            continue
        prefix = "" if name == "panel" else f"{name} "
        for key in differing_keys(old, new, _WORKS):
            if key not in _RESTS_ON_NOTHING:
                yield f"{prefix}{words_of(kind, key)}"


def _laid_changes(before: ZoneCase, after: ZoneCase) -> Iterator[str]:
    """Layers that stayed or were replaced by their like; those that came or went are another laminate."""
    materials = {**before.materials, **after.materials}
    kinds = {name: material.kind for name, material in materials.items()}
    found = align(before.zone.layup, after.zone.layup, kinds)
    pairs = [(found.before[i].layer, found.after[j].layer) for i, j in (*found.matches, *found.moves)]
    told = {(id(old), id(new)): (old, new) for old, new in pairs}
    for old, new in told.values():
        yield from _layer_changes(_Laid(old, before), _Laid(new, after))


class _Laid:
    """A layer with all that it is computed from: material, process and resin in effect."""

    def __init__(self, layer: Layer, case: ZoneCase) -> None:
        self.layer, self.materials = layer, case.materials
        self.material = case.materials.get(layer.material)
        self.process: Process = layer.process or case.part.process
        self.resin = layer.resin or case.part.resin


def _layer_changes(old: _Laid, new: _Laid) -> Iterator[str]:
    one, two = old.material, new.material
    if one is None or two is None or isinstance(two, Coating):
        return
    if old.process != new.process:
        yield "process"
    same = old.layer.material == new.layer.material
    other = _other_values(old, new)
    if other and not same:
        yield f"{old.layer.material} (now {new.layer.material})"
    elif other:
        yield f"{'core' if isinstance(two, Core) else 'fabric'} {new.layer.material}"
    if isinstance(one, Reinforcement) and isinstance(two, Reinforcement):
        if same:
            yield from _fibre_changes(new.layer.material, one, two, old.materials, new.materials)
        if old.layer.fibre_mass_fraction != new.layer.fibre_mass_fraction and _fraction(old) != _fraction(
            new
        ):
            yield f"fibre mass fraction of {new.layer.material}"
        if _redefined(old.materials.get(old.resin), new.materials.get(new.resin), Resin):
            yield f"resin {new.resin}" if old.resin == new.resin else f"resin {old.resin} (now {new.resin})"
    elif old.layer.uptake_g_m2 != new.layer.uptake_g_m2:
        yield f"resin uptake of {new.layer.material}"


def _fraction(laid: _Laid) -> float | None:
    own, material = laid.layer.fibre_mass_fraction, laid.material
    return own or (
        material.fibre_mass_fraction.get(laid.process) if isinstance(material, Reinforcement) else None
    )


def _other_values(old: _Laid, new: _Laid) -> bool:
    """Whether a layer's material has other values than before, those of the process in use alone."""
    one, two = old.material, new.material
    assert one is not None
    assert two is not None
    if type(one) is not type(two):
        return True
    stated = bool(new.layer.fibre_mass_fraction)
    first, second = _in_use(one, new.process, stated), _in_use(two, new.process, stated)
    if is_redefined(_without_names(first), _as_stated(first, _without_names(second)), _WORKS):
        return True
    if old.layer.material == new.layer.material or not isinstance(two, Reinforcement):
        return False
    assert isinstance(one, Reinforcement)
    pairs = zip(_fibres(one), _fibres(two), strict=True)
    return any(_redefined(old.materials.get(f), new.materials.get(g), Fibre) for f, g in pairs)


def _in_use(material: Material, process: Process, stated: bool) -> Material:
    """A material with what it says of one process; a fraction that a layer states is none of its own."""
    kept = {}
    for key in _PER_PROCESS:
        said: Mapping[Process, float] | None = getattr(material, key, None)
        if said is not None:
            left_out = stated and key == "fibre_mass_fraction"
            kept[key] = {} if left_out or process not in said else {process: said[process]}
    return material.model_copy(update=kept)


def _without_names(material: Material) -> Material:
    """A fabric without the names of its fibres, which are compared by what they are."""
    if not isinstance(material, Reinforcement):
        return material
    bare = tuple(direction.model_copy(update={"fibre": None}) for direction in material.directions)
    return material.model_copy(update={"fibre": "", "directions": bare})


def _as_stated(before: Material, after: Material) -> Material:
    """The material after without strengths and values of a process that were not stated before.

    What is newly stated is newly checked; nothing rested on it.
    """
    new: dict[str, object] = {}
    for key in (*_STRENGTHS, *_PER_PROCESS):
        old, now = getattr(before, key, None), getattr(after, key, None)
        if old is None or old == {}:
            new[key] = old
        elif isinstance(old, StrainLimits) and isinstance(now, StrainLimits):
            unknown = [mode for mode in type(old).model_fields if getattr(old, mode) is None]
            new[key] = now.model_copy(update=dict.fromkeys(unknown))
    return after.model_copy(update={key: value for key, value in new.items() if hasattr(after, key)})


def _fibre_changes(
    name: str,
    one: Reinforcement,
    two: Reinforcement,
    before: Mapping[str, Material],
    after: Mapping[str, Material],
) -> Iterator[str]:
    for old, new in zip(_fibres(one), _fibres(two), strict=False):
        if _redefined(before.get(old), after.get(new), Fibre):
            yield f"fibre {new} of {name}"


def _fibres(fabric: Reinforcement) -> tuple[str, ...]:
    return tuple(direction.fibre or fabric.fibre for direction in fabric.directions)


def _redefined(old: RecipeTable | None, new: RecipeTable | None, kind: type[Fibre | Resin]) -> bool:
    """Whether both are known and differ in anything that something is computed from."""
    return isinstance(old, kind) and isinstance(new, kind) and bool(differing_keys(old, new, _WORKS))


def _former_changes(before: ZoneCase, after: ZoneCase) -> Iterator[str]:
    old, new = before.zone.former, after.zone.former
    if old is None or new is None:
        return
    one, two = before.materials.get(old.material), after.materials.get(new.material)
    if isinstance(one, Core) and isinstance(two, Core):
        process = after.part.process
        first, second = (_in_use(core, process, False) for core in (one, two))
        if is_redefined(first, _as_stated(first, second), _WORKS):
            yield f"former {new.material}"


def _attached_changes(before: ZoneCase, after: ZoneCase) -> Iterator[str]:
    old, new = before.attached, after.attached
    if old is None or new is None:
        if (old is None) != (new is None):
            yield "attached zone"
        return
    if layup_changed(old.zone, new.zone):
        yield f"layup of {new.name}"
    yield from (f"{what} of {new.name}" for what in _laid_changes(old, new))
